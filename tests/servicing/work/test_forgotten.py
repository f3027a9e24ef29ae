"""A top-up that nobody went on with: written down, shown as due, and still there to go on with."""

from datetime import date, datetime
from typing import Any

import pytest

from fleet.aircraft.models import Leg
from fleet.audit.models import AuditEntry
from fleet.operators.models import Operator
from fleet.people.actor import Actor
from servicing import tasks
from servicing.dispatch.queries import dispatch_states
from servicing.readings.models import StrutReading
from servicing.reinspection.models import Reason, Reinspection
from servicing.reinspection.reviewing import review_operator
from servicing.work.actions import correct_servicing
from servicing.work.forgotten import put_aside_forgotten
from servicing.work.models import Servicing, TopUp
from servicing.work.top_up_actions import add_step, finish_top_up, pause_top_up, start_top_up
from tests.builders.fleet import NOW, a_leg, a_strut, an_actor, an_operator, later
from tests.builders.work import a_hand_pump, dose, look, servicing_row

pytestmark = pytest.mark.django_db
DAY = 24 * 60


@pytest.fixture
def club() -> Operator:
    return an_operator()


@pytest.fixture
def leg(club: Operator) -> Leg:
    leg = a_leg(club)
    a_strut(club, leg)
    return leg


@pytest.fixture
def actor(club: Operator) -> Actor:
    return an_actor(club, "mechanic")


@pytest.fixture
def left(club: Operator, leg: Leg, actor: Actor) -> TopUp:
    """Return a top-up of which nothing was heard after its first dose."""
    top_up, _ = start_top_up(
        actor=actor, now=NOW, leg_id=leg.id, look=look(3.0), equipment_id=a_hand_pump(club, name="Pump A").id
    )
    return go_on(actor, top_up, dose(4, 3.9, minutes=5), now=later(minutes=5))


def go_on(actor: Actor, top_up: TopUp, row: Any, *, now: datetime) -> TopUp:
    return add_step(actor=actor, now=now, top_up_id=top_up.id, row=row)[0]


def looks(club: Operator) -> list[tuple[Any, ...]]:
    rows = Reinspection.objects.of(club).filter(reason=Reason.OPEN_TOP_UP).order_by("opened_at", "id")
    return [(row.due_on, row.closed_reason) for row in rows]


def test_after_half_a_day_its_gas_and_length_are_in_the_history_and_the_service_says_that_it_did_it(
    club: Operator, left: TopUp
) -> None:
    assert put_aside_forgotten(now=later(hours=12)) == 0
    assert not Servicing.objects.of(club).exists()

    assert [put_aside_forgotten(now=later(hours=12, minutes=6)) for _ in range(2)] == [1, 0]

    gas = Servicing.objects.of(club).get()
    assert (gas.strokes, gas.extension_before_in, gas.extension_after_in, gas.done_at) == (
        4,
        3.0,
        3.9,
        later(minutes=5),
    )
    assert StrutReading.objects.of(club).get().extension_in == 3.9
    assert TopUp.objects.of(club).get().paused_at == later(hours=12, minutes=6)
    assert AuditEntry.objects.of(club).get(action="top-up paused").person_id is None


def test_someone_is_asked_to_finish_it_and_dispatch_shows_it_from_its_day_on(club: Operator, left: TopUp) -> None:
    put_aside_forgotten(now=later(days=1))
    for _ in range(2):
        review_operator(operator=club, now=later(days=1))

    assert looks(club) == [(date(2026, 3, 5), "")]
    words = "reinspection due: a top-up that was not finished"
    assert [words in against(club, later(days=days)) for days in (2, 3)] == [False, True]


def against(club: Operator, now: datetime) -> list[str]:
    return [reason.words for state in dispatch_states(club, now) for reason in state.reasons]


def test_one_that_was_paused_on_purpose_is_asked_for_as_well(club: Operator, actor: Actor, left: TopUp) -> None:
    pause_top_up(actor=actor, now=later(minutes=7), top_up_id=left.id, version=left.version)

    review_operator(operator=club, now=later(days=1))

    assert looks(club) == [(date(2026, 3, 5), "")]


