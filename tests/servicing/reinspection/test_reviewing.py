"""Looks that work, landings, findings and time ask for, and the readings that do them."""

import itertools
from datetime import date, datetime, timedelta
from typing import Any

import pytest

from fleet.gear.models import StrutInstallation
from servicing.drift.actions import sweep
from servicing.readings.actions import add_strut_readings, add_tyre_readings
from servicing.readings.correcting import withdraw_strut_reading
from servicing.reinspection.models import Reason, Reinspection
from servicing.reinspection.reviewing import review_named_parts, review_operator, review_parts
from servicing.usage.actions import add_usages, correct_usage
from servicing.usage.rows import UsageRow
from servicing.work.actions import add_servicings
from servicing.work.models import Work
from tests.builders.alerts import a_strut_standing, an_alert, looks_of
from tests.builders.fleet import NOW, a_leg, a_strut, later, next_id
from tests.builders.readings import Stand, a_stand, a_strut_entry, a_tyre_entry
from tests.builders.work import servicing_row

pytestmark = pytest.mark.django_db


def work(stand: Stand, kind: str, done_at: datetime = NOW) -> None:
    add_servicings(actor=stand.actor, now=later(days=50), rows=[servicing_row(stand.leg, kind, done_at=done_at)])


def read(stand: Stand, taken_at: datetime) -> Any:
    entry = a_strut_entry(stand.leg, taken_at=taken_at)
    add_strut_readings(actor=stand.actor, now=later(days=50), entries=[entry])
    return entry.id


def fly(stand: Stand, landings: int, ended_at: datetime, **values: Any) -> Any:
    row = UsageRow(id=next_id(), aircraft_id=stand.aircraft.id, ended_at=ended_at, landings=landings, **values)
    add_usages(actor=stand.actor, now=later(days=50), rows=[row])
    return row


def review(stand: Stand, now: datetime = NOW) -> None:
    review_parts(operator=stand.operator, now=now, strut_ids=[stand.strut.id], tyre_ids=[stand.tyre.id])


@pytest.fixture
def stand_worked_on() -> Stand:
    """Return a club whose strut was just topped up."""
    stand = a_stand()
    work(stand, Work.GAS_ADDED)
    return stand


def opened(stand: Stand) -> list[tuple[Any, ...]]:
    return [(look.reason, look.due_on, look.due_landings) for look in looks_of(stand) if not look.done_at]


@pytest.mark.parametrize(
    ("kind", "reason", "due_on", "due_landings"),
    [
        (Work.GAS_ADDED, Reason.AFTER_TOP_UP, date(2026, 3, 9), 2),
        (Work.GAS_RELEASED, Reason.AFTER_TOP_UP, date(2026, 3, 9), 2),
        (Work.FLUID_CHANGED, Reason.AFTER_TOP_UP, date(2026, 3, 9), 2),
        (Work.SEALS, Reason.NEW_SEALS, date(2026, 3, 9), 5),
        (Work.OVERHAULED, Reason.NEW_SEALS, date(2026, 3, 9), 5),
        (Work.TYRE_CHANGED, Reason.NEW_TYRE, date(2026, 3, 3), None),
    ],
)
def test_work_asks_for_its_look(kind: str, reason: str, due_on: date, due_landings: int | None) -> None:
    stand = a_stand()
    work(stand, kind)

    review(stand)

    assert [(reason, due_on, due_landings)] == opened(stand)


@pytest.mark.parametrize("kind", [Work.CLEANED, Work.TYRE_INFLATED, Work.BEARING_SEEN])
def test_other_work_asks_for_none(kind: str) -> None:
    stand = a_stand()
    work(stand, kind)

    review(stand)

    assert opened(stand) == []


def test_reviewed_any_number_of_times_there_is_one_look() -> None:
    stand = a_stand()
    work(stand, Work.GAS_ADDED)

    for _ in range(3):
        review(stand)
        review_operator(operator=stand.operator, now=NOW)
        review_named_parts(strut_ids=[stand.strut.id], now=NOW)

    assert [look.version for look in looks_of(stand)] == [1]


