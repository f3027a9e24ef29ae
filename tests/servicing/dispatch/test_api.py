"""Dispatch over HTTP: what is known against each aircraft today."""

from collections.abc import Callable
from datetime import date, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from rest_framework.test import APIClient

from fleet.aircraft.models import Aircraft, Leg
from fleet.gear.models import StrutInstallation
from servicing.alerts.models import Alert
from servicing.readings.actions import add_strut_readings
from servicing.reinspection.models import Reason, Reinspection
from servicing.reinspection.reviewing import review_operator
from servicing.usage.actions import add_usages
from servicing.usage.rows import UsageRow
from tests.builders.alerts import an_alert, looks_of
from tests.builders.fleet import NOW, a_type_sheet, an_operator, later
from tests.builders.readings import Stand, a_stand, a_strut_entry, a_strut_reading, a_tyre_reading

pytestmark = pytest.mark.django_db
URL = "/api/v1/dispatch"
Client = Callable[..., APIClient]


@pytest.fixture(autouse=True)
def _clock() -> Any:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def stand() -> Stand:
    """Return a club with one aircraft, read an hour ago and right."""
    stand = a_stand()
    a_strut_reading(stand, 4.5)
    return stand


def answer_for(stand: Stand, client_of: Client) -> dict[str, Any]:
    answer: dict[str, Any] = client_of(stand.operator, "reader").get(f"{URL}/{stand.aircraft.registration}").json()
    return answer


def codes(answer: dict[str, Any]) -> list[tuple[str, str]]:
    return [(reason["code"], reason["asks"]) for reason in answer["reasons"]]


def test_nothing_known_is_said_as_that_and_as_advice(stand: Stand, client_of: Client) -> None:
    answer = answer_for(stand, client_of)

    assert (answer["readiness"], answer["reasons"]) == ("nothing known against it", [])
    assert "the pilot in command and maintenance decide" in answer["advice"]


def test_each_leg_shows_the_last_reading_within_its_limits(stand: Stand, client_of: Client) -> None:
    (leg,) = answer_for(stand, client_of)["legs"]

    assert leg["position"] == "left main"
    assert leg["strut"]["extension"]["value"] == pytest.approx(4.5, abs=0.02)
    assert (leg["strut"]["low_limit"]["value"], leg["strut"]["high_limit"]["value"]) == (4.0, 5.0)
    assert leg["strut"]["read_at"] == "2026-03-02T08:30:00Z"


def test_units_are_the_caller_s(stand: Stand, client_of: Client) -> None:
    answer = client_of(stand.operator).get(f"{URL}?units=metric").json()

    assert answer["aircraft"][0]["legs"][0]["strut"]["low_limit"] == {"value": pytest.approx(101.6), "unit": "mm"}


@pytest.mark.parametrize(
    ("level", "readiness"),
    [("advisory", "look first"), ("caution", "look first"), ("warning", "coordinator must decide")],
)
def test_an_open_alert_asks_what_its_level_asks(stand: Stand, client_of: Client, level: str, readiness: str) -> None:
    an_alert(stand, level=level)

    answer = answer_for(stand, client_of)

    assert answer["readiness"] == readiness
    assert ("alert", readiness) in codes(answer)


def test_an_alert_that_was_put_off_is_known_and_put_off_until_its_day(stand: Stand, client_of: Client) -> None:
    an_alert(stand)
    Alert.objects.of(stand.operator).update(put_off_until=date(2026, 3, 3))
    assert answer_for(stand, client_of)["readiness"] == "known and put off"

    Alert.objects.of(stand.operator).update(put_off_until=date(2026, 3, 2))
    assert answer_for(stand, client_of)["readiness"] == "look first"


def test_an_alert_is_against_the_aircraft_that_its_part_is_on(stand: Stand, client_of: Client) -> None:
    an_alert(stand, level="warning")
    other = a_stand(stand.operator)
    StrutInstallation.objects.of(stand.operator).update(removed_at=NOW)
    assert "alert" not in dict(codes(answer_for(stand, client_of)))

    StrutInstallation.objects.create(operator=stand.operator, strut=stand.strut, leg=other.leg, installed_at=NOW)
    assert ("alert", "coordinator must decide") in codes(answer_for(other, client_of))
    assert "alert" not in dict(codes(answer_for(stand, client_of)))


