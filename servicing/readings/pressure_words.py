"""What a gauge reading on a strut at rest tells, in words and in the caller's units."""

from __future__ import annotations

from typing import Final

from calculations.strut_pressure import PressureVerdict
from calculations.units import Quantity, display
from servicing.readings.pressures import PressureAtRest

_MEANS: Final = {
    PressureVerdict.AGREES: "gas and load agree. Of how much gas or fluid is in it a pressure at rest says nothing.",
    PressureVerdict.UNCLEAR: "load, tube and gauge are not known well enough to say whether they agree.",
    PressureVerdict.MORE_THAN_LOAD: "the gas pushes more than the load: the strut is held (side load, dry or swollen "
    "seal, other friction), or more stands on the leg than was noted. What is held back may come out later.",
    PressureVerdict.LESS_THAN_LOAD: "the gas pushes less than the load: the strut is held up by friction, or less "
    "stands on the leg than was noted (a jack, fuel, people).",
    PressureVerdict.TOPPED_OUT: "the gas pushes more than the load, and the tube is fully out: the strut stands on "
    "its upper stop, where its length tells nothing.",
    PressureVerdict.BOTTOMED: "the strut rests on its lower stop, which carries the rest.",
}


def pressure_in_words(found: PressureAtRest, unit_system: str) -> str:
    """Return one or two sentences."""
    pressure = _shown(found.pressure_psig, Quantity.GAUGE_PRESSURE, unit_system)
    carried = _shown(found.carried_lbf, Quantity.FORCE, unit_system)
    load = _shown(found.load_lbf, Quantity.FORCE, unit_system)
    by = f"{round(100 * found.excess):+d} ± {100 * found.excess_sd:.0f} %"
    return f"{pressure} on the tube carry {carried} where {load} stand ({by}): {_MEANS[found.verdict]}"


def _shown(value: float, kind: Quantity, unit_system: str) -> str:
    shown = display(value, kind, unit_system)
    return f"{shown.value:.{1 if shown.unit == 'bar' else 0}f} {shown.unit}"