def test_landings_flown_before_the_work_count_towards_the_total() -> None:
    stand = a_stand()
    fly(stand, 40, NOW - timedelta(days=3))
    work(stand, Work.GAS_ADDED)

    review(stand)

    assert [landings for *_, landings in opened(stand)] == [42]


def test_usage_that_is_entered_late_moves_the_due_landings_with_the_total() -> None:
    stand = a_stand()
    work(stand, Work.GAS_ADDED)
    review(stand)

    fly(stand, 40, NOW - timedelta(days=3))
    review(stand)

    assert [landings for *_, landings in opened(stand)] == [42]


def test_a_reading_at_once_does_not_show_late_settling_but_one_days_later_does() -> None:
    stand = a_stand()
    work(stand, Work.GAS_ADDED)
    read(stand, later(minutes=10))
    review(stand)
    assert len(opened(stand)) == 1

    reading = read(stand, later(days=3, hours=1))
    review(stand, later(days=4))

    (look,) = looks_of(stand)
    assert (later(days=3, hours=1), reading, "") == (look.done_at, look.done_by_reading, look.closed_reason)


def test_the_look_after_the_last_dose_covers_those_before() -> None:
    stand = a_stand()
    work(stand, Work.GAS_ADDED)
    review(stand)
    work(stand, Work.GAS_ADDED, later(days=2))

    review(stand, later(days=2))

    first, second = looks_of(stand)
    assert (first.closed_reason, second.done_at) == ("covered by the look after later work", None)


def test_whatever_order_rows_arrive_in_the_looks_are_the_same() -> None:
    def outcome(order: tuple[int, ...]) -> list[tuple[Any, ...]]:
        stand = a_stand()
        rows = [
            lambda: work(stand, Work.GAS_ADDED),
            lambda: work(stand, Work.GAS_ADDED, later(days=1)),
            lambda: read(stand, later(days=5)),
            lambda: read(stand, later(days=6)),
        ]
        for number in order:
            rows[number]()
            review(stand, later(days=8))
        live = [look for look in looks_of(stand) if not look.closed_reason]
        return [(look.reason, look.opened_at, look.done_at, look.due_on) for look in live]

    outcomes = [outcome(order) for order in itertools.permutations(range(4))]

    assert [(Reason.AFTER_TOP_UP, later(days=1), later(days=5), date(2026, 3, 10))] == outcomes[0]
    assert all(one == outcomes[0] for one in outcomes)


def test_a_reading_that_is_withdrawn_leaves_the_look_open_again() -> None:
    stand = a_stand()
    work(stand, Work.GAS_ADDED)
    reading = read(stand, later(days=4))
    review(stand, later(days=5))
    withdraw_strut_reading(
        actor=stand.actor, now=later(days=5), reading_id=reading, withdrawal_id=next_id(), reason="wrong leg"
    )

    review(stand, later(days=5))

    assert len(opened(stand)) == 1


def test_a_new_tyre_is_looked_at_after_half_a_day() -> None:
    stand = a_stand()
    work(stand, Work.TYRE_CHANGED)
    for hours in (11, 13):
        entry = a_tyre_entry(stand.leg, taken_at=later(hours=hours))
        add_tyre_readings(actor=stand.actor, now=later(days=50), entries=[entry])

    review(stand, later(days=1))

    (look,) = looks_of(stand)
    assert later(hours=13) == look.done_at


def test_a_hard_landing_asks_for_a_look_at_each_strut_before_the_next_flight() -> None:
    stand = a_stand()
    nose = a_leg(stand.operator, "nose", aircraft=stand.aircraft)
    a_strut(stand.operator, nose)
    fly(stand, 1, NOW, hard_landing=True)

    review_operator(operator=stand.operator, now=NOW)

    assert [(Reason.HARD_LANDING, date(2026, 3, 2), None)] * 2 == opened(stand)


def test_a_reading_does_only_the_looks_that_it_counts_for(stand_worked_on: Stand) -> None:
    stand = stand_worked_on
    fly(stand, 1, later(minutes=5), hard_landing=True)
    read(stand, later(minutes=10))

    review(stand, later(hours=1))

    done = {look.reason: look.done_at for look in looks_of(stand)}
    assert done == {Reason.AFTER_TOP_UP: None, Reason.HARD_LANDING: later(minutes=10)}


