"""A top-up from its first look to the history that it leaves."""

import pytest
from django.db import DatabaseError, connection, transaction

from fleet.people.models import Scope
from fleet.refusals import Clash, Refused, Stale
from fleet.web.authentication import actor_of
from servicing.readings.models import StrutReading
from servicing.work.models import Outcome, Servicing, TopUp, TopUpStep, Work
from servicing.work.top_up_actions import add_step, finish_top_up, pause_top_up, start_top_up
from tests.builders.fleet import NOW, a_leg, a_person, a_strut, a_token, an_actor, an_operator, later, next_id
from tests.builders.work import a_hand_pump, dose, equipment, look

pytestmark = pytest.mark.django_db


@pytest.fixture
def club():
    return an_operator()


@pytest.fixture
def leg(club):
    leg = a_leg(club)
    a_strut(club, leg)
    return leg


@pytest.fixture
def actor(club):
    return an_actor(club)


def started(club, leg, actor, extension_in=3.0, **values):
    return start_top_up(
        actor=actor, now=NOW, leg_id=leg.id, look=look(extension_in), equipment_id=a_hand_pump(club).id, **values
    )[0]


def test_a_top_up_starts_with_a_look_and_aims_at_the_sheets_target(club, leg, actor):
    top_up = started(club, leg, actor)

    step = top_up.steps.get()
    assert (top_up.target_in, top_up.tolerance_in) == (4.5, 0.25)
    assert step.amount == 0
    assert step.corrected_in == pytest.approx(3.0, abs=0.01)  # read at the sheet's own conditions


def test_a_second_top_up_of_the_same_strut_is_refused_with_the_one_that_runs(club, leg, actor):
    running = started(club, leg, actor)

    with pytest.raises(Clash, match=str(running.id)):
        started(club, leg, actor)


def test_the_same_start_sent_again_is_the_same_top_up(club, leg, actor):
    top_up_id = next_id()
    first = started(club, leg, actor, top_up_id=top_up_id)

    again, new = start_top_up(actor=actor, now=later(minutes=1), leg_id=leg.id, look=look(3.0), top_up_id=top_up_id)

    assert (again, new) == (first, False)


@pytest.mark.parametrize(
    ("values", "field"),
    [({"target_in": 5.2}, "target"), ({"tolerance_in": 0.6}, "tolerance"), ({"tolerance_in": 0.0}, "tolerance")],
)
def test_a_target_outside_the_sheets_limits_is_refused(club, leg, actor, values, field):
    with pytest.raises(Refused) as refusal:
        started(club, leg, actor, **values)

    assert refusal.value.faults[0].field == field


def test_a_gauge_or_retired_equipment_is_refused(club, leg, actor):
    gauge = equipment(club, "gauge")
    retired = a_hand_pump(club, retired_at=NOW)

    for unfit in (gauge, retired):
        with pytest.raises(Refused, match=r"equipment|gauge"):
            start_top_up(actor=actor, now=NOW, leg_id=leg.id, look=look(3.0), equipment_id=unfit.id)


def test_the_same_dose_sent_five_times_is_one_dose_with_or_without_an_id(club, leg, actor):
    top_up = started(club, leg, actor)
    for row in (dose(4, 3.9, minutes=5, id=next_id()), dose(2, 4.3, minutes=9)):
        for _ in range(5):
            add_step(actor=actor, now=NOW, top_up_id=top_up.id, row=row)

    assert list(top_up.steps.order_by("sequence").values_list("amount", flat=True)) == [0, 4, 2]


def test_who_read_an_older_plan_is_told_and_nothing_is_recorded(club, leg, actor):
    top_up = started(club, leg, actor)
    add_step(actor=actor, now=NOW, top_up_id=top_up.id, row=dose(4, 3.9, minutes=5), version=1)

    with pytest.raises(Stale):
        add_step(actor=an_actor(club), now=NOW, top_up_id=top_up.id, row=dose(4, 4.6, minutes=6), version=1)

    assert top_up.steps.count() == 2


def test_temperature_and_fuel_of_the_step_before_hold_within_a_sitting(club, leg, actor):
    top_up = started(club, leg, actor)
    bare = dose(2, 3.5, minutes=10, temperature_f=None, fuel_lb=None)

    _, step, _ = add_step(actor=actor, now=NOW, top_up_id=top_up.id, row=bare)

    assert (step.temperature_f, step.fuel_lb) == (70.0, 240.0)


def test_a_length_beyond_the_tube_is_refused_by_its_field(club, leg, actor):
    top_up = started(club, leg, actor)

    with pytest.raises(Refused) as refusal:
        add_step(actor=actor, now=NOW, top_up_id=top_up.id, row=dose(2, 45.0, minutes=10))

    assert refusal.value.faults[0].field == "extension"


