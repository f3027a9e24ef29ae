"""What qualifies a standing, over HTTP, in mail and chart: a single step nobody entered, and pressures at rest."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
from rest_framework.test import APIClient

from servicing.alerts.handling import handle_waiting_changes
from servicing.alerts.models import Alert
from servicing.drift.actions import sweep
from servicing.drift.models import FindingChange, StrutStanding
from servicing.outbox.models import OutgoingMail
from tests.builders.drift import a_leak, read_strut
from tests.builders.fleet import NOW
from tests.builders.readings import Stand, a_stand, a_strut_reading

pytestmark = pytest.mark.django_db
API = "/api/v1"
ClientOf = Callable[..., APIClient]
STEADY = a_leak(steady=24, losing=0, loss_in=0.0)
DAYS_APART = 6.0
LET_DOWN = NOW - timedelta(days=DAYS_APART * 24 + 1)


def let_down(steady: int = 24, after: int = 25, down_in: float = 0.6) -> list[float]:
    """Return lengths of a strut that was let down once and then holds."""
    ripple = [(0.05, -0.06, 0.02, 0.07, -0.04, -0.03, 0.01)[number % 7] for number in range(steady + after)]
    return [4.5 + one - (down_in if number >= steady else 0.0) for number, one in enumerate(ripple)]


@pytest.fixture(autouse=True)
def _clock() -> Any:
    with time_machine.travel(NOW, tick=False):
        yield


def standing(client: APIClient, stand: Stand) -> dict[str, Any]:
    sweep(now=NOW)
    return dict(client.get(f"{API}/struts/{stand.strut.id}/standing").json())


def test_a_step_that_nobody_entered_qualifies_the_loss_until_the_work_is_entered(client_of: ClientOf) -> None:
    stand = a_stand()
    client = client_of(stand.operator)
    read_strut(stand, let_down(), days_apart=DAYS_APART)

    told = standing(client, stand)

    assert told["finding"] == "losing_charge"
    assert told["check_first"] == "ask_who_worked"
    assert told["checks"][0].startswith("Ask who worked on it")
    assert any("fluid" in check for check in told["checks"][1:])
    step = told["single_step"]
    assert abs((date.fromisoformat(step["on"]) - LET_DOWN.date()).days) <= 7
    assert step["earliest"] <= step["on"] <= step["latest"]
    assert step["down"]["value"] == pytest.approx(0.6, abs=0.06)
    assert "Was gas let out then" in step["text"]
    handle_waiting_changes(now=NOW)
    mail = OutgoingMail.objects.of(stand.operator)[0]
    assert "- Or a step: The readings fit a single step down by 0." in mail.text
    assert "1. Ask who worked on it" in mail.text
    assert "fit a single step down" in client.get(f"{API}/struts/{stand.strut.id}/chart.svg").content.decode()

    entered = client.post(
        f"{API}/servicings",
        {
            "aircraft": stand.aircraft.registration,
            "leg": "left main",
            "done_at": LET_DOWN.isoformat(),
            "work": "gas released",
        },
    )

    assert entered.status_code == 201, entered.content
    again = standing(client, stand)
    assert (again["finding"], again["single_step"]) == ("standing_low", None) or again["finding"] == "steady"
    handle_waiting_changes(now=NOW)
    assert not Alert.objects.of(stand.operator).filter(closed_at=None, finding="losing_charge").exists()


def test_a_loss_that_goes_on_is_not_called_a_step(client_of: ClientOf) -> None:
    stand = a_stand()
    read_strut(stand, a_leak(steady=24, losing=25, loss_in=0.025), days_apart=DAYS_APART)

    told = standing(client_of(stand.operator), stand)

    assert (told["finding"], told["single_step"]) == ("losing_charge", None)
    assert told["check_first"] == "look_for_fluid"


def test_a_step_changes_neither_finding_nor_level(client_of: ClientOf) -> None:
    stand = a_stand()
    read_strut(stand, let_down(), days_apart=DAYS_APART)
    sweep(now=NOW)

    change = FindingChange.objects.of(stand.operator).get()

    assert (change.finding, change.level in ("caution", "warning")) == ("losing_charge", True)


def test_fluid_that_was_seen_tells_more_than_a_step(client_of: ClientOf) -> None:
    stand = a_stand()
    read_strut(stand, let_down(), days_apart=DAYS_APART)
    a_strut_reading(stand, 3.9, fluid_seen="wet", fluid_level="low")

    told = standing(client_of(stand.operator), stand)

    assert (told["finding"], told["check_first"]) == ("losing_fluid", "check_fluid_level")
    assert told["single_step"] is not None


def test_a_pressure_that_does_not_fit_the_load_is_looked_into_first(client_of: ClientOf) -> None:
    stand = a_stand()
    client = client_of(stand.operator)
    read_strut(stand, STEADY, now=NOW - timedelta(days=1))
    assert standing(client, stand)["pressure_check"] is None
    reading = a_strut_reading(stand, 4.5, pressure_psig=220.0)

    told = standing(client, stand)

    assert (told["finding"], told["level"]) == ("steady", "none")
    assert told["pressure_check"]["reading"] == str(reading.id)
    assert told["pressure_check"]["verdict"] == "more than the load"
    assert told["pressure_check"]["pressure"] == {"value": 220, "unit": "psi", "reference": "gauge"}
    assert told["check_first"] == "check_load_and_friction"
    assert told["checks"][0].startswith("Exercise the strut, then read length and pressure again")
    assert told["cautions"]


def test_an_agreeing_pressure_is_evidence_and_no_more(client_of: ClientOf) -> None:
    stand = a_stand()
    client = client_of(stand.operator)
    read_strut(stand, STEADY, now=NOW - timedelta(days=1))
    before = standing(client, stand)
    a_strut_reading(stand, 4.5, pressure_psig=176.0)

    told = standing(client, stand)

    assert told["pressure_check"]["verdict"] == "agrees"
    assert {told[name] == before[name] for name in ("finding", "level", "check_first", "checks", "cautions")} == {
        True
    }


def test_a_pressure_says_nothing_of_gas_or_fluid(client_of: ClientOf) -> None:
    plain, gauged = a_stand(), a_stand()
    lengths = a_leak(steady=30, losing=14, loss_in=0.03)
    read_strut(plain, lengths, fluid_seen="wet")
    read_strut(gauged, lengths, fluid_seen="wet", pressure_psig=176.0)

    one, other = (standing(client_of(stand.operator), stand) for stand in (plain, gauged))

    assert one["probability_fluid"] == other["probability_fluid"]
    assert (one["finding"], one["rate"], one["check_first"]) == (
        other["finding"],
        other["rate"],
        other["check_first"],
    )


def test_after_work_or_five_more_readings_an_old_pressure_is_left_out(client_of: ClientOf) -> None:
    stand = a_stand()
    client = client_of(stand.operator)
    a_strut_reading(stand, 4.5, pressure_psig=220.0, taken_at=NOW - timedelta(days=200))
    read_strut(stand, STEADY[:4])
    assert standing(client, stand)["pressure_check"] is not None
    read_strut(stand, STEADY[:1], now=NOW - timedelta(days=40))

    assert standing(client, stand)["pressure_check"] is None


def test_a_strut_on_its_stop_stands_high_and_its_length_counts_for_nothing(client_of: ClientOf) -> None:
    stand = a_stand()
    client = client_of(stand.operator)
    read_strut(stand, STEADY, now=NOW - timedelta(days=1))
    before = standing(client, stand)
    reading = a_strut_reading(stand, 8.5, pressure_psig=260.0)

    told = standing(client, stand)

    assert (before["finding"], told["finding"], told["level"]) == ("steady", "standing_high", "caution")
    assert told["extension"] is None
    assert told["rate"] == before["rate"]
    assert told["pressure_check"]["verdict"] == "topped out"
    row = StrutStanding.objects.of(stand.operator).get()
    assert row.evidence["set_aside"] == [{"reading": str(reading.id), "reason": "topped_out"}]
    points = client.get(f"{API}/struts/{stand.strut.id}/trend").json()["points"]
    assert points[-1]["disposition"] == "topped_out"
    ready = client.get(f"{API}/dispatch/{stand.aircraft.registration}").json()
    assert "outside_limits" in str(ready)
    handle_waiting_changes(now=NOW)
    mail = OutgoingMail.objects.of(stand.operator)[0]
    assert "- Pressure at rest: 260 psi on the tube carry 1034 lbf where 700 lbf stand" in mail.text
    assert "- Extension:" not in mail.text
    assert "standing_high" in b"".join(client.get(f"{API}/backtest.csv").streaming_content).decode()