def test_a_hard_landing_that_was_none_closes_its_look() -> None:
    stand = a_stand()
    row = fly(stand, 1, NOW, hard_landing=True)
    review(stand)
    right = UsageRow(id=next_id(), aircraft_id=stand.aircraft.id, ended_at=NOW, landings=1)
    correct_usage(actor=stand.actor, now=later(hours=1), usage_id=row.id, row=right, reason="ticked by mistake")

    review(stand, later(hours=1))

    assert [look.closed_reason for look in looks_of(stand)] == ["what asked for it was taken back"]


def test_an_overdue_reading_asks_once_and_any_newer_reading_does_it() -> None:
    stand = a_stand()
    read(stand, NOW)
    a_strut_standing(stand, last_reading_at=NOW)
    for days in (30, 31, 40):
        review_operator(operator=stand.operator, now=later(days=days))
    assert [(Reason.OVERDUE, date(2026, 4, 2), None)] == opened(stand)

    # Taken before the look was opened, by a telephone that was offline since.
    read(stand, later(days=29))
    review(stand, later(days=41))

    assert opened(stand) == []


def test_a_tyre_read_hot_is_still_to_be_read_cold() -> None:
    stand = a_stand()
    add_tyre_readings(actor=stand.actor, now=NOW, entries=[a_tyre_entry(stand.leg, taken_at=NOW)])
    sweep(now=NOW)
    hot = a_tyre_entry(stand.leg, taken_at=later(days=39), hot=True)
    add_tyre_readings(actor=stand.actor, now=later(days=39), entries=[hot])
    sweep(now=later(days=40))
    for _ in range(2):  # what the first opens the second could do by the hot reading
        review_operator(operator=stand.operator, now=later(days=40))
    assert [reason for reason, *_ in opened(stand)] == [Reason.OVERDUE]

    cold = a_tyre_entry(stand.leg, taken_at=later(days=41))
    add_tyre_readings(actor=stand.actor, now=later(days=41), entries=[cold])
    review(stand, later(days=41))

    assert opened(stand) == []


def test_a_finding_s_look_is_done_by_a_reading_taken_after_it() -> None:
    stand = a_stand()
    an_alert(stand)
    read(stand, NOW - timedelta(hours=1))
    review(stand)
    assert len(opened(stand)) == 1

    read(stand, later(hours=1))
    review(stand, later(hours=2))

    assert opened(stand) == []


def test_a_look_follows_its_strut_to_another_leg() -> None:
    stand = a_stand()
    work(stand, Work.SEALS)
    review(stand)
    nose = a_leg(stand.operator, "nose", aircraft=stand.aircraft)
    StrutInstallation.objects.of(stand.operator).filter(strut=stand.strut).update(removed_at=later(hours=1))
    StrutInstallation.objects.create(
        operator=stand.operator, strut=stand.strut, leg=nose, installed_at=later(hours=1)
    )

    review(stand, later(hours=2))
    review(stand, later(hours=3))

    (look,) = looks_of(stand)
    assert (nose.id, None) == (look.leg_id, look.done_at)


def test_a_look_for_a_strut_on_no_aircraft_is_closed_with_that_reason() -> None:
    stand = a_stand()
    work(stand, Work.SEALS)
    review(stand)
    StrutInstallation.objects.of(stand.operator).update(removed_at=later(hours=1))

    review(stand, later(hours=2))

    assert [look.closed_reason for look in looks_of(stand)] == ["the part is on no aircraft in service"]


def test_work_of_long_ago_asks_for_nothing() -> None:
    stand = a_stand()
    work(stand, Work.GAS_ADDED, NOW - timedelta(days=61))

    review(stand)

    assert Reinspection.objects.of(stand.operator).count() == 0


def test_one_operator_s_review_leaves_another_s_looks_alone() -> None:
    stand, other = a_stand(), a_stand()
    work(stand, Work.GAS_ADDED)
    work(other, Work.GAS_ADDED)

    review_operator(operator=stand.operator, now=NOW)

    assert (len(looks_of(stand)), len(looks_of(other))) == (1, 0)
