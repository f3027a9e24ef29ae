"""Two top-ups close together with nobody looking at the fluid (a rule of the renewal rate, no source)."""

from datetime import timedelta

import pytest

from servicing.drift.actions import sweep, sweep_night
from servicing.drift.models import FindingChange, StrutStanding
from servicing.readings.actions import add_strut_readings
from servicing.work.actions import add_servicings
from servicing.work.models import Work
from tests.builders.drift import lengths_over_time
from tests.builders.fleet import NOW
from tests.builders.readings import Stand, a_stand, a_strut_entry
from tests.builders.work import servicing_row

pytestmark = pytest.mark.django_db


def work(stand: Stand, days_ago: float, kind: str = Work.GAS_ADDED) -> None:
    row = servicing_row(stand.leg, kind, done_at=NOW - timedelta(days=days_ago))
    add_servicings(actor=stand.actor, now=NOW, rows=[row])


def steady_with(*events: tuple[float, str]) -> Stand:
    """Return a steady strut on which so many days ago was worked."""
    stand = a_stand()
    entries = lengths_over_time(stand.leg, [4.5 + 0.02 * (number % 3 - 1) for number in range(40)])
    add_strut_readings(actor=stand.actor, now=NOW, entries=entries)
    for days_ago, kind in events:
        work(stand, days_ago, kind)
    return stand


def found(stand: Stand) -> StrutStanding:
    sweep(now=NOW)
    return StrutStanding.objects.of(stand.operator).get()


def test_two_within_sixty_days_ask_for_the_fluid_whatever_the_readings_say() -> None:
    row = found(steady_with((70, Work.GAS_ADDED), (20, Work.GAS_ADDED)))

    assert (row.finding, row.level) == ("losing_charge", "advisory")
    assert row.evidence["check_first"] == "check_fluid_level"
    assert row.evidence["repeated_top_ups"] == ["2025-12-22", "2026-02-10"]


@pytest.mark.parametrize(
    "events",
    [
        [(20, Work.GAS_ADDED)],
        [(81, Work.GAS_ADDED), (20, Work.GAS_ADDED)],
        [(20.1, Work.GAS_ADDED), (20, Work.GAS_ADDED)],
        [(70, Work.GAS_ADDED), (50, Work.GAS_RELEASED), (20, Work.GAS_ADDED)],
        [(70, Work.GAS_ADDED), (50, Work.FLUID_ADDED), (20, Work.GAS_ADDED)],
        [(70, Work.GAS_ADDED), (50, Work.VALVE_CORE), (20, Work.GAS_ADDED)],
        [(70, Work.GAS_ADDED), (20, Work.GAS_ADDED), (18, Work.SEALS)],
        [(110, Work.GAS_ADDED), (61, Work.GAS_ADDED)],
    ],
)
def test_else_nothing_is_asked(events: list[tuple[float, str]]) -> None:
    assert "repeated_top_ups" not in found(steady_with(*events)).evidence


@pytest.mark.parametrize("days_ago", [40.0, 5.0])
def test_a_look_at_the_fluid_level_answers_it(days_ago: float) -> None:
    stand = steady_with((70, Work.GAS_ADDED), (20, Work.GAS_ADDED))
    look = a_strut_entry(stand.leg, taken_at=NOW - timedelta(days=days_ago, hours=3), fluid_level="correct")
    add_strut_readings(actor=stand.actor, now=NOW, entries=[look])

    assert "repeated_top_ups" not in found(stand).evidence


def test_it_ends_by_the_calendar_without_news() -> None:
    stand = steady_with((70, Work.GAS_ADDED), (20, Work.GAS_ADDED))
    sweep(now=NOW)

    sweep_night(now=NOW + timedelta(days=41))

    row = StrutStanding.objects.of(stand.operator).get()
    assert "repeated_top_ups" not in row.evidence
    levels = FindingChange.objects.of(stand.operator).order_by("at").values_list("level", flat=True)
    assert list(levels) == ["advisory", "none"]
