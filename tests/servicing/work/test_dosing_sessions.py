"""Whole sessions that follow the API's own plan, with pumps that nobody knows: the stated chance must hold.

The pumps, the strokes and the readings vary as in the study that the method was chosen by, made for this project:
true rise per stroke lognormal with sd 0.3 about 0.25 in, 12 % from stroke to stroke, readings with sd 0.06 in, the
strut exercised after each dose; and once more with a third of the doses held back by friction until the strut flies.
"""

from dataclasses import dataclass
from datetime import timedelta

import numpy as np
import pytest
from django.core.cache import cache

from tests.builders.fleet import NOW, a_leg, a_strut, a_type_sheet, an_operator
from tests.builders.work import a_hand_pump
from tests.servicing.callers import caller_of

pytestmark = pytest.mark.django_db
TARGET_IN, TOLERANCE_IN = 4.5, 0.25


@dataclass(frozen=True)
class Session:
    """How one session ended: the true settled extension, and how many doses it took.

    ``waited_at_in`` is the true extension when exercise was first asked for, that is where a session without a taxi
    ends; ``waited_after`` counts the doses before that.
    """

    extension_in: float
    doses: int
    last_word: str
    waited_at_in: float
    waited_after: int


class Bench:
    """One strut after another is filled from 2.5 in as the plan says."""

    def __init__(self, seed: int) -> None:
        self._rng = np.random.default_rng(seed)
        self._club = an_operator()
        sheet = a_type_sheet(self._club, reference_fuel_lb=200.0, reference_occupants_lb=0.0)
        self._sheet = sheet
        self._caller = caller_of(self._club, "mechanic")

    def run(self, *, held_back: float = 0.0) -> Session:
        """Fill a strut with a pump of its own; with a chance, a dose shows only in part until the strut flies."""
        cache.clear()  # the limit on requests per minute is not what is tried here
        rng = self._rng
        leg = a_leg(self._club, sheet=self._sheet)
        a_strut(self._club, leg)
        pump = a_hand_pump(self._club, stroke_volume_in3=None)
        rise = 0.25 * np.exp(rng.normal(0, 0.3))
        true, hidden, minute, doses = 2.5, 0.0, 0, 0
        waited: tuple[float, int] | None = None
        start = {"leg": str(leg.id), "equipment": str(pump.id), "look": self._look(true, minute, "taxied")}
        plan, address = self._sent("/api/v1/top-ups", start)
        for _ in range(12):
            minute += 10
            if plan["next"] == "give gas":
                amount = plan["dose"]["amount"]
                assert plan["dose"]["overshoot_chance"] <= 0.05
                gained = rise * amount + rng.normal(0, 0.12 * 0.25 * np.sqrt(amount))
                doses += 1
                stuck = rng.random() < held_back
                hidden = gained * rng.uniform(0.4, 0.9) if stuck else 0.0
                true += gained
                how = "not" if held_back else "taxied"
                plan, _ = self._sent(f"{address}/doses", {**self._look(true - hidden, minute, how), "amount": amount})
            elif plan["exercise"] == "now":
                hidden, waited = 0.0, waited or (true, doses)
                plan, _ = self._sent(f"{address}/looks", self._look(true, minute, "flown"))
            else:
                break
        return Session(true, doses, plan["next"], *(waited or (true, doses)))

    def _look(self, extension: float, minute: int, exercised: str) -> dict[str, object]:
        seen = max(extension + self._rng.normal(0, 0.06), 0.0)
        return {
            "at": (NOW + timedelta(minutes=minute)).isoformat(),
            "extension": {"value": seen, "unit": "in"},
            "exercised": exercised,
            "temperature": "70 degF",
            "fuel": "200 lb",
        }

    def _sent(self, address: str, body: dict[str, object]) -> tuple[dict[str, object], str]:
        answer = self._caller.post(address, body)
        assert answer.status_code == 201, answer.content
        return answer.json()["plan"], f"/api/v1/top-ups/{answer.json()['id']}"


def overshoots(sessions: list[Session]) -> float:
    return float(np.mean([session.extension_in > TARGET_IN + TOLERANCE_IN for session in sessions]))


def within(sessions: list[Session]) -> float:
    return float(np.mean([abs(session.extension_in - TARGET_IN) <= TOLERANCE_IN for session in sessions]))


@pytest.mark.parametrize("sessions", [80, pytest.param(600, marks=pytest.mark.slow)])
def test_sessions_with_exercise_after_each_dose_keep_the_stated_chance_and_take_two_doses(
    sessions: int,
) -> None:
    bench = Bench(seed=20260302)

    ended = [bench.run() for _ in range(sessions)]

    assert overshoots(ended) <= 0.10
    assert np.median([session.doses for session in ended]) <= 2.0
    assert within(ended) >= 0.85


@pytest.mark.parametrize("sessions", [60, pytest.param(400, marks=pytest.mark.slow)])
def test_sessions_on_a_strut_that_holds_back_stop_early_wait_for_the_taxi_and_then_end_as_well(sessions: int) -> None:
    # study: before the taxi 2.5-4 % lie beyond target and tolerance and 85 % below the target, as is wanted
    bench = Bench(seed=20260303)

    ended = [bench.run(held_back=0.35) for _ in range(sessions)]

    waiting = np.array([session.waited_at_in for session in ended])
    assert np.mean(waiting > TARGET_IN + TOLERANCE_IN) <= 0.04
    assert np.mean(waiting < TARGET_IN) >= 0.85
    assert {session.waited_after for session in ended} == {1}  # no stroke more on top of what may be hidden
    assert overshoots(ended) <= 0.10
    assert np.median([session.doses for session in ended]) <= 2.0
    assert within(ended) >= 0.85
