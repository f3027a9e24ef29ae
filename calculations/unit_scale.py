"""Find a unit by its name, and take values to and from the unit inside.

References
----------
.. [1] NIST Special Publication 811 (2008), appendix B: conversion factors.
"""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from calculations.errors import refuse
from calculations.unit_table import KINDS, UNITS, Dimension, Quantity, QuantityKind, Unit, UnitSystem

Array = npt.NDArray[np.float64]

# Common practice, no source. Told, not converted by: the grade in the tank is not known here.
_FUEL_BY_MASS: Final = "Of fuel give the mass: avgas about 6.0 lb/US gal (0.72 kg/L)"


@dataclass(frozen=True, slots=True)
class Measured:
    """A value as it was read or is to be shown, with its unit's symbol.

    Examples
    --------
    >>> Measured(4.5, "in").text
    '4.5 in'
    """

    value: float
    unit: str

    @property
    def text(self) -> str:
        """The value with its unit, as short as it can be written in full."""
        return f"{self.value:.10g} {self.unit}"


@dataclass(frozen=True, slots=True)
class Scale:
    """Line that takes values in a unit to a quantity's inside unit, for whole columns at once.

    Examples
    --------
    >>> to_inside = scale("degC", Quantity.TEMPERATURE)
    >>> to_inside.inward([15.0, 100.0]).tolist()
    [59.0, 212.0]
    >>> to_inside.outward([59.0, 212.0]).tolist()
    [15.0, 100.0]
    """

    factor: float
    offset: float

    def inward(self, values: npt.ArrayLike) -> Array:
        """Take values in the unit to the inside unit."""
        return np.asarray(values, dtype=np.float64) * self.factor + self.offset

    def outward(self, values: npt.ArrayLike) -> Array:
        """Take values in the inside unit to the unit."""
        return (np.asarray(values, dtype=np.float64) - self.offset) / self.factor


def _spellings(unit: Unit) -> tuple[str, ...]:
    return (unit.symbol, unit.ucum, *unit.aliases)


def _index() -> dict[tuple[Dimension, str], Unit]:
    """Exact spellings first; a spelling in other capitals counts where only one unit has it."""
    found: dict[tuple[Dimension, str], Unit] = {}
    for unit in UNITS:
        for spelling in _spellings(unit):
            found.setdefault((unit.dimension, spelling), unit)
    for unit in UNITS:
        for spelling in _spellings(unit):
            found.setdefault((unit.dimension, spelling.casefold()), unit)
    return found


_BY_SPELLING: Final = _index()


def kind_of(quantity: Quantity | str) -> QuantityKind:
    """Return how a quantity is kept and shown; its name will do."""
    return KINDS[Quantity(quantity)]


def units_of(quantity: Quantity | str) -> tuple[Unit, ...]:
    """Return every unit that a quantity accepts, in the order of the table.

    Examples
    --------
    >>> [unit.symbol for unit in units_of(Quantity.TEMPERATURE)]
    ['degF', 'degC', 'K']
    """
    kind = kind_of(quantity)
    return tuple(unit for unit in UNITS if unit.dimension == kind.dimension and not _contradicts(unit, kind))


def unit_named(name: str, quantity: Quantity | str, field: str = "unit") -> Unit:
    """Return the unit of that name or UCUM code for a quantity.

    Raises
    ------
    CalculationError
        Codes ``unit_missing``, ``unit_unknown``, ``unit_of_other_quantity``, ``gauge_or_absolute``.

    Examples
    --------
    >>> unit_named("PSI", Quantity.GAUGE_PRESSURE).ucum
    '[psi]'
    """
    kind = kind_of(quantity)
    spelling = " ".join(name.split())
    if not spelling:
        raise refuse(field, "unit_missing", f"needs a unit: one of {_choices(quantity)}")
    unit = _find(kind.dimension, spelling)
    if unit is None:
        elsewhere = any(_find(dimension, spelling) for dimension in Dimension)
        code = "unit_of_other_quantity" if elsewhere else "unit_unknown"
        what = str(quantity).replace("_", " ")
        message = f"{spelling[:20]!r} is no unit of {what}; use one of {_choices(quantity)}"
        if kind.dimension is Dimension.MASS and _find(Dimension.VOLUME, spelling):
            message += f". {_FUEL_BY_MASS}"
        raise refuse(field, code, message)
    if _contradicts(unit, kind):
        message = f"{unit.symbol} is {unit.reference}, but this pressure is {kind.reference}"
        raise refuse(field, "gauge_or_absolute", f"{message}; use one of {_choices(quantity)}")
    return unit