def test_a_finished_top_up_leaves_one_servicing_and_the_length_at_its_end(club, leg, actor):
    top_up = started(club, leg, actor)
    add_step(actor=actor, now=NOW, top_up_id=top_up.id, row=dose(4, 3.9, minutes=5))
    top_up, _, _ = add_step(actor=actor, now=NOW, top_up_id=top_up.id, row=dose(2, 4.4, minutes=9))

    finished = finish_top_up(actor=actor, now=later(minutes=12), top_up_id=top_up.id, version=top_up.version)

    servicing = Servicing.objects.of(club).get()
    reading = StrutReading.objects.of(club).get()
    assert finished.outcome == Outcome.WITHIN_LIMITS
    assert (servicing.work, servicing.strokes, servicing.top_up_id) == (Work.GAS_ADDED, 6, top_up.id)
    assert (servicing.extension_before_in, servicing.extension_after_in) == (3.0, 4.4)
    assert servicing.done_at == later(minutes=9)
    assert reading.extension_in == 4.4
    assert reading.taken_at > servicing.done_at
    assert reading.exercised


def test_leaving_a_strut_outside_its_limits_needs_a_reason(club, leg, actor):
    top_up = started(club, leg, actor)

    with pytest.raises(Refused, match="outside its limits"):
        finish_top_up(actor=actor, now=NOW, top_up_id=top_up.id, version=top_up.version)
    finished = finish_top_up(actor=actor, now=NOW, top_up_id=top_up.id, version=top_up.version, note="valve leaks")

    assert finished.outcome == Outcome.LEFT_AS_IS


def test_a_pause_over_days_writes_down_each_sitting_and_dosing_goes_on(club, leg, actor):
    top_up = started(club, leg, actor)
    top_up, _, _ = add_step(actor=actor, now=NOW, top_up_id=top_up.id, row=dose(4, 3.9, minutes=5))
    paused = pause_top_up(actor=actor, now=later(minutes=6), top_up_id=top_up.id, version=top_up.version)
    assert paused.paused_at == later(minutes=6)
    assert Servicing.objects.of(club).get().strokes == 4

    two_days = 2 * 24 * 60
    add_step(
        actor=actor,
        now=later(days=2),
        top_up_id=top_up.id,
        row=look(4.1, minutes=two_days, exercised="flown"),
    )
    top_up, _, _ = add_step(
        actor=actor, now=later(days=2), top_up_id=top_up.id, row=dose(1, 4.35, minutes=two_days + 5)
    )
    finish_top_up(actor=actor, now=later(days=2, minutes=8), top_up_id=top_up.id, version=top_up.version)

    gas = Servicing.objects.of(club).order_by("done_at")
    assert [(row.strokes, row.extension_before_in, row.extension_after_in) for row in gas] == [
        (4, 3.0, 3.9),
        (1, 4.1, 4.35),
    ]
    assert list(StrutReading.objects.of(club).order_by("taken_at").values_list("extension_in", flat=True)) == [
        3.9,
        4.35,
    ]


def test_a_dose_that_arrives_after_the_pause_corrects_the_sitting_it_belongs_to(club, leg, actor):
    top_up = started(club, leg, actor)
    top_up, _, _ = add_step(actor=actor, now=NOW, top_up_id=top_up.id, row=dose(4, 3.9, minutes=5))
    pause_top_up(actor=actor, now=later(minutes=6), top_up_id=top_up.id, version=top_up.version)
    top_up, _, _ = add_step(actor=actor, now=later(hours=9), top_up_id=top_up.id, row=dose(2, 4.4, minutes=15))
    finish_top_up(actor=actor, now=later(hours=9), top_up_id=top_up.id, version=top_up.version)

    current = Servicing.objects.of(club).filter(superseded=False)
    assert [row.strokes for row in current] == [6]


def test_gas_let_out_and_put_in_are_two_servicings(club, leg, actor):
    top_up = started(club, leg, actor, extension_in=5.6)
    released = dose(3, 4.2, minutes=4, released=True)
    add_step(actor=actor, now=NOW, top_up_id=top_up.id, row=released)
    top_up, _, _ = add_step(actor=actor, now=NOW, top_up_id=top_up.id, row=dose(1, 4.45, minutes=8))
    finish_top_up(actor=actor, now=later(minutes=9), top_up_id=top_up.id, version=top_up.version)

    assert [row.work for row in Servicing.objects.of(club).order_by("done_at")] == [Work.GAS_RELEASED, Work.GAS_ADDED]


def test_a_token_for_work_only_can_run_a_whole_top_up(club, leg):
    token, _ = a_token(a_person(club, "mechanic"), [Scope.WORK])
    actor = actor_of(token)
    top_up = started(club, leg, actor, extension_in=4.4)

    finish_top_up(actor=actor, now=NOW, top_up_id=top_up.id, version=top_up.version)

    assert StrutReading.objects.of(club).count() == 1


@pytest.mark.parametrize(
    "sql",
    [
        "DELETE FROM servicing_top_up_step",
        "UPDATE servicing_top_up_step SET amount = 9",
        "DELETE FROM servicing_top_up",
        "UPDATE servicing_top_up SET target_in = 9",
        "UPDATE servicing_top_up SET hose_filled_first = NOT hose_filled_first",
    ],
)
def test_the_database_keeps_every_step(club, leg, actor, sql):
    started(club, leg, actor)

    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(sql)
    assert TopUp.objects.of(club).count() == TopUpStep.objects.of(club).count() == 1
