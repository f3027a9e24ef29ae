"""A judgement in words, in the caller's units."""

from __future__ import annotations

from typing import Final

from calculations.units import Quantity, display
from servicing.readings.judgement import Action, JudgedReading, Judgement, Place, Reason

_BECAUSE: Final = {
    Reason.COLD: "it is colder than the sheet's temperature",
    Reason.WARM: "it is warmer than the sheet's temperature",
    Reason.HEAVY: "the leg carries more than the sheet's load",
    Reason.LIGHT: "the leg carries less than the sheet's load",
}
_NEXT: Final = {
    Action.NOTHING: "Nothing to do.",
    Action.EXERCISE: "Exercise the strut (rock it, taxi or fly), read it again, and only then think of gas: friction "
    "may hold it where it stands.",
    Action.NOTE_CONDITIONS: "Read it again with temperature and fuel noted: without them this is too uncertain to "
    "act on.",
    Action.READ_AGAIN: "Too close to call from one reading: exercise it, read it again, and go by both.",
    Action.TOP_UP: "Look for fluid first, then plan a top-up by the aircraft's manual, in small doses.",
    Action.LET_OUT: "Exercise it and read it once more; if it is still high, let gas out in short bursts by the "
    "aircraft's manual.",
    Action.CHECK_LOAD: "Gas and load do not agree: exercise the strut, read length and pressure again, and check "
    "what stands on the leg. Give it no gas and let none out before they agree.",
    Action.INSPECT: "A strut on its stop tells nothing of its charge: have it looked at by the aircraft's manual "
    "before the aircraft moves.",
}


def in_words(judgement: Judgement, reading: JudgedReading, unit_system: str) -> str:
    """Return the judgement as two or three sentences."""
    return f"{_stand(judgement, reading, unit_system)} {_NEXT[judgement.action]}"


def length_in_words(length_in: float, unit_system: str) -> str:
    """Return a length as a person would read it off a ruler."""
    shown = display(length_in, Quantity.LENGTH, unit_system)
    return f"{shown.value:.{2 if shown.unit == 'in' else 0}f} {shown.unit}"


def _stand(judgement: Judgement, reading: JudgedReading, unit_system: str) -> str:
    corrected = length_in_words(reading.corrected_in, unit_system)
    sd = length_in_words(reading.uncertainty_in, unit_system)
    low = length_in_words(reading.low_limit_in, unit_system)
    high = length_in_words(reading.high_limit_in, unit_system)
    if judgement.place is Place.BOTTOMED:
        return "The strut rests on its lower stop."
    if judgement.place is Place.TOPPED_OUT:
        return "The strut stands at its full extension."
    at_sheet = f"{corrected} ± {sd} at the sheet's load and temperature"
    if judgement.place is Place.WITHIN:
        if judgement.looks is Place.WITHIN:
            return f"Within limits: {at_sheet}, limits {low} to {high}."
        side = "low" if judgement.looks is Place.LOW else "high"
        because = _BECAUSE.get(judgement.reason, "of where and how it was read")
        warning = "do not add gas for it." if judgement.looks is Place.LOW else "do not let gas out for it."
        return f"It only looks {side}, because {because}: {at_sheet}, within {low} to {high}; {warning}"
    limit = low if judgement.place in (Place.LOW, Place.NEAR_LOW) else high
    chance = max(judgement.chance_low, judgement.chance_high)
    hidden = ""
    if judgement.place in (Place.LOW, Place.HIGH) and judgement.looks is Place.WITHIN:
        because = _BECAUSE.get(judgement.reason, "of where and how it was read")
        hidden = f" It looks right only because {because}."
    place = str(judgement.place).capitalize()
    return f"{place}, {limit}: {at_sheet}; the chance that it is outside is {_percent(chance)}.{hidden}"


def _percent(chance: float) -> str:
    percent = round(100 * chance)
    return "over 99 %" if percent > 99 else f"{percent} %"
