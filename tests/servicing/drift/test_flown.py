"""Settling after work: two weeks and three flights, where flights are logged (common practice, no source)."""

from datetime import timedelta

import pytest

from servicing.drift.actions import sweep, sweep_night
from servicing.drift.models import StrutStanding
from servicing.drift.queries import strut_trend
from servicing.usage.actions import add_usages
from servicing.usage.rows import UsageRow
from servicing.work.actions import add_servicings
from servicing.work.models import Work
from tests.builders.drift import a_leak, read_strut
from tests.builders.fleet import NOW
from tests.builders.readings import Stand, a_stand
from tests.builders.work import servicing_row

pytestmark = pytest.mark.django_db


def flown(stand: Stand, *days_ago: float, flights: int = 1) -> None:
    rows = [
        UsageRow(aircraft_id=stand.aircraft.id, ended_at=NOW - timedelta(days=one), flights=flights)
        for one in days_ago
    ]
    add_usages(actor=stand.actor, now=NOW, rows=rows)


def worked_on(days_ago: float, kind: str = Work.GAS_ADDED, *, losing: int = 0) -> Stand:
    """Return a strut that was worked on so many days ago, with readings all along."""
    stand = a_stand()
    read_strut(stand, a_leak(steady=40 - losing, losing=losing, loss_in=0.04))
    row = servicing_row(stand.leg, kind, done_at=NOW - timedelta(days=days_ago))
    add_servicings(actor=stand.actor, now=NOW, rows=[row])
    return stand


def standing(stand: Stand) -> StrutStanding:
    sweep(now=NOW)
    return StrutStanding.objects.of(stand.operator).get(strut=stand.strut)


def test_after_two_weeks_it_still_settles_until_the_third_flight() -> None:
    stand = worked_on(20)
    flown(stand, 40, 15, 10)

    row = standing(stand)

    assert (row.finding, row.level) == ("settling", "none")
    assert row.evidence["check_first"] == "fly_and_read_again"

    flown(stand, 1)
    sweep_night(now=NOW + timedelta(days=1))
    row.refresh_from_db()
    assert row.finding == "steady"


def test_several_flights_may_be_logged_as_one_use() -> None:
    stand = worked_on(20)
    flown(stand, 5, flights=3)

    assert standing(stand).finding == "steady"


def test_within_two_weeks_it_settles_however_often_it_flew() -> None:
    stand = worked_on(10)
    flown(stand, 9, 8, 7, 6)

    assert standing(stand).finding == "settling"


@pytest.mark.parametrize(
    ("days_ago", "kind", "flight_days_ago"),
    [
        (20, Work.GAS_ADDED, ()),
        (20, Work.GAS_ADDED, (200,)),
        (100, Work.GAS_ADDED, (120,)),
        (20, Work.BEARING_SEEN, (30,)),
    ],
    ids=["nobody logs flights", "not for half a year", "long ago", "work that moves no level"],
)
def test_the_calendar_speaks_alone(days_ago: float, kind: str, flight_days_ago: tuple[float, ...]) -> None:
    stand = worked_on(days_ago, kind)
    flown(stand, *flight_days_ago)

    assert standing(stand).finding == "steady"


def test_a_loss_is_told_though_it_has_not_flown() -> None:
    stand = worked_on(60, losing=10)
    flown(stand, 70)

    assert standing(stand).finding == "losing_charge"


def test_trend_and_standing_say_the_same_of_it() -> None:
    stand = worked_on(20)
    flown(stand, 30)

    trend = strut_trend(stand.operator.id, stand.strut.id, now=NOW)

    assert trend is not None
    assert trend.standing["finding"] == standing(stand).finding == "settling"
