"""Doses between which the air, the fuel, the direction or the equipment changes, over HTTP."""

from typing import Any

import pytest
import time_machine

from calculations.strut_service import servicing_table
from servicing.readings.figures import sheet_figures
from servicing.readings.known_fleet import load_known_fleet
from servicing.work.planning import one_strut
from tests.builders.fleet import later
from tests.builders.work import a_hand_pump, equipment
from tests.servicing.work.topping import Bench, the_look

pytestmark = pytest.mark.django_db
DAY = 24 * 60
MULTIPLIER = {"drive_pressure_psig": 120.0, "area_ratio": 4.0, "stroke_volume_in3": 1.2}


@pytest.fixture
def bench() -> Bench:
    return Bench()


def on_ruler(bench: Bench, corrected_in: float, temperature_f: float, fuel_lb: float) -> float:
    """Return what the ruler shows of a charge that stands at a length at the sheet's conditions."""
    fleet = load_known_fleet(bench.club.id, leg_ids=[bench.leg.id], with_equipment=False)
    strut = one_strut(sheet_figures([fleet.legs[bench.leg.id]]))
    load = 800.0 + 0.41 * (fuel_lb - 240.0)
    return round(float(servicing_table(corrected_in, [temperature_f], [load], strut).extension_in[0, 0]), 3)


def test_what_a_stroke_does_is_the_same_whether_it_gets_colder_or_fuel_comes_aboard_between(bench: Bench) -> None:
    # 4 strokes of a quarter inch each time; read at 70 F and 240 lb, at 30 F and 240 lb, at 30 F and 60 lb
    steady = [(2.0, 70, 240), (3.0, 70, 240), (4.0, 70, 240)]
    changing = [(2.0, 70, 240), (3.0, 30, 240), (4.0, 30, 60)]
    found = []
    for day, course in enumerate((steady, changing)):
        lengths = [on_ruler(bench, *one) for one in course]
        other = {"temperature": "30 degF", "fuel": "60 lb"}
        values = [{}, {}] if day == 0 else [{"temperature": "30 degF"}, other]
        bench.pump = Bench(club=bench.club).pump  # one that nothing was learned of
        bench.start(lengths[0], minutes=day * DAY)
        for number in (1, 2):
            minutes = day * DAY + 5 * number
            answer = bench.dose(4, lengths[number], minutes=minutes, **values[number - 1])
        found.append((answer["plan"]["learned"]["mean"]["value"], answer["plan"]["corrected"]["value"]))
        bench.finish("as far as it goes")

    assert found[0] == (pytest.approx(0.25, abs=0.001), pytest.approx(4.0, abs=0.002))
    assert found[1] == (pytest.approx(0.25, abs=0.001), pytest.approx(4.0, abs=0.002))


def test_gas_let_out_then_put_in_is_learned_of_each_by_itself(bench: Bench) -> None:
    start = bench.start(6.0)
    out = bench.dose(2, 4.0, minutes=5, released=True)
    into = bench.dose(1, 4.25, minutes=10)

    assert start["plan"]["next"] == "let gas out"
    assert start["plan"]["doses_to_expect"] >= 2  # 1.5 in at once would be too sure of an unknown valve
    assert (out["plan"]["next"], out["plan"]["learned"]["doses"]) == ("give gas", 0)
    assert into["plan"]["learned"]["doses"] == 1
    assert into["plan"]["learned"]["mean"]["value"] == pytest.approx(0.25, abs=0.002)


@pytest.mark.parametrize(
    ("kind", "figures", "counted", "amount", "rise"),
    [
        ("multiplier pump", MULTIPLIER, "cycles", 4, 0.17),
        ("nitrogen cylinder", {"water_volume_in3": 280.0}, "seconds", 1.5, 0.4),
    ],
)
def test_other_equipment_than_a_pump_is_counted_and_learned_its_own_way(
    bench: Bench, kind: str, figures: dict[str, Any], counted: str, amount: float, rise: float
) -> None:
    bench.pump = equipment(bench.club, kind, **figures)
    start = bench.start(2.0)
    for number in (1, 2, 3):
        answer = bench.dose(amount, round(2.0 + number * amount * rise, 3), minutes=5 * number)

    assert start["plan"]["dose"]["counted"] == counted
    assert {step["counted"] for step in answer["steps"][1:]} == {counted}
    learned = answer["plan"]["learned"]
    assert (learned["doses"], learned["mean"]["value"]) == (3, pytest.approx(rise, rel=0.05))
    assert learned["uncertainty"]["value"] < start["plan"]["learned"]["uncertainty"]["value"]


def test_the_same_dose_told_in_another_time_zone_is_the_same_dose(bench: Bench) -> None:
    bench.start(2.5)
    bench.dose(4, 3.5, minutes=5)
    body = {"at": "2026-03-02T22:35:00+13:00", "extension": "3.5 in", "amount": 4, "exercised": "rocked"}

    assert len(bench.sent("doses", body, 200)["steps"]) == 2