def scale(unit: str | Unit, quantity: Quantity | str) -> Scale:
    """Return the factor and offset from a unit to the quantity's inside unit.

    Examples
    --------
    >>> scale("mm", Quantity.LENGTH).inward(82.55).round(6).tolist()
    3.25
    """
    found = unit_named(unit, quantity) if isinstance(unit, str) else unit
    inside = _BY_SPELLING[(found.dimension, kind_of(quantity).internal)]
    return Scale(found.factor / inside.factor, (found.offset - inside.offset) / inside.factor)


def take_quantity(
    value: float, unit: str, quantity: Quantity | str, field: str = "quantity"
) -> tuple[float, Measured]:
    """Return a value and unit, as in JSON, as the inside value and what was measured.

    Raises
    ------
    CalculationError
        As `unit_named`; ``not_a_number`` for a value that is not finite or no number.

    Examples
    --------
    >>> take_quantity(15, "Cel", Quantity.TEMPERATURE)
    (59.0, Measured(value=15.0, unit='degC'))
    """
    found = unit_named(unit, quantity, field)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise refuse(field, "not_a_number", f"{value!r} is not a number")
    line = scale(found, quantity)
    try:
        inside = float(value) * line.factor + line.offset
    except OverflowError:
        inside = math.inf
    if not math.isfinite(inside):
        raise refuse(field, "not_a_number", "must be a finite number of ordinary size")
    return inside, Measured(float(value), found.symbol)


def convert(value: npt.ArrayLike, from_unit: str, to_unit: str) -> Array:
    """Return values in another unit of the same dimension.

    Raises
    ------
    CalculationError
        ``unit_unknown``; ``units_differ`` where no dimension has both units, or one is gauge and the
        other absolute.

    Examples
    --------
    >>> convert([254.648, 100.0], "psi", "kPa").round(3).tolist()
    [1755.736, 689.476]
    """
    for dimension in Dimension:
        source, target = _find(dimension, from_unit), _find(dimension, to_unit)
        if source and target and not (source.reference and target.reference and source.reference != target.reference):
            base = np.asarray(value, dtype=np.float64) * source.factor + source.offset
            return np.asarray((base - target.offset) / target.factor)
    unknown = [name for name in (from_unit, to_unit) if not any(_find(dimension, name) for dimension in Dimension)]
    if unknown:
        raise refuse("unit", "unit_unknown", f"{unknown[0][:20]!r} is not an accepted unit")
    raise refuse("unit", "units_differ", f"{from_unit} cannot become {to_unit}")


def display_unit(quantity: Quantity | str, system: UnitSystem | str) -> Unit:
    """Return the unit in which a quantity is shown.

    Examples
    --------
    >>> display_unit(Quantity.GAUGE_PRESSURE, "metric").symbol
    'kPa'
    """
    kind = kind_of(quantity)
    symbol = kind.us if UnitSystem(system) is UnitSystem.US else kind.metric
    return _BY_SPELLING[(kind.dimension, symbol)]


def display(value_internal: float, quantity: Quantity | str, system: UnitSystem | str) -> Measured:
    """Return an inside value in the unit in which the quantity is shown, not rounded.

    Examples
    --------
    >>> display(3.25, Quantity.LENGTH, "metric").text
    '82.55 mm'
    """
    unit = display_unit(quantity, system)
    return Measured(float(scale(unit, quantity).outward(value_internal)), unit.symbol)


def _find(dimension: Dimension, name: str) -> Unit | None:
    return _BY_SPELLING.get((dimension, name)) or _BY_SPELLING.get((dimension, name.casefold()))


def _contradicts(unit: Unit, kind: QuantityKind) -> bool:
    return bool(unit.reference) and unit.reference != kind.reference


def _choices(quantity: Quantity | str) -> str:
    return ", ".join(unit.symbol for unit in units_of(quantity))
