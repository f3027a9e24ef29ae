"""What an assessment concludes: findings, levels, and why a reading was set aside."""

from dataclasses import dataclass
from enum import IntEnum, StrEnum
from typing import Final

import numpy as np

from calculations.drift.histories import BoolArray, FloatArray, IntArray
from calculations.drift.model import Rules


class Finding(StrEnum):
    """What is concluded of one strut or tyre."""

    STEADY = "steady"
    SETTLING = "settling"
    LOSING_GAS = "losing_gas"
    LOSING_FLUID = "losing_fluid"
    LOSING_CHARGE = "losing_charge"
    STANDING_HIGH = "standing_high"
    STANDING_LOW = "standing_low"
    STICKY = "sticky"
    SUSPECT_READING = "suspect_reading"
    TEMPERATURE_ONLY = "temperature_only"
    TOO_FEW_READINGS = "too_few_readings"


FINDINGS: Final[tuple[Finding, ...]] = tuple(Finding)
LOSSES: Final = (Finding.LOSING_GAS, Finding.LOSING_FLUID, Finding.LOSING_CHARGE)


class Level(IntEnum):
    """Levels as in flight-crew alerting."""

    NONE = 0
    ADVISORY = 1
    CAUTION = 2
    WARNING = 3


class Disposition(StrEnum):
    """What became of a reading."""

    USED = "used"
    DISCOUNTED = "discounted"
    """Farther from the rest than usual: counted with less weight."""
    LONE_OUTLIER = "lone_outlier"
    """So far off, and alone, that it waits for another reading to agree."""
    CONFIRMED_OUTLIER = "confirmed_outlier"
    """Far off, but the readings beside it agree."""
    IMPOSSIBLE = "impossible"
    """Not above zero, or longer than the tube."""
    DUPLICATE = "duplicate"
    TOPPED_OUT = "topped_out"
    """On the upper stop, where it is as long with any more gas: its length is no evidence."""
    HOT = "hot"
    """A tyre just used: how warm its gas was nobody knows."""


DISPOSITIONS: Final[tuple[Disposition, ...]] = tuple(Disposition)
SET_ASIDE: Final = (Disposition.LONE_OUTLIER, Disposition.IMPOSSIBLE, Disposition.TOPPED_OUT, Disposition.HOT)
"""What is not counted."""


class CheckFirst(StrEnum):
    """The look that would settle most, for the person at the aircraft."""

    NOTHING = "nothing"
    READ_AGAIN = "read_again"
    EXERCISE_AND_READ_AGAIN = "exercise_and_read_again"
    SOAP_THE_VALVE = "soap_the_valve"
    LOOK_FOR_FLUID = "look_for_fluid"
    CHECK_FLUID_LEVEL = "check_fluid_level"
    FLY_AND_READ_AGAIN = "fly_and_read_again"
    CLEAN_AND_EXERCISE = "clean_and_exercise"
    SERVICE = "service"
    MORE_READINGS = "more_readings"
    CHECK_LOAD_AND_FRICTION = "check_load_and_friction"
    ASK_WHO_WORKED = "ask_who_worked"


@dataclass(frozen=True)
class Symptoms:
    """Per series, what the classification is made from; boolean unless named otherwise."""

    losing: BoolArray
    fluid_probability: FloatArray
    evidence_of_kind: BoolArray
    fluid_level_checked: BoolArray
    standing_low: BoolArray
    standing_high: BoolArray
    suspect: BoolArray
    too_few: BoolArray
    settling: BoolArray
    sticky: BoolArray
    temperature_only: BoolArray
    near_limit: BoolArray
    """The low limit may be reached within the notice wanted, or is passed."""


def is_sticky(noise_factor: FloatArray, readings: FloatArray, rules: Rules) -> BoolArray:
    """Return whether friction is wide; both arrays (exercised and resting, series)."""
    wide = noise_factor * np.array([[0.9], [1.0]]) > rules.sticky_factor
    return np.asarray((wide & (readings >= rules.sticky_readings)).any(axis=0))


SURE_OF_FLUID: Final = 0.75
SURE_OF_GAS: Final = 0.15

_INDEX: Final = {finding: number for number, finding in enumerate(FINDINGS)}


def classify(symptoms: Symptoms) -> IntArray:
    """Return the index into :data:`FINDINGS` of each series, the first rule that holds."""
    s = symptoms
    fluid = s.losing & s.evidence_of_kind & (s.fluid_probability >= SURE_OF_FLUID)
    gas = s.losing & s.evidence_of_kind & (s.fluid_probability <= SURE_OF_GAS)
    rules = (
        (fluid, Finding.LOSING_FLUID),
        (gas, Finding.LOSING_GAS),
        (s.losing, Finding.LOSING_CHARGE),
        (s.standing_low, Finding.STANDING_LOW),
        (s.standing_high, Finding.STANDING_HIGH),
        (s.suspect, Finding.SUSPECT_READING),
        (s.too_few, Finding.TOO_FEW_READINGS),
        (s.settling, Finding.SETTLING),
        (s.sticky, Finding.STICKY),
        (s.temperature_only, Finding.TEMPERATURE_ONLY),
    )
    return np.select([rule for rule, _ in rules], [_INDEX[f] for _, f in rules], _INDEX[Finding.STEADY])


_GRADES: Final[dict[Finding, Level]] = {
    Finding.LOSING_GAS: Level.CAUTION,
    Finding.LOSING_FLUID: Level.CAUTION,
    Finding.LOSING_CHARGE: Level.CAUTION,
    Finding.STANDING_HIGH: Level.CAUTION,
    Finding.STANDING_LOW: Level.CAUTION,
    Finding.STICKY: Level.ADVISORY,
    Finding.SUSPECT_READING: Level.ADVISORY,
}


def told_level(finding: IntArray) -> IntArray:
    """Return the :class:`Level` of findings by themselves, whatever limit is near."""
    return np.asarray(np.array([int(_GRADES.get(name, Level.NONE)) for name in FINDINGS])[finding])


def grade(finding: IntArray, symptoms: Symptoms) -> IntArray:
    """Return the :class:`Level` of each series."""
    return np.where(symptoms.losing & symptoms.near_limit, int(Level.WARNING), told_level(finding))


def check_first(finding: IntArray, symptoms: Symptoms) -> list[CheckFirst]:
    """Return the first thing to look at, per series."""
    plain = {
        Finding.SETTLING: CheckFirst.FLY_AND_READ_AGAIN,
        Finding.STANDING_HIGH: CheckFirst.EXERCISE_AND_READ_AGAIN,
        Finding.STANDING_LOW: CheckFirst.EXERCISE_AND_READ_AGAIN,
        Finding.STICKY: CheckFirst.CLEAN_AND_EXERCISE,
        Finding.SUSPECT_READING: CheckFirst.READ_AGAIN,
        Finding.TOO_FEW_READINGS: CheckFirst.MORE_READINGS,
        Finding.LOSING_FLUID: CheckFirst.CHECK_FLUID_LEVEL,
        Finding.LOSING_GAS: CheckFirst.SOAP_THE_VALVE,
    }
    looks = []
    for number, index in enumerate(finding):
        name = FINDINGS[index]
        if name is Finding.LOSING_CHARGE:
            checked = symptoms.fluid_level_checked[number]
            looks.append(CheckFirst.SOAP_THE_VALVE if checked else CheckFirst.LOOK_FOR_FLUID)
        else:
            looks.append(plain.get(name, CheckFirst.NOTHING))
    return looks
