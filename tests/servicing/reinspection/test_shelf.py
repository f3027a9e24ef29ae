"""A look rests with its part on the shelf and comes back with it, unless it has ended meanwhile."""

from datetime import datetime

import pytest

from fleet.aircraft.models import Aircraft
from fleet.gear.correcting import withdraw_installation
from fleet.gear.installing import install_part, remove_part
from fleet.gear.kinds import STRUT, TYRE, PartKind
from servicing.alerts.handling import handle_change
from servicing.reinspection.actions import request_reinspection
from servicing.reinspection.closing import ON_NO_AIRCRAFT
from servicing.reinspection.models import Reason
from servicing.reinspection.reviewing import review_operator
from servicing.work.actions import add_servicings, correct_servicing
from servicing.work.models import Work
from tests.builders.alerts import a_change, a_strut_standing, an_alert, looks_of
from tests.builders.fleet import later
from tests.builders.readings import Stand, a_stand, a_strut_entry, strut_readings
from tests.builders.work import servicing_row

pytestmark = pytest.mark.django_db
TAKEN_OFF, PUT_ON, END = later(hours=1), later(days=100), later(days=300)


@pytest.fixture
def stand() -> Stand:
    return a_stand()


def off(stand: Stand, kind: PartKind = STRUT, at: datetime = TAKEN_OFF) -> None:
    part = stand.strut if kind is STRUT else stand.tyre
    remove_part(actor=stand.actor, now=END, kind=kind, part_id=part.id, removed_at=at, reason="")
    review_operator(operator=stand.operator, now=at)


def on(stand: Stand, kind: PartKind = STRUT, at: datetime = PUT_ON) -> None:
    part = stand.strut if kind is STRUT else stand.tyre
    install_part(actor=stand.actor, now=END, kind=kind, part_id=part.id, leg_id=stand.leg.id, installed_at=at)
    review_operator(operator=stand.operator, now=at)


def work(stand: Stand, kind: str) -> None:
    add_servicings(actor=stand.actor, now=END, rows=[servicing_row(stand.leg, kind)])
    review_operator(operator=stand.operator, now=later())


def state(stand: Stand) -> list[tuple[str, str | None]]:
    """Return reason of each look, and why it was closed, None while it is open."""
    return [(look.reason, look.closed_reason if look.done_at else None) for look in looks_of(stand)]


@pytest.mark.parametrize(("work_done", "kind"), [(Work.SEALS, STRUT), (Work.TYRE_CHANGED, TYRE)])
def test_the_look_after_work_comes_back(stand: Stand, work_done: str, kind: PartKind) -> None:
    work(stand, work_done)
    off(stand, kind)
    assert [why for _, why in state(stand)] == [ON_NO_AIRCRAFT]

    on(stand, kind)

    assert [why for _, why in state(stand)] == [None]


def test_a_look_that_a_person_asked_for_comes_back(stand: Stand) -> None:
    request_reinspection(
        actor=stand.actor, now=later(), leg_id=stand.leg.id, part="strut", look_for="a scratch",
        due_on=later(days=3).date(),
    )  # fmt: skip
    off(stand)
    on(stand)

    assert state(stand) == [(Reason.REQUESTED, None)]


def test_the_look_for_a_finding_comes_back_while_it_is_found(stand: Stand) -> None:
    an_alert(stand)
    off(stand)
    assert state(stand) == [(Reason.DRIFT, ON_NO_AIRCRAFT)]

    on(stand)

    assert state(stand) == [(Reason.DRIFT, None)]


def test_the_look_for_a_finding_that_ended_on_the_shelf_does_not_come_back(stand: Stand) -> None:
    an_alert(stand)
    off(stand)
    gone = a_change(stand, "steady", "none", before=("losing_charge", "caution"), at=later(days=2))
    handle_change(change_id=gone.id, now=later(days=2))
    on(stand)

    assert state(stand) == [(Reason.DRIFT, "no longer found: losing charge")]


def test_a_newer_finding_on_the_shelf_takes_the_place_of_the_older(stand: Stand) -> None:
    an_alert(stand)
    off(stand)
    worse = a_change(stand, "losing_fluid", "warning", before=("losing_charge", "caution"), at=later(days=2))
    handle_change(change_id=worse.id, now=later(days=2))
    on(stand)

    assert state(stand) == [(Reason.DRIFT, "covered by the look for a newer finding"), (Reason.DRIFT, None)]


def test_work_that_was_withdrawn_meanwhile_asks_for_nothing(stand: Stand) -> None:
    work(stand, Work.SEALS)
    off(stand)
    (look,) = looks_of(stand)
    correct_servicing(actor=stand.actor, now=END, servicing_id=look.cause_id, row=None, reason="other strut")

    on(stand)

    assert state(stand) == [(Reason.NEW_SEALS, "what asked for it was taken back")]


def test_a_reading_does_the_look_that_came_back_and_another_shelf_leaves_it_done(stand: Stand) -> None:
    work(stand, Work.SEALS)
    off(stand)
    on(stand)
    strut_readings(stand, [a_strut_entry(stand.leg, taken_at=later(days=101))], now=END)
    review_operator(operator=stand.operator, now=later(days=101))
    off(stand, at=later(days=102))
    on(stand, at=later(days=103))

    (look,) = looks_of(stand)
    assert (look.done_at, look.closed_reason) == (later(days=101), "")


def test_a_reading_that_is_overdue_is_asked_for_once_though_the_part_was_away(stand: Stand) -> None:
    a_strut_standing(stand, last_reading_at=later())
    review_operator(operator=stand.operator, now=later(days=40))
    off(stand, at=later(days=41))
    on(stand)
    review_operator(operator=stand.operator, now=later(days=101))

    assert state(stand) == [(Reason.OVERDUE, None)]


def test_an_aircraft_that_is_taken_back_into_service_brings_its_looks(stand: Stand) -> None:
    work(stand, Work.SEALS)
    aircraft = Aircraft.objects.of(stand.operator)
    aircraft.update(retired_at=later(hours=1))
    review_operator(operator=stand.operator, now=later(hours=2))
    assert state(stand) == [(Reason.NEW_SEALS, ON_NO_AIRCRAFT)]

    aircraft.update(retired_at=None)
    review_operator(operator=stand.operator, now=later(days=90))

    assert state(stand) == [(Reason.NEW_SEALS, None)]


def test_an_installation_that_never_was_takes_no_look_away_for_good(stand: Stand) -> None:
    work(stand, Work.SEALS)
    row = stand.strut.installations.get()
    withdraw_installation(actor=stand.actor, now=END, kind=STRUT, installation_id=row.id, version=row.version)
    review_operator(operator=stand.operator, now=later(hours=1))
    on(stand, at=later(hours=2))

    assert state(stand) == [(Reason.NEW_SEALS, None)]
