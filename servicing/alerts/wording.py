"""What each finding means for the person who has to look, in words; one table for mail, looks and answers."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from calculations.cautions import Step, cautions_for
from calculations.drift import CheckFirst, Finding
from servicing.reinspection.models import Reason


@dataclass(frozen=True, slots=True)
class Wording:
    """One finding in words."""

    meaning: str
    look_for: str
    check_first: tuple[str, ...]
    reason: Reason = Reason.DRIFT
    steps: tuple[Step, ...] = (Step.EXERCISE,)


FLUID: Final = "Look at tube, seal and torque links for fluid: dry, a film, or running."
VALVE: Final = "Put leak-search fluid on the valve, cap off: bubbles mean the valve core or its seat."
LEVEL: Final = "Have the fluid level checked by the manual's procedure; length alone cannot tell gas from fluid."
EXERCISE: Final = (
    "Exercise the strut (rock the aircraft), then read again; note temperature, fuel and people on board."
)
LOAD: Final = (
    "Exercise the strut, then read length and pressure again, and check what stands on the leg: fuel, people, "
    "baggage, level ground, no jack."
)
ASK: Final = (
    "Ask who worked on it or measured it about the day of the step, and enter what was done with its day: gas let "
    "out, another strut, another mark measured from."
)
MORE_READINGS: Final = "Take more readings, each with temperature and fuel."

WORDINGS: Final[Mapping[Finding, Wording]] = {
    Finding.LOSING_GAS: Wording(
        "The strut loses length that temperature, load and friction do not explain; what was seen points to gas.",
        "Gas leak: bubbles at the valve, extension at known temperature and load.",
        (VALVE, EXERCISE, FLUID),
        steps=(Step.EXERCISE, Step.VALVE),
    ),
    Finding.LOSING_FLUID: Wording(
        "The strut loses length that temperature, load and friction do not explain; what was seen points to fluid.",
        "Fluid leak: fluid at tube and seal, fluid level, extension at known temperature and load.",
        (FLUID, LEVEL, EXERCISE),
        steps=(Step.EXERCISE, Step.VALVE),
    ),
    Finding.LOSING_CHARGE: Wording(
        "The strut or tyre loses charge that temperature and load do not explain; gas or fluid is not yet known.",
        "Where the charge goes: fluid at the seal, bubbles at the valve.",
        (FLUID, VALVE, LEVEL),
        steps=(Step.EXERCISE, Step.VALVE),
    ),
    Finding.STANDING_HIGH: Wording(
        "At the sheet's conditions the strut is longer than its high limit.",
        "Extension after exercise; gas that friction had hidden; another load than was noted.",
        (EXERCISE, "Check the fuel and people that were noted: a light aircraft stands high.", LEVEL),
    ),
    Finding.STANDING_LOW: Wording(
        "At the sheet's conditions the part is below its low limit.",
        "Extension or pressure after exercise; then service by the manual, from below, in small doses.",
        (EXERCISE, FLUID, VALVE),
        steps=(Step.EXERCISE, Step.VALVE),
    ),
    Finding.STICKY: Wording(
        "The strut does not find its place by itself: friction is higher than on its like.",
        "A clean, undamaged tube; side load; dry seal.",
        ("Clean the tube with what the manual allows and look for scores and corrosion.", EXERCISE),
    ),
    Finding.SUSPECT_READING: Wording(
        "The last reading does not fit the ones before; it was set aside and not counted.",
        "Read again: leg, unit, ruler, temperature and fuel.",
        (EXERCISE,),
        Reason.SUSPECT,
    ),
    Finding.SETTLING: Wording(
        "The part is finding its place after work on it.", "Extension after the next flights.", (EXERCISE,)
    ),
    Finding.STEADY: Wording(
        "Nothing moves that temperature and load do not explain: the history asks for nothing to be done.",
        "Extension or pressure, as usual.",
        (),
        steps=(),
    ),
    Finding.TEMPERATURE_ONLY: Wording(
        "It follows the temperature and nothing else: the history asks for nothing to be done.",
        "Extension or pressure, as usual.",
        (),
        steps=(),
    ),
    Finding.TOO_FEW_READINGS: Wording(
        "There are too few readings yet to tell whether anything moves.",
        "Extension or pressure, with temperature and fuel.",
        (MORE_READINGS,),
        steps=(Step.MEASURE,),
    ),
}

LOOKS: Final[Mapping[CheckFirst, str]] = {
    CheckFirst.READ_AGAIN: "Read the same leg again and note which leg, unit, temperature and fuel.",
    CheckFirst.EXERCISE_AND_READ_AGAIN: EXERCISE,
    CheckFirst.SOAP_THE_VALVE: VALVE,
    CheckFirst.LOOK_FOR_FLUID: FLUID,
    CheckFirst.CHECK_FLUID_LEVEL: LEVEL,
    CheckFirst.FLY_AND_READ_AGAIN: "Fly, then read again: a strut finds its place over the next flights.",
    CheckFirst.CLEAN_AND_EXERCISE: "Clean the tube with what the manual allows, exercise the strut, and read again.",
    CheckFirst.SERVICE: "Have it serviced by the manual, from below and in small doses.",
    CheckFirst.MORE_READINGS: MORE_READINGS,
    CheckFirst.CHECK_LOAD_AND_FRICTION: LOAD,
    CheckFirst.ASK_WHO_WORKED: ASK,
}

TYRE_CHECKS: Final = (
    "Read the pressure cold, at least two hours after the last landing, with a gauge in calibration.",
    "Look for cuts, and put leak-search fluid on valve, bead and rim.",
    "Look at valve cap, valve core and fuse plugs where fitted.",
)

ADVICE: Final = (
    "This is advice from measurements. The aircraft's own manual, local rules, licensed maintenance and the pilot in "
    "command decide."
)


def plain_words(finding: str) -> str:
    """Return a finding as people write it."""
    return finding.replace("_", " ")


def wording_of(finding: str) -> Wording:
    """Return the words for a finding."""
    return WORDINGS[Finding(finding)]


def checks_of(finding: str, check_first: str | None, *, tyre: bool) -> tuple[str, ...]:
    """Return what to check, the look that would settle most first; nothing on a sound part."""
    others = wording_of(finding).check_first
    if tyre:
        return TYRE_CHECKS if others else ()
    first = LOOKS.get(CheckFirst(check_first)) if check_first else None
    return (first, *(check for check in others if check != first)) if first else others


def cautions_of(finding: str, check_first: str | None, *, tyre: bool) -> tuple[str, ...]:
    """Return what to take care of while checking; nothing where there is nothing to check."""
    steps = wording_of(finding).steps
    if check_first == CheckFirst.CHECK_LOAD_AND_FRICTION:
        steps = (*steps, Step.EXERCISE)
    if not steps:
        return ()
    if tyre:
        steps = (Step.TYRE_CHECK,)
    return tuple(caution.text for caution in cautions_for(steps))