@pytest.mark.parametrize("due_on", [date(2026, 3, 2), date(2026, 2, 1)])
def test_a_look_that_is_due_asks_to_look_first(stand: Stand, client_of: Client, due_on: date) -> None:
    an_alert(stand, level="advisory")
    Alert.objects.of(stand.operator).update(closed_at=NOW)
    Reinspection.objects.of(stand.operator).update(due_on=due_on)

    answer = answer_for(stand, client_of)

    assert codes(answer) == [("reinspection", "look first")]


def test_a_look_that_is_not_yet_due_asks_nothing(stand: Stand, client_of: Client) -> None:
    an_alert(stand, level="advisory")
    Alert.objects.of(stand.operator).update(closed_at=NOW)

    assert looks_of(stand)[0].done_at is None
    assert answer_for(stand, client_of)["reasons"] == []


def test_after_a_hard_landing_a_coordinator_decides(stand: Stand, client_of: Client) -> None:
    landing = UsageRow(aircraft_id=stand.aircraft.id, ended_at=NOW - timedelta(minutes=5), hard_landing=True)
    add_usages(actor=stand.actor, now=NOW, rows=[landing])
    review_operator(operator=stand.operator, now=NOW)

    answer = answer_for(stand, client_of)

    assert looks_of(stand)[0].reason == Reason.HARD_LANDING
    assert answer["readiness"] == "coordinator must decide"


@pytest.mark.parametrize(
    ("extension_in", "asks"),
    [(3.2, "coordinator must decide"), (3.95, "look first"), (5.9, "coordinator must decide")],
)
def test_a_reading_outside_its_limits_asks_as_surely_as_it_is_outside(
    client_of: Client, extension_in: float, asks: str
) -> None:
    stand = a_stand()
    a_strut_reading(stand, extension_in)

    assert ("outside_limits", asks) in codes(answer_for(stand, client_of))


def test_old_readings_missing_readings_and_a_missing_strut_are_said(client_of: Client) -> None:
    never = a_stand()
    assert codes(answer_for(never, client_of)) == [("never_read", "no current readings")]

    old = a_stand()
    add_strut_readings(actor=old.actor, now=NOW, entries=[a_strut_entry(old.leg, taken_at=NOW - timedelta(days=31))])
    a_tyre_reading(old)
    assert codes(answer_for(old, client_of)) == [("stale_reading", "no current readings")]

    read_hot = a_stand()
    a_strut_reading(read_hot)
    a_tyre_reading(read_hot, taken_at=NOW - timedelta(days=31))
    a_tyre_reading(read_hot, taken_at=NOW - timedelta(days=1), hot=True)
    assert codes(answer_for(read_hot, client_of)) == [("stale_reading", "no current readings")]

    StrutInstallation.objects.of(old.operator).update(removed_at=NOW)
    assert codes(answer_for(old, client_of)) == [("nothing_installed", "no current readings")]


@pytest.mark.parametrize(
    ("time_zone", "taken_at", "found"),
    [  # the clock stands at 22:30 of 2 March in Auckland, at 23:30 of 1 March in Honolulu
        ("Pacific/Auckland", "2026-01-30T10:59:00Z", ["last read 31 days ago"]),
        ("Pacific/Auckland", "2026-01-30T11:01:00Z", []),
        ("Pacific/Honolulu", "2026-01-30T09:59:00Z", ["last read 31 days ago"]),
        ("Pacific/Honolulu", "2026-01-30T10:01:00Z", []),
    ],
)
def test_the_age_of_a_reading_counts_the_days_of_the_club_s_own_calendar(
    client_of: Client, time_zone: str, taken_at: str, found: list[str]
) -> None:
    stand = a_stand(an_operator(time_zone=time_zone))
    a_strut_reading(stand, taken_at=datetime.fromisoformat(taken_at))

    assert [reason["words"] for reason in answer_for(stand, client_of)["reasons"]] == found