def test_no_reading_ends_the_look_but_the_end_of_the_top_up_does(club: Operator, actor: Actor, left: TopUp) -> None:
    put_aside_forgotten(now=later(days=1))
    review_operator(operator=club, now=later(days=1))
    resumed = go_on(actor, left, look(3.8, minutes=4 * DAY, exercised="flown"), now=later(days=4))
    pause_top_up(actor=actor, now=later(days=4), top_up_id=left.id, version=resumed.version)
    assert StrutReading.objects.of(club).count() == 2
    review_operator(operator=club, now=later(days=5))
    assert looks(club) == [(date(2026, 3, 5), "the top-up went on or was finished"), (date(2026, 3, 9), "")]

    finish_top_up(
        actor=actor, now=later(days=5), top_up_id=left.id, version=resumed.version + 1, note="left for the mechanic"
    )
    review_operator(operator=club, now=later(days=5))

    assert [closed for _, closed in looks(club)] == ["the top-up went on or was finished"] * 2


def test_it_goes_on_where_it_was_left(club: Operator, actor: Actor, left: TopUp) -> None:
    put_aside_forgotten(now=later(days=1))

    resumed = go_on(actor, left, dose(2, 4.45, minutes=2 * DAY), now=later(days=2))
    finish_top_up(actor=actor, now=later(days=2), top_up_id=left.id, version=resumed.version)

    assert [row.strokes for row in Servicing.objects.of(club).order_by("done_at")] == [4, 2]
    assert TopUp.objects.of(club).get().outcome == "within limits"


def test_a_phone_that_sends_its_doses_late_is_not_taken_for_someone_who_left(
    club: Operator, actor: Actor, leg: Leg
) -> None:
    top_up, _ = start_top_up(actor=actor, now=later(days=1), leg_id=leg.id, look=look(3.0))

    assert put_aside_forgotten(now=later(days=1, hours=1)) == 0
    review_operator(operator=club, now=later(days=1, hours=1))

    assert looks(club) == []
    assert TopUp.objects.of(club).get(pk=top_up.pk).paused_at is None


def test_what_a_person_put_right_after_a_pause_is_not_undone_when_the_top_up_is_finished(
    club: Operator, actor: Actor, leg: Leg, left: TopUp
) -> None:
    put_aside_forgotten(now=later(days=1))
    gas = Servicing.objects.of(club).get()
    row = servicing_row(leg, done_at=gas.done_at, strokes=5, extension_before_in=3.0, extension_after_in=3.9)
    correct_servicing(actor=actor, now=later(days=1), servicing_id=gas.id, row=row, reason="five strokes, not four")

    version = TopUp.objects.of(club).get().version
    finish_top_up(actor=actor, now=later(days=1), top_up_id=left.id, version=version, note="goes to the shop")

    assert [row.strokes for row in Servicing.objects.of(club).filter(superseded=False)] == [5]


def test_one_that_cannot_be_written_down_keeps_nothing_else_back_and_is_still_asked_for(
    club: Operator, left: TopUp
) -> None:
    TopUp.objects.of(club).get().strut.installations.update(removed_at=later(minutes=1))
    other = an_operator()
    another = a_leg(other)
    a_strut(other, another)
    start_top_up(actor=an_actor(other), now=NOW, leg_id=another.id, look=look(3.0))

    assert put_aside_forgotten(now=later(days=1)) == 1
    review_operator(operator=club, now=later(days=1))

    assert not Servicing.objects.of(club).exists()
    assert looks(club) == [(date(2026, 3, 5), "")]


def test_the_schedule_looks_for_them(club: Operator, left: TopUp, settings: Any) -> None:
    tasks.put_aside_forgotten_top_ups()  # the clock of the test run is long after the builders' day

    assert TopUp.objects.of(club).get().paused_at is not None
