"""A mistaken dose or look of a running top-up is put right by a new row, and the plan follows, over HTTP."""

from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction

from fleet.audit.models import AuditEntry
from servicing.work.models import Servicing, TopUpStep
from tests.builders.fleet import a_strut, an_operator, later, next_id
from tests.builders.work import a_hand_pump
from tests.servicing.callers import caller_of
from tests.servicing.work.topping import Bench, the_look

pytestmark = pytest.mark.django_db
STEPS = "/api/v1/top-up-steps"


@pytest.fixture
def bench() -> Bench:
    bench = Bench()
    bench.start(2.5)
    return bench


def corrected(bench: Bench, wrong: dict[str, Any], status: int = 201, **body: Any) -> Any:
    sent = {"reason": "miscounted", **body}
    answer = bench.caller.post(f"{STEPS}/{wrong['id']}/corrections", sent)
    assert answer.status_code == status, answer.content
    return answer.json()


def amounts(top_up: dict[str, Any]) -> list[tuple[int, float, float]]:
    return [(step["number"], step["amount"], round(step["extension"]["value"], 3)) for step in top_up["steps"]]


def test_the_plan_is_the_same_as_if_the_dose_had_been_right_at_once(bench: Bench) -> None:
    wrong = bench.dose(12, 3.0, minutes=5)
    plan = corrected(bench, wrong["steps"][-1], step=the_look(3.0, minutes=5, amount=2))
    right = Bench()
    right.start(2.5)
    expected = right.dose(2, 3.0, minutes=5)

    assert amounts(plan) == amounts(expected) == [(1, 0, 2.5), (2, 2, 3.0)]
    assert plan["plan"] == expected["plan"] != wrong["plan"]
    assert plan["steps"][-1]["corrects"] == wrong["steps"][-1]["id"]
    assert plan["steps"][-1]["correction_reason"] == "miscounted"


def test_what_the_top_up_leaves_is_the_gas_that_was_truly_given(bench: Bench) -> None:
    first = bench.dose(12, 3.0, minutes=5)
    corrected(bench, first["steps"][-1], step=the_look(3.0, minutes=5, amount=2))
    twice = bench.dose(4, 3.5, minutes=15)
    corrected(bench, twice["steps"][-1])  # it never happened
    bench.dose(6, 4.4, minutes=25)
    bench.finish()

    gas = Servicing.objects.of(bench.club).get()
    assert (gas.strokes, gas.extension_before_in, gas.extension_after_in) == (8, 2.5, 4.4)


def test_a_dose_that_is_taken_back_leaves_its_number_and_the_next_has_another(bench: Bench) -> None:
    dose = bench.dose(2, 3.0, minutes=5)
    without = corrected(bench, dose["steps"][-1])
    after = bench.dose(3, 3.2, minutes=10)

    assert amounts(without) == [(1, 0, 2.5)]
    assert amounts(after) == [(1, 0, 2.5), (3, 3, 3.2)]


def test_a_first_look_is_put_right_and_stays_the_first(bench: Bench) -> None:
    begun = bench.dose(2, 3.0, minutes=0)  # at the very moment of the look
    look = begun["steps"][0]

    answer = corrected(bench, look, step=the_look(2.75))
    assert amounts(answer) == [(1, 0, 2.75), (2, 2, 3.0)]

    for body in ({}, {"step": the_look(2.75, minutes=1)}, {"step": the_look(2.75, amount=1)}):
        refused = corrected(bench, answer["steps"][0], 422, **body)
        assert [error["code"] for error in refused["errors"]] == ["first_look"]
    assert TopUpStep.objects.of(bench.club).filter(superseded=False).count() == 2


def test_a_dose_of_another_moment_finds_its_place(bench: Bench) -> None:
    bench.dose(2, 3.0, minutes=5)
    late = bench.dose(3, 3.5, minutes=40)

    answer = corrected(bench, late["steps"][1], step=the_look(3.9, minutes=50, amount=2))

    assert amounts(answer) == [(1, 0, 2.5), (3, 3, 3.5), (2, 2, 3.9)]


def test_sent_again_it_is_done_once_and_a_second_correction_is_of_the_newest(bench: Bench) -> None:
    dose = bench.dose(12, 3.0, minutes=5)["steps"][-1]
    body = {"id": str(next_id()), "step": the_look(3.0, minutes=5, amount=2)}
    corrected(bench, dose, **body)
    corrected(bench, dose, 200, **body)

    corrected(bench, dose, 409, id=body["id"])
    corrected(bench, dose, 409, id=body["id"], step=the_look(3.0, minutes=5, amount=1))
    corrected(bench, dose, 409, step=the_look(3.0, minutes=5, amount=1))
    again = corrected(bench, {"id": body["id"]}, step=the_look(3.0, minutes=5, amount=1))

    assert amounts(again) == [(1, 0, 2.5), (2, 1, 3.0)]
    assert TopUpStep.objects.of(bench.club).count() == 4


def test_the_mistake_sent_once_more_does_not_come_back(bench: Bench) -> None:
    wrong = bench.dose(12, 3.0, minutes=5)
    corrected(bench, wrong["steps"][-1], step=the_look(3.0, minutes=5, amount=2))

    repeated = bench.sent("doses", the_look(3.0, minutes=5, amount=12), 200)

    assert amounts(repeated) == [(1, 0, 2.5), (2, 2, 3.0)]