def test_the_weightiest_reason_decides_and_comes_first(stand: Stand, client_of: Client) -> None:
    an_alert(stand, level="warning")

    answer = answer_for(stand, client_of)

    assert answer["readiness"] == answer["reasons"][0]["asks"] == "coordinator must decide"
    assert len(answer["reasons"]) == 2  # the alert, and its look that is due today


def test_no_word_says_that_an_aircraft_is_fit_to_fly(stand: Stand, client_of: Client) -> None:
    text = client_of(stand.operator).get(URL).content.decode().lower()

    assert not any(word in text for word in ("airworthy", "fit to fly", "safe", "cleared", "serviceable", "go ahead"))


def test_retired_aircraft_and_those_of_others_are_left_out(stand: Stand, client_of: Client) -> None:
    other = a_stand()
    client = client_of(stand.operator)
    assert client.get(f"{URL}/{other.aircraft.registration}").status_code == 404

    Aircraft.objects.of(stand.operator).update(retired_at=NOW)

    assert client.get(URL).json()["aircraft"] == []
    assert client.get(f"{URL}/{stand.aircraft.registration}").status_code == 404


def test_without_a_token_nothing_is_said() -> None:
    assert APIClient().get(URL).status_code == 401


def _bigger(stand: Stand, aircraft: int) -> None:
    for _ in range(aircraft):
        more = a_stand(stand.operator)
        a_strut_reading(more, 4.5)
        a_tyre_reading(more)
        an_alert(more, level="warning")


def test_the_size_of_the_fleet_does_not_change_the_number_of_queries(stand: Stand, client_of: Client) -> None:
    client = client_of(stand.operator)
    client.get(URL)
    counts = []
    for aircraft in (1, 4):
        _bigger(stand, aircraft)
        with CaptureQueriesContext(
            connection,
        ) as queries:
            assert client.get(URL).status_code == 200
        counts.append(len(queries))

    assert counts[0] == counts[1] <= 14


def test_an_unchanged_fleet_is_answered_304_in_three_queries(stand: Stand, client_of: Client) -> None:
    client = client_of(stand.operator)
    etag = client.get(URL)["ETag"]

    with CaptureQueriesContext(connection) as queries:
        answer = client.get(URL, headers={"If-None-Match": etag})

    assert (answer.status_code, answer.content, answer["ETag"]) == (304, b"", etag)
    assert len(queries) <= 3  # the token, the stamp, the legs


CHANGES: dict[str, Callable[[Stand], Any]] = {
    "a reading": lambda stand: a_strut_reading(stand, 4.4, taken_at=NOW),
    "an alert": an_alert,
    "an alert that is put off": lambda stand: Alert.objects.of(stand.operator).update(version=7),
    "a look that is done": lambda stand: Reinspection.objects.of(stand.operator).update(version=7),
    "a flight": lambda stand: add_usages(
        actor=stand.actor, now=NOW, rows=[UsageRow(aircraft_id=stand.aircraft.id, ended_at=NOW)]
    ),
    "another aircraft": lambda stand: a_stand(stand.operator),
    "another sheet on the leg": lambda stand: Leg.objects.of(stand.operator).update(
        sheet=a_type_sheet(stand.operator, low_limit_in=4.2)
    ),
    "a strut taken off": lambda stand: StrutInstallation.objects.of(stand.operator).update(removed_at=NOW, version=2),
}


@pytest.mark.parametrize("change", CHANGES)
def test_whatever_dispatch_shows_changes_its_tag(stand: Stand, client_of: Client, change: str) -> None:
    if "put off" in change or "done" in change:
        an_alert(stand)
    client = client_of(stand.operator)
    etag = client.get(URL)["ETag"]

    CHANGES[change](stand)

    assert client.get(URL, headers={"If-None-Match": etag}).status_code == 200


def test_the_next_day_changes_the_tag_because_due_dates_pass(stand: Stand, client_of: Client) -> None:
    client = client_of(stand.operator)
    etag = client.get(URL)["ETag"]

    with time_machine.travel(later(days=1), tick=False):
        assert client.get(URL, headers={"If-None-Match": etag}).status_code == 200


def test_the_units_are_part_of_the_tag(stand: Stand, client_of: Client) -> None:
    client = client_of(stand.operator)

    assert client.get(URL)["ETag"] != client.get(f"{URL}?units=metric")["ETag"]
