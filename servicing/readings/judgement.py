"""Where a strut stands by one reading, and what to do next; pure, one reading at a time.

Drift is judged elsewhere, over the whole history; this is the word to the person at the aircraft.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import erf, sqrt
from typing import Final

from calculations.cautions import Step
from calculations.strut_pressure import DISAGREEING, PressureVerdict


class Place(StrEnum):
    """Where the corrected extension lies."""

    WITHIN = "within limits"
    NEAR_LOW = "near the low limit"
    NEAR_HIGH = "near the high limit"
    LOW = "below the low limit"
    HIGH = "above the high limit"
    BOTTOMED = "on the lower stop"
    TOPPED_OUT = "on the upper stop"


class Action(StrEnum):
    """The next sensible thing to do."""

    NOTHING = "nothing"
    EXERCISE = "exercise and read again"
    NOTE_CONDITIONS = "read again with temperature and fuel"
    READ_AGAIN = "read again"
    TOP_UP = "plan a top-up"
    LET_OUT = "let gas out"
    CHECK_LOAD = "check load and friction"
    INSPECT = "have it looked at before it moves"


class Reason(StrEnum):
    """What sets the extension as read apart from the corrected one the most."""

    COLD = "cold"
    WARM = "warm"
    HEAVY = "heavy"
    LIGHT = "light"
    NONE = ""


@dataclass(frozen=True, slots=True)
class JudgedReading:
    """What the judgement needs of a reading and its sheet; terms are to be added to the reading."""

    extension_in: float
    corrected_in: float
    uncertainty_in: float
    temperature_term_in: float
    load_term_in: float
    low_limit_in: float
    high_limit_in: float
    target_in: float
    full_extension_in: float
    exercised: bool
    temperature_read: bool
    load_known: bool
    pressure: PressureVerdict | None = None


@dataclass(frozen=True, slots=True)
class Judgement:
    """Where it stands, how sure that is, what to do and which steps that asks for."""

    place: Place
    looks: Place
    reason: Reason
    action: Action
    chance_low: float
    chance_high: float
    sigma_from_low: float
    sigma_from_high: float
    sigma_from_target: float
    steps: tuple[Step, ...]


_ON_STOP_IN: Final = 1 / 16  # nearer than a ruler shows
_NEAR: Final = 0.2  # chance of lying outside from which "within" is worth another look
_SURE: Final = 0.9
_FRICTION_CANNOT: Final = 0.999  # so far out that a sticky seal alone does not explain it
_TELLING_TERM_IN: Final = 0.1

_STEPS: Final = {
    Action.NOTHING: (),
    Action.EXERCISE: (Step.MEASURE, Step.EXERCISE),
    Action.NOTE_CONDITIONS: (Step.MEASURE,),
    Action.READ_AGAIN: (Step.MEASURE,),
    Action.TOP_UP: (Step.MEASURE, Step.EXERCISE, Step.GAS_CHARGE),
    Action.LET_OUT: (Step.MEASURE, Step.EXERCISE, Step.GAS_RELEASE),
    Action.CHECK_LOAD: (Step.MEASURE, Step.EXERCISE),
    Action.INSPECT: (Step.MEASURE, Step.MOVE_NEAR_AIRCRAFT),
}


def judge(reading: JudgedReading) -> Judgement:
    """Judge one reading by its sheet's limits."""
    sd = max(reading.uncertainty_in, 1e-6)
    from_low = (reading.corrected_in - reading.low_limit_in) / sd
    from_high = (reading.corrected_in - reading.high_limit_in) / sd
    chance_low, chance_high = _below(-from_low), _below(from_high)
    place = _place(reading, chance_low, chance_high)
    action = _action(place, reading, max(chance_low, chance_high))
    return Judgement(
        place=place,
        looks=_looks(reading),
        reason=_reason(reading),
        action=action,
        chance_low=chance_low,
        chance_high=chance_high,
        sigma_from_low=from_low,
        sigma_from_high=from_high,
        sigma_from_target=(reading.corrected_in - reading.target_in) / sd,
        steps=_STEPS[action],
    )


def _below(sigmas: float) -> float:
    """Return the normal distribution's share below ``sigmas``."""
    return 0.5 * (1 + erf(sigmas / sqrt(2)))


def _place(reading: JudgedReading, chance_low: float, chance_high: float) -> Place:
    if reading.extension_in <= _ON_STOP_IN:
        return Place.BOTTOMED
    if reading.extension_in >= reading.full_extension_in or reading.pressure is PressureVerdict.TOPPED_OUT:
        return Place.TOPPED_OUT
    if chance_low > 0.5:
        return Place.LOW
    if chance_high > 0.5:
        return Place.HIGH
    if max(chance_low, chance_high) < _NEAR:
        return Place.WITHIN
    return Place.NEAR_LOW if chance_low > chance_high else Place.NEAR_HIGH


def _action(place: Place, reading: JudgedReading, chance_outside: float) -> Action:
    if place in (Place.BOTTOMED, Place.TOPPED_OUT):
        return Action.INSPECT
    if reading.pressure in DISAGREEING:
        return Action.CHECK_LOAD
    if place is Place.WITHIN:
        return Action.NOTHING
    # Gas is added or let out only on a reading that deserves it: each doubt is removed first.
    if not reading.exercised and chance_outside < _FRICTION_CANNOT:
        return Action.EXERCISE
    if not (reading.temperature_read and reading.load_known):
        return Action.NOTE_CONDITIONS
    if place in (Place.NEAR_LOW, Place.NEAR_HIGH) or chance_outside < _SURE:
        return Action.READ_AGAIN
    return Action.TOP_UP if place is Place.LOW else Action.LET_OUT


def _looks(reading: JudgedReading) -> Place:
    if reading.extension_in < reading.low_limit_in:
        return Place.LOW
    return Place.HIGH if reading.extension_in > reading.high_limit_in else Place.WITHIN


def _reason(reading: JudgedReading) -> Reason:
    temperature, load = reading.temperature_term_in, reading.load_term_in
    if max(abs(temperature), abs(load)) < _TELLING_TERM_IN:
        return Reason.NONE
    if abs(temperature) >= abs(load):
        return Reason.COLD if temperature > 0 else Reason.WARM
    return Reason.HEAVY if load > 0 else Reason.LIGHT