def test_what_a_pause_or_the_end_wrote_down_is_put_right_there(bench: Bench) -> None:
    first = bench.dose(2, 3.0, minutes=5)["steps"][-1]
    bench.pause()
    corrected(bench, first, 409, step=the_look(3.0, minutes=5, amount=1))

    second = bench.dose(12, 3.5, minutes=20)["steps"][-1]
    answer = corrected(bench, second, step=the_look(3.5, minutes=20, amount=2))
    assert amounts(answer) == [(1, 0, 2.5), (2, 2, 3.0), (3, 2, 3.5)]
    bench.finish("more tomorrow")
    corrected(bench, answer["steps"][-1], 409)

    gas = Servicing.objects.of(bench.club).get(superseded=False)
    assert gas.strokes == 4


def test_a_correction_is_held_to_what_a_step_is_held_to(bench: Bench) -> None:
    dose = bench.dose(2, 3.0, minutes=5)["steps"][-1]

    beyond = corrected(bench, dose, 422, step=the_look(20.0, minutes=5, amount=2))
    early = corrected(bench, dose, 422, step=the_look(3.0, minutes=-5, amount=2))
    corrected(bench, dose, 400, reason=" ", step=the_look(3.0, minutes=5, amount=2))
    bench.strut.installations.update(removed_at=later(minutes=30))
    a_strut(bench.club, bench.leg, installed_at=later(minutes=40))
    corrected(bench, dose, 409, step=the_look(3.0, minutes=45, amount=2))

    assert [error["field"] for error in beyond["errors"]] == ["extension"]
    assert [error["code"] for error in early["errors"]] == ["before_start"]
    assert TopUpStep.objects.of(bench.club).filter(superseded=True).count() == 0


def test_strangers_find_no_step_and_members_may_not(bench: Bench) -> None:
    dose = bench.dose(2, 3.0, minutes=5)["steps"][-1]

    for caller, status in ((caller_of(an_operator()), 404), (caller_of(bench.club, "member"), 403)):
        answer = caller.post(f"{STEPS}/{dose['id']}/corrections", {"reason": "miscounted"})
        assert answer.status_code == status


def test_the_audit_trail_has_both_and_the_mistake_stays_as_it_was(bench: Bench) -> None:
    dose = bench.dose(12, 3.0, minutes=5)["steps"][-1]
    corrected(bench, dose, step=the_look(3.0, minutes=5, amount=2))

    entry = AuditEntry.objects.of(bench.club).get(action="step corrected")
    assert (entry.before["amount"], entry.after["amount"], entry.after["reason"]) == (12, 2, "miscounted")
    assert TopUpStep.objects.of(bench.club).get(pk=dose["id"]).amount == 12
    for sql in (
        "DELETE FROM servicing_top_up_step",
        "UPDATE servicing_top_up_step SET amount = 1, counted = 'strokes'",
    ):
        with pytest.raises(DatabaseError, match="append-only"), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(sql)


def test_steps_that_took_temperature_and_fuel_from_the_corrected_one_follow_it(bench: Bench) -> None:
    unsaid: dict[str, Any] = {"temperature": None, "fuel": None}

    def given(bench: Bench, first: str) -> Any:
        bench.sent("doses", without_none(the_look(3.0, minutes=5, amount=2, temperature=first)), 201)
        bench.sent("doses", without_none(the_look(3.4, minutes=10, amount=2, **unsaid)), 201)
        bench.sent("looks", without_none(the_look(3.4, minutes=15, temperature="60 degF", fuel=None)), 201)
        return bench.sent("doses", without_none(the_look(3.9, minutes=20, amount=2, **unsaid)), 201)

    wrong = given(bench, "20 degF")  # -7 degC read for 7
    right = Bench()
    right.start(2.5)
    expected = given(right, "45 degF")
    answer = corrected(bench, wrong["steps"][1], step=the_look(3.0, minutes=5, amount=2, temperature="45 degF"))

    assert [step["temperature"] for step in answer["steps"]] == [step["temperature"] for step in expected["steps"]]
    assert answer["plan"] == expected["plan"]
    assert [step["correction_reason"] for step in answer["steps"]] == [
        "", "miscounted", "the step before it was put right", "", "",
    ]  # fmt: skip


def test_the_hose_of_the_next_dose_follows_how_the_strut_was_exercised(bench: Bench) -> None:
    bench.dose(2, 3.0, minutes=5)
    wrong = bench.dose(2, 3.4, minutes=10, exercised="not")
    assert [step["hose_connected"] for step in wrong["steps"]] == [False, True, True]

    answer = corrected(bench, wrong["steps"][1], step=the_look(3.0, minutes=5, amount=2, exercised="not"))

    assert [step["hose_connected"] for step in answer["steps"]] == [False, True, False]


def test_a_dose_is_put_right_to_have_come_from_another_pump(bench: Bench) -> None:
    other = a_hand_pump(bench.club, stroke_volume_in3=None)
    dose = bench.dose(2, 3.0, minutes=5)["steps"][-1]

    answer = corrected(bench, dose, step=the_look(3.0, minutes=5, amount=2, equipment=other.name))

    assert TopUpStep.objects.of(bench.club).get(pk=answer["steps"][-1]["id"]).equipment_id == other.id
    assert answer["plan"]["learned"]["doses"] == 0


def test_who_gave_the_dose_stays_who_gave_it(bench: Bench) -> None:
    dose = bench.dose(12, 3.0, minutes=5)["steps"][-1]
    other = caller_of(bench.club, "coordinator")
    body = {"reason": "miscounted", "step": the_look(3.0, minutes=5, amount=2)}

    answer = other.post(f"{STEPS}/{dose['id']}/corrections", body).json()

    assert answer["steps"][-1]["by"] == dose["by"]
    audited = AuditEntry.objects.of(bench.club).get(action="step corrected")
    assert audited.person_id != TopUpStep.objects.of(bench.club).get(pk=dose["id"]).person_id


def without_none(body: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in body.items() if value is not None}
