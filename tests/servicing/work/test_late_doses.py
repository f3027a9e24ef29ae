"""The history that a top-up leaves where doses come late, go both ways, or by two pumps, over HTTP."""

from typing import Any

import pytest

from fleet.equipment.models import Equipment
from fleet.gear.models import StrutInstallation
from servicing.readings.models import StrutReading
from servicing.work.models import Servicing, TopUpStep
from tests.builders.fleet import a_leg, a_strut, an_operator, later, next_id
from tests.builders.work import a_hand_pump, equipment
from tests.servicing.work.topping import TOP_UPS, Bench, the_look

pytestmark = pytest.mark.django_db
DAY = 24 * 60


@pytest.fixture
def bench() -> Bench:
    return Bench()


def gas_of(bench: Bench) -> list[tuple[Any, ...]]:
    rows = Servicing.objects.of(bench.club).filter(superseded=False, withdrawn=False).order_by("done_at")
    return [(row.work, row.strokes, row.extension_before_in, row.extension_after_in) for row in rows]


def lengths_of(bench: Bench) -> list[float]:
    rows = StrutReading.objects.of(bench.club).filter(superseded=False, withdrawn=False).order_by("taken_at")
    return [row.extension_in for row in rows]


def test_a_dose_before_the_first_that_was_known_does_not_count_that_one_twice(bench: Bench) -> None:
    bench.start(2.5)
    bench.dose(2, 3.5, minutes=10)
    bench.pause()
    bench.dose(2, 3.0, minutes=5)  # of the phone that had no network
    bench.look(3.5, minutes=12)
    bench.finish("more tomorrow")

    assert gas_of(bench) == [("gas added", 4, 2.5, 3.5)]


def test_a_dose_that_joins_two_sittings_leaves_one_servicing_of_all_its_gas(bench: Bench) -> None:
    bench.start(2.5)
    bench.dose(2, 3.0, minutes=5)
    bench.dose(2, 4.0, minutes=5 + 5 * 60)
    bench.pause()
    assert [row[1] for row in gas_of(bench)] == [2, 2]
    bench.dose(2, 3.5, minutes=5 + 2.5 * 60)
    bench.look(4.0, minutes=12 + 5 * 60)
    bench.finish("more tomorrow")

    assert gas_of(bench) == [("gas added", 6, 2.5, 4.0)]


def test_a_length_between_two_doses_of_a_sitting_does_not_stand_before_the_gas_that_made_it(bench: Bench) -> None:
    bench.start(3.0)
    bench.dose(4, 3.9, minutes=5)
    bench.pause()
    bench.dose(2, 4.4, minutes=20)
    bench.finish()

    assert gas_of(bench) == [("gas added", 6, 3.0, 4.4)]
    assert lengths_of(bench) == [4.4]


def test_strokes_and_seconds_of_one_sitting_are_not_added_up(bench: Bench) -> None:
    cylinder = equipment(bench.club, "nitrogen cylinder", water_volume_in3=280.0)
    bench.start(2.5)
    bench.dose(4, 3.5, minutes=5)
    changed = bench.caller.patch(bench.address, {"equipment": str(cylinder.id)}, HTTP_IF_MATCH="*")
    assert changed.status_code == 200, changed.content
    bench.dose(3, 4.4, minutes=10)
    bench.finish()

    assert gas_of(bench) == [("gas added", 4, 2.5, 3.5), ("gas added", None, 3.5, 4.4)]


def test_two_pumps_in_one_sitting_are_two_servicings_each_with_its_own(bench: Bench) -> None:
    other = a_hand_pump(bench.club)
    bench.start(2.5)
    bench.dose(4, 3.5, minutes=5)
    bench.caller.patch(bench.address, {"equipment": str(other.id)}, HTTP_IF_MATCH="*")
    bench.dose(3, 4.4, minutes=10)
    bench.finish()

    rows = Servicing.objects.of(bench.club).order_by("done_at")
    assert [(row.strokes, row.equipment_id) for row in rows] == [(4, bench.pump.id), (3, other.id)]


def test_a_strut_found_empty_before_the_first_dose_is_written_down_as_found(bench: Bench) -> None:
    bench.start(1.0)
    bench.pause()
    bench.dose(9, 2.0, minutes=2 * DAY, extension_before="0 in")
    bench.finish("more tomorrow")

    assert gas_of(bench) == [("gas added", 9, 0.0, 2.0)]


def test_strokes_that_no_exercise_has_shown_yet_do_not_end_within_limits(bench: Bench) -> None:
    bench.start(3.9)
    bench.dose(6, 4.2, minutes=5, exercised="not")

    refused = bench.sent("finish", {}, 422, HTTP_IF_MATCH="*")
    ended = bench.finish("no time to taxi")

    assert [(error["field"], error["code"]) for error in refused["errors"]] == [("note", "required")]
    assert ended["outcome"] == "left as it is"