def test_a_dose_of_one_pump_is_not_judged_by_another(bench: Bench) -> None:
    # ten strokes of a pump of 4 in3 lengthen this strut by some 0.6 in, ten of one of 16 in3 by some 2.5 in
    small, large = (a_hand_pump(bench.club, stroke_volume_in3=volume) for volume in (4.0, 16.0))
    bench.start(2.5, pump=small)
    bench.dose(10, 3.1, minutes=5)

    changed = bench.caller.patch(bench.address, {"equipment": str(large.id)}, HTTP_IF_MATCH="*").json()

    assert (changed["plan"]["next"], changed["plan"]["learned"]["doses"]) == ("give gas", 0)


@pytest.mark.parametrize("volume", [4.0, 16.0, None])
def test_what_one_pump_has_left_hidden_is_not_reckoned_by_another(bench: Bench, volume: float | None) -> None:
    # four strokes of a quarter inch, 0.8 in seen: by a pump of 4 in3 nothing would be hidden
    other = a_hand_pump(bench.club, stroke_volume_in3=volume)
    bench.start(2.5)
    bench.dose(4, 3.3, minutes=5, exercised="not")

    changed = bench.caller.patch(bench.address, {"equipment": str(other.id)}, HTTP_IF_MATCH="*").json()

    assert (changed["plan"]["next"], changed["plan"]["dose"]) == ("exercise and read again", None)


def test_what_a_hose_takes_is_counted_at_the_sheet_whatever_the_load(bench: Bench) -> None:
    # 180 lb less fuel: 726 lbf on 4.43 in2 are 163.9 psi; the sheet's 800 lbf are 180.6 psi. A hose of 2 in3 that
    # holds air takes 2 (P - 14.7) in3 psi of gas (Boyle): 0.379 in at the sheet's 195.3 psia, on this ruler 0.414 in.
    bench.pump = a_hand_pump(bench.club, stroke_volume_in3=None, hose_volume_in3=2.0)
    lengths = [on_ruler(bench, at_sheet, 70, 60) for at_sheet in (2.5, 2.5 + 5 * 0.25 - 0.379)]
    start = bench.start(lengths[0], look=the_look(lengths[0], fuel="60 lb"))
    answer = bench.dose(5, lengths[1], minutes=5, fuel="60 lb")

    assert start["plan"]["equipment_reach"]["hose_loss"]["value"] == pytest.approx(0.414, abs=0.002)
    assert start["plan"]["dose"]["hose_loss"]["value"] == pytest.approx(0.379, abs=0.003)
    assert answer["plan"]["learned"]["mean"]["value"] == pytest.approx(0.25, abs=0.001)


def test_a_stroke_lifts_a_strut_less_on_a_heavier_aircraft(bench: Bench) -> None:
    # The same gas: 800 lbf on 4.43 in2 are 195.3 psia, 1000 lbf are 240.4 psia (Boyle's law)
    bench.start(2.0)
    for number in (1, 2, 3):
        bench.dose(4, 2.0 + 0.9 * number, minutes=5 * number)
    bench.finish("goes to another aircraft")
    bench.strut.installations.update(removed_at=later(minutes=60))
    heavier = Bench(bench.club, {"reference_load_lbf": 1000.0})
    heavier.strut.installations.update(strut=bench.strut, installed_at=later(minutes=60))

    learned = heavier.start(2.5, pump=bench.pump, minutes=DAY)["plan"]["learned"]

    assert learned["doses"] == 3
    assert learned["mean"]["value"] == pytest.approx(0.225 * 195.3 / 240.4, abs=0.004)


def test_a_length_within_tolerance_is_not_believed_before_the_strut_was_exercised(bench: Bench) -> None:
    # what an earlier top-up has left hidden would stand here just as well
    unknown = bench.start(4.4, look=the_look(4.4, exercised="not"))
    shown = bench.look(4.4, minutes=5)

    assert [one["plan"]["next"] for one in (unknown, shown)] == ["exercise and read again", "nothing to do"]


def test_gas_for_the_second_time_in_two_months_asks_for_the_fluid_first(bench: Bench) -> None:
    # two top-ups in less than 60 days are a leak until someone has looked: common practice, no source
    def told(minutes: float) -> bool:
        start = bench.start(3.0, minutes=minutes)
        bench.finish("another day")
        return any("its level checked" in said for said in start["assumptions"])

    def read(minutes: float, **values: str) -> None:
        body = {"leg": str(bench.leg.id), "taken_at": later(minutes=minutes).isoformat(), "extension": "3.0 in"}
        answer = bench.caller.post(
            "/api/v1/readings", {**body, "exercised": True, "temperature": "70 degF", **values}
        )
        assert answer.status_code == 201, answer.content

    bench.start(3.0)
    bench.dose(4, 4.0, minutes=5)
    bench.finish("as far as it goes")
    with time_machine.travel(later(days=90)):
        same_day, soon, late = told(10 * 60), told(37 * DAY), told(61 * DAY)
        read(36 * DAY, fluid_level="correct")
        looked = told(38 * DAY)

    assert (same_day, soon, late, looked) == (False, True, False, False)
