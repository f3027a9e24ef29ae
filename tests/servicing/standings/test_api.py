"""How struts and tyres stand, over HTTP."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from xml.etree import ElementTree

import pytest
import time_machine
from rest_framework.test import APIClient

from fleet.gear.models import StrutInstallation
from servicing.drift.actions import sweep
from servicing.drift.models import StrutStanding, TyreStanding
from servicing.readings.actions import add_strut_readings
from servicing.work.actions import add_servicings
from tests.builders.alerts import a_strut_standing
from tests.builders.fleet import NOW, next_id
from tests.builders.readings import Stand, a_stand, a_strut_entry, a_strut_reading, a_tyre_reading
from tests.builders.work import servicing_row

pytestmark = pytest.mark.django_db
API = "/api/v1"
Client = Callable[..., APIClient]


@pytest.fixture(autouse=True)
def _clock() -> Any:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def stand() -> Stand:
    """Return a club with one strut that loses length."""
    stand = a_stand()
    a_strut_standing(stand)
    return stand


def test_a_strut_s_standing_carries_figures_limits_rate_and_forecast(stand: Stand, client_of: Client) -> None:
    standing = client_of(stand.operator, "reader").get(f"{API}/struts/{stand.strut.id}/standing").json()

    assert (standing["finding"], standing["level"], standing["losing_since"]) == (
        "losing_charge",
        "caution",
        "2026-01-20",
    )
    assert standing["extension"] == {"value": 4.21, "unit": "in"}
    assert standing["low_limit"] == {"value": 4.0, "unit": "in"}
    assert standing["rate"] == {"value": -0.18, "unit": "in/mo"}
    assert standing["forecast"] == {
        "service_now": False,
        "expected": "2026-04-10",
        "earliest": "2026-03-28",
        "latest": "2026-05-02",
    }
    assert standing["place"]["registration"] == stand.aircraft.registration
    assert standing["checks"][0].startswith("Look at tube, seal")


def test_units_are_the_caller_s(stand: Stand, client_of: Client) -> None:
    standing = client_of(stand.operator).get(f"{API}/struts/{stand.strut.id}/standing?units=metric").json()

    assert standing["extension"] == {"value": pytest.approx(106.934), "unit": "mm"}
    assert standing["rate"]["unit"] == "mm/mo"


def test_a_strut_without_readings_has_too_few(client_of: Client) -> None:
    stand = a_stand()

    standing = client_of(stand.operator).get(f"{API}/struts/{stand.strut.id}/standing").json()

    assert (standing["finding"], standing["extension"], standing["assessed_at"]) == ("too_few_readings", None, None)


@pytest.mark.parametrize("finding", ["steady", "temperature_only"])
@pytest.mark.parametrize("part", ["struts", "tyres"])
def test_a_sound_part_asks_for_nothing(client_of: Client, part: str, finding: str) -> None:
    stand = a_stand()
    model, which = (StrutStanding, "strut") if part == "struts" else (TyreStanding, "tyre")
    installed: Any = getattr(stand, which)
    model.objects.create(  # type: ignore[attr-defined]  # both have it
        id=next_id(),
        operator=stand.operator,
        finding=finding,
        level="none",
        evidence={"check_first": "nothing"},
        **{which: installed},
    )

    standing = client_of(stand.operator).get(f"{API}/{part}/{installed.id}/standing").json()

    assert "nothing to be done" in standing["meaning"]
    assert (standing["checks"], standing["cautions"]) == ([], [])


def test_a_tyre_s_standing_carries_pressure_and_rate(client_of: Client) -> None:
    stand = a_stand()
    TyreStanding.objects.create(
        id=next_id(),
        operator=stand.operator,
        tyre=stand.tyre,
        finding="losing_charge",
        level="caution",
        pressure_psig=27.5,
        rate_percent_per_day=-0.4,
        evidence={"fast": True},
    )

    standing = client_of(stand.operator).get(f"{API}/tyres/{stand.tyre.id}/standing").json()

    assert (standing["pressure"]["value"], standing["service_pressure"]["value"]) == (27.5, 30.0)
    assert (standing["rate_percent_per_day"], standing["fast"]) == (-0.4, True)


@pytest.mark.parametrize(
    ("query", "count"),
    [
        ("", 1),
        ("level=caution", 1),
        ("level=warning", 0),
        ("finding=sticky", 0),
        ("aircraft={aircraft}", 1),
        ("leg={leg}", 1),
        ("leg=00000000-0000-4000-8000-000000000000", 0),
    ],
)
def test_standings_are_listed_and_filtered(stand: Stand, client_of: Client, query: str, count: int) -> None:
    asked = query.format(aircraft=stand.aircraft.id, leg=stand.leg.id)

    answer = client_of(stand.operator).get(f"{API}/standings/struts?{asked}").json()

    assert len(answer["items"]) == count


def test_parts_in_the_stores_are_listed_on_request(stand: Stand, client_of: Client) -> None:
    StrutInstallation.objects.of(stand.operator).update(removed_at=NOW)
    client = client_of(stand.operator)

    assert client.get(f"{API}/standings/struts").json()["items"] == []
    (stored,) = client.get(f"{API}/standings/struts?installed=false").json()["items"]
    assert (stored["place"], stored["low_limit"]) == (None, None)


def test_a_list_costs_the_same_number_of_queries_whatever_its_length(
    stand: Stand, client_of: Client, django_assert_max_num_queries: Any
) -> None:
    for _ in range(5):
        a_strut_standing(a_stand(stand.operator))
    client = client_of(stand.operator)

    with django_assert_max_num_queries(4):
        assert len(client.get(f"{API}/standings/struts").json()["items"]) == 6


@pytest.fixture
def read() -> Stand:
    """Return a club whose strut was read, worked on and assessed, with one reading far off."""
    stand = a_stand()
    entries = [
        a_strut_entry(
            stand.leg,
            4.5 + (1.4 if number == 20 else 0.03 * (number % 3)),
            taken_at=NOW - timedelta(days=120 - 4 * number),
        )
        for number in range(30)
    ]
    add_servicings(actor=stand.actor, now=NOW, rows=[servicing_row(stand.leg, done_at=NOW - timedelta(days=122))])
    add_strut_readings(actor=stand.actor, now=NOW, entries=entries)
    a_tyre_reading(stand)
    sweep(now=NOW)
    return stand


def test_a_history_tells_readings_work_places_and_findings(read: Stand, client_of: Client) -> None:
    history = client_of(read.operator).get(f"{API}/struts/{read.strut.id}/history").json()

    assert len(history["readings"]) == 30
    assert history["readings"][0]["extension"] == {"value": 4.5, "unit": "in"}
    assert history["readings"][0]["corrected"]["value"] == pytest.approx(4.5, abs=0.02)
    assert [work["work"] for work in history["work"]] == ["gas added"]
    assert [stay["position"] for stay in history["installations"]] == ["left main"]


def test_a_history_reaches_as_far_back_as_asked(read: Stand, client_of: Client) -> None:
    client = client_of(read.operator)

    assert len(client.get(f"{API}/struts/{read.strut.id}/history?days=30").json()["readings"]) == 7
    assert client.get(f"{API}/struts/{read.strut.id}/history?days=0").status_code == 400


def test_a_trend_says_what_became_of_each_reading(read: Stand, client_of: Client) -> None:
    trend = client_of(read.operator).get(f"{API}/struts/{read.strut.id}/trend").json()

    odd = [point for point in trend["points"] if point["disposition"] == "lone_outlier"]
    assert len(trend["points"]) == 30
    assert [point["raw"]["value"] for point in odd] == [pytest.approx(5.9)]
    assert trend["points"][-1]["fitted"]["value"] == pytest.approx(4.53, abs=0.1)
    assert trend["standing"]["strut"] == str(read.strut.id)


def test_a_tyre_has_history_and_trend_too(read: Stand, client_of: Client) -> None:
    client = client_of(read.operator)

    history = client.get(f"{API}/tyres/{read.tyre.id}/history").json()
    trend = client.get(f"{API}/tyres/{read.tyre.id}/trend").json()

    assert [reading["pressure"]["value"] for reading in history["readings"]] == [31.2]
    assert trend["points"][0]["corrected_percent"] == pytest.approx(100.0, abs=0.5)  # 30 psi, and 4 % for its load


@pytest.mark.parametrize("accept", ["*/*", "image/svg+xml", "text/html", "image/avif,image/webp"])
def test_a_chart_is_svg_whatever_the_browser_says(read: Stand, client_of: Client, accept: str) -> None:
    answer = client_of(read.operator).get(f"{API}/struts/{read.strut.id}/chart.svg", headers={"Accept": accept})

    svg = ElementTree.fromstring(answer.content)  # noqa: S314  # our own
    assert answer["Content-Type"] == "image/svg+xml; charset=utf-8"
    assert "default-src 'none'" in answer["Content-Security-Policy"]
    assert svg.findtext("{http://www.w3.org/2000/svg}title") == f"{read.aircraft.registration} left main strut"
    assert len(svg.findall(".//{http://www.w3.org/2000/svg}circle[@class='corrected']")) == 30
    assert len(svg.findall(".//{http://www.w3.org/2000/svg}path[@class='aside']")) == 2  # the reading and the key


def test_a_tyre_s_chart_shows_its_service_pressure(read: Stand, client_of: Client) -> None:
    answer = client_of(read.operator).get(f"{API}/tyres/{read.tyre.id}/chart.svg?units=metric")

    assert "target 207" in answer.content.decode()


def test_an_unchanged_chart_is_answered_304(read: Stand, client_of: Client) -> None:
    client, path = client_of(read.operator), f"{API}/struts/{read.strut.id}/chart.svg"
    etag = client.get(path)["ETag"]

    assert client.get(path, headers={"If-None-Match": etag}).status_code == 304


@pytest.mark.parametrize("what", ["standing", "history", "trend", "chart.svg"])
@pytest.mark.parametrize("kind", ["strut", "tyre"])
def test_a_stranger_finds_nothing_and_nobody_reads_without_a_token(
    read: Stand, client_of: Client, kind: str, what: str
) -> None:
    path = f"{API}/{kind}s/{getattr(read, kind).id}/{what}"

    assert client_of(a_stand().operator).get(path).status_code == 404
    assert APIClient().get(path).status_code == 401


def test_one_reading_is_no_trend_but_no_fault(client_of: Client) -> None:
    stand = a_stand()
    a_strut_reading(stand)

    answer = client_of(stand.operator).get(f"{API}/struts/{stand.strut.id}/trend")

    assert answer.status_code == 200
    assert len(answer.json()["points"]) == 1
