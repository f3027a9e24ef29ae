"""What doses teach about the next: only strokes and lengths that belong together, over HTTP."""

from typing import Any

import pytest

from servicing.work.models import Servicing
from tests.builders.fleet import later
from tests.builders.work import a_hand_pump
from tests.servicing.work.topping import Bench

pytestmark = pytest.mark.django_db
DAY = 24 * 60


@pytest.fixture
def bench() -> Bench:
    return Bench()


def learned(answer: Any) -> tuple[int, float]:
    found = answer["plan"]["learned"]
    return found["doses"], found["mean"]["value"]


def test_a_rise_that_met_the_upper_stop_teaches_nothing_in_this_session_or_the_next(bench: Bench) -> None:
    # At its stop a strut takes gas and does not move: ten strokes that raised it by the half inch that was left.
    bench.start(4.0)
    met = bench.dose(20, 8.0, minutes=5)
    bench.dose(2, 8.0, minutes=8, released=True)
    bench.finish("goes to the shop")
    again = bench.start(2.5, minutes=DAY)

    assert learned(met) == (0, 0.25)
    assert learned(again) == (0, 0.25)
    assert again["plan"]["dose"]["amount"] == 5


def test_gas_let_out_at_the_upper_stop_or_down_to_the_lower_does_not_make_the_next_burst_longer(bench: Bench) -> None:
    start = bench.start(8.0)
    first = bench.dose(2, 8.0, minutes=5, released=True)
    second = bench.dose(2, 7.0, minutes=10, released=True)
    bench.dose(2, 0.0, minutes=15, released=True)
    bench.finish("emptied")
    again = bench.start(5.5, minutes=DAY)

    assert [one["plan"]["dose"]["amount"] for one in (start, first, second)] == [2.5, 2.5, 1.5]
    assert again["plan"]["dose"]["amount"] == 0.5


def test_strokes_written_down_without_guidance_at_a_stop_teach_nothing(bench: Bench) -> None:
    for day, (before, after) in enumerate(((0.0, 1.0), (7.4, 8.0))):
        body = {
            "leg": str(bench.leg.id),
            "done_at": later(days=-2 + day).isoformat(),
            "work": "gas added",
            "strokes": 8,
            "equipment": str(bench.pump.id),
            "extension_before": f"{before} in",
            "extension_after": f"{after} in",
        }
        assert bench.caller.post("/api/v1/servicings", body).status_code == 201

    assert learned(bench.start(2.5)) == (0, 0.25)


def test_the_length_found_before_a_dose_is_what_its_rise_counts_from(bench: Bench) -> None:
    # 4 strokes raise the strut by 1 in; 0.6 in are lost over three days, and nobody looks before the next dose.
    bench.start(2.4)
    bench.dose(4, 3.4, minutes=5)
    bench.pause()
    found = bench.dose(4, 3.8, minutes=3 * DAY, extension_before="2.8 in")

    assert found["plan"]["next"] != "hidden charge: no more gas, exercise and read again"
    assert learned(found) == (2, pytest.approx(0.25, abs=0.003))


def test_a_length_that_falls_over_days_does_not_make_a_pump_smaller(bench: Bench) -> None:
    bench.start(2.0)
    bench.dose(4, 3.0, minutes=5)
    bench.pause()
    flown = bench.look(2.7, minutes=3 * DAY, exercised="flown")

    assert learned(flown)[1] == pytest.approx(0.25, abs=0.003)


def test_gas_that_goes_both_ways_between_two_exercises_teaches_nothing_and_asks_for_exercise(bench: Bench) -> None:
    # six strokes, 0.2 in seen: what they hide would be forgotten with the first burst let out
    bench.start(2.4)
    bench.dose(6, 2.6, minutes=5, exercised="not")
    out = bench.dose(0.5, 2.5, minutes=8, exercised="not", released=True)
    into = bench.dose(1, 2.6, minutes=11, exercised="not")
    freed = bench.look(3.7, minutes=20, exercised="taxied")

    assert [one["plan"]["next"] for one in (out, into)] == ["exercise and read again"] * 2
    assert learned(freed) == (0, 0.25)