def test_an_id_that_another_club_used_is_no_fault_of_the_service(bench: Bench) -> None:
    other = Bench(club=an_operator())
    shared, shared_step = str(next_id()), str(next_id())
    other.start(3.0, id=shared)
    other.dose(2, 3.5, minutes=5, id=shared_step)

    start = {"id": shared, "leg": str(bench.leg.id), "look": the_look(3.0), "equipment": str(bench.pump.id)}
    assert bench.caller.post("/api/v1/top-ups", start).status_code == 409
    bench.start(3.0)
    bench.sent("doses", the_look(3.5, minutes=5, amount=2, id=shared_step), 409)

    assert TopUpStep.objects.of(bench.club).count() == 1


def test_a_strut_taken_off_half_way_keeps_what_was_done_and_the_next_has_its_own_top_up(bench: Bench) -> None:
    bench.start(2.5)
    bench.dose(4, 3.5, minutes=5)
    bench.strut.installations.update(removed_at=later(minutes=30))
    a_strut(bench.club, bench.leg, installed_at=later(minutes=40))
    bench.sent("doses", the_look(3.9, minutes=45, amount=2), 409)
    left = bench.caller.get(bench.address).json()["plan"]
    ended = bench.finish("taken off for new seals")
    after = bench.start(3.0, minutes=60)

    assert (left["next"], left["dose"]) == ("finish: the strut is no longer on this leg", None)
    assert (ended["outcome"], gas_of(bench)) == ("left as it is", [("gas added", 4, 2.5, 3.5)])
    assert Servicing.objects.of(bench.club).get().strut_id == bench.strut.id
    assert after["strut"] != str(bench.strut.id)


def test_a_strut_that_moved_half_way_is_topped_up_anew_once_the_first_top_up_is_finished(bench: Bench) -> None:
    bench.start(2.5)
    bench.dose(4, 3.5, minutes=5)
    bench.strut.installations.update(removed_at=later(minutes=30))
    elsewhere = a_leg(bench.club, sheet=bench.leg.sheet)
    StrutInstallation.objects.create(
        operator=bench.club, strut=bench.strut, leg=elsewhere, installed_at=later(minutes=40)
    )
    begin = {"leg": str(elsewhere.id), "look": the_look(3.4, minutes=60)}

    refused = bench.caller.post(TOP_UPS, begin)
    bench.finish("moved")

    assert (refused.status_code, refused.json()["code"]) == (409, "top_up_running")
    assert "begun on another leg: finish" in refused.json()["detail"]
    assert bench.caller.post(TOP_UPS, begin).status_code == 201


def test_a_dose_that_arrives_after_a_change_of_pump_names_the_pump_that_gave_it(bench: Bench) -> None:
    other = a_hand_pump(bench.club, stroke_volume_in3=None)
    bench.start(2.5)
    changed = bench.caller.patch(bench.address, {"equipment": str(other.id)}, HTTP_IF_MATCH="*")
    assert changed.status_code == 200, changed.content
    Equipment.objects.of(bench.club).filter(pk=bench.pump.pk).update(retired_at=later(minutes=10))
    late = bench.dose(4, 3.5, minutes=5, equipment=bench.pump.name)
    after = bench.dose(2, 4.0, minutes=15)

    assert (late["plan"]["learned"]["doses"], after["plan"]["learned"]["doses"]) == (0, 1)
    steps = TopUpStep.objects.of(bench.club).filter(amount__gt=0).order_by("at")
    assert [step.equipment_id for step in steps] == [bench.pump.id, other.id]


def test_a_dose_from_what_is_not_there_or_gives_no_gas_is_refused(bench: Bench) -> None:
    bench.start(2.5)
    for wrong in ("no such pump", equipment(bench.club, "gauge").name):
        refused = bench.sent("doses", the_look(3.5, minutes=5, amount=4, equipment=wrong), 422)
        assert [(error["field"], error["code"]) for error in refused["errors"]] == [("equipment", "unfit_equipment")]


def test_a_name_given_again_means_the_pump_in_use(bench: Bench) -> None:
    Equipment.objects.of(bench.club).filter(pk=bench.pump.pk).update(retired_at=later(minutes=-10))
    successor = a_hand_pump(bench.club, name=bench.pump.name)
    bench.start(2.5, pump=successor)
    bench.dose(4, 3.5, minutes=5, equipment=bench.pump.name)

    assert TopUpStep.objects.of(bench.club).get(amount__gt=0).equipment_id == successor.id