def test_the_hose_of_each_session_is_counted_as_it_was_connected_in_that_session(bench: Bench) -> None:
    # A hose of 2 in3 takes 0.42 in from this strut (study made for this project): 5 strokes of 0.25 in show 0.83 in.
    pump = a_hand_pump(bench.club, stroke_volume_in3=None, hose_volume_in3=2.0)
    bench.start(2.5, pump=pump)
    bench.dose(5, 2.5 + 1.25 - 0.42, minutes=5)
    bench.finish("more tomorrow")

    filled_first = bench.start(3.33, pump=pump, minutes=DAY, hose_filled_first=True)
    assert learned(filled_first) == (1, pytest.approx(0.25, abs=0.003))
    assert filled_first["plan"]["dose"]["hose_loss"]["value"] == 0
    bench.dose(4, 4.33, minutes=DAY + 5)
    bench.finish()

    assert learned(bench.start(3.0, pump=pump, minutes=2 * DAY)) == (2, pytest.approx(0.25, abs=0.003))


def test_the_hose_is_counted_for_strokes_written_down_without_guidance_too(bench: Bench) -> None:
    pump = a_hand_pump(bench.club, stroke_volume_in3=None, hose_volume_in3=2.0)
    body = {
        "leg": str(bench.leg.id),
        "done_at": later(days=-1).isoformat(),
        "work": "gas added",
        "strokes": 5,
        "equipment": str(pump.id),
        "extension_before": "2.5 in",
        "extension_after": "3.33 in",
    }
    assert bench.caller.post("/api/v1/servicings", body).status_code == 201

    assert learned(bench.start(3.0, pump=pump)) == (1, pytest.approx(0.25, abs=0.003))


def test_strokes_put_right_after_the_top_up_are_what_is_learned_from(bench: Bench) -> None:
    bench.start(3.1)
    bench.dose(5, 4.4, minutes=5)  # four, as somebody remembers later
    bench.finish()
    gas = Servicing.objects.of(bench.club).get()
    row = {
        "leg": str(bench.leg.id),
        "done_at": gas.done_at.isoformat(),
        "work": "gas added",
        "strokes": 4,
        "equipment": str(bench.pump.id),
        "extension_before": "3.1 in",
        "extension_after": "4.4 in",
    }
    before = learned(bench.start(3.0, minutes=DAY))
    bench.finish("later")
    corrected = bench.caller.post(
        f"/api/v1/servicings/{gas.id}/corrections", {"reason": "four strokes, not five", "servicing": row}
    )
    assert corrected.status_code == 201, corrected.content
    after = learned(bench.start(3.0, minutes=2 * DAY))

    assert before == (1, pytest.approx(1.3 / 5, abs=0.005))
    # not settled: the variance is 2 x 0.06^2 + 0.12^2 x 0.25^2 x 4 + 0.2^2 in2, the prior 0.25 +- 0.0875 in
    gained, known = 4**2 / (2 * 0.06**2 + 0.12**2 * 0.25**2 * 4 + 0.2**2), 0.0875**-2
    assert after == (1, pytest.approx((known * 0.25 + gained * 1.3 / 4) / (known + gained), abs=0.001))


def test_a_dose_counted_otherwise_than_its_equipment_counts_is_refused(bench: Bench) -> None:
    bench.start(2.5)
    for wrong in ({"counted": "seconds"}, {"counted": "strokes", "released": True}):
        body = {"at": later(minutes=5).isoformat(), "extension": "3 in", "amount": 3, **wrong}
        refused = bench.sent("doses", body, 422)
        assert [error["field"] for error in refused["errors"]] == ["counted"]


def test_no_dose_is_advised_that_brings_less_than_its_hose_takes(bench: Bench) -> None:
    # a stroke of 0.23 in, and 0.31 in lost to a hose of 1.5 in3: one stroke would leave the strut shorter than it was
    pump = a_hand_pump(bench.club, stroke_volume_in3=14.0, hose_volume_in3=1.5)
    start = bench.start(3.0, pump=pump)
    assert start["plan"]["equipment_reach"]["highest"] is None  # of three stages only the arm is the limit
    for minutes, amount, length in ((5, 5, 3.84), (10, 3, 4.22)):
        plan = bench.dose(amount, length, minutes=minutes)["plan"]
        assert plan["next"] == "give gas"
        assert plan["dose"]["expected"]["corrected"]["value"] > length
    last = bench.dose(1, 4.36, minutes=15)["plan"]

    assert (last["next"], last["dose"]) == ("done", None)
