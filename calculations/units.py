"""Quantities with units: read them as people write them, convert them, show them.

The accepted units are those of `calculations.unit_table`, no others.
"""

from calculations.unit_scale import (
    Measured,
    Scale,
    convert,
    display,
    display_unit,
    kind_of,
    scale,
    take_quantity,
    unit_named,
    units_of,
)
from calculations.unit_table import KINDS, UNITS, Dimension, Quantity, QuantityKind, Unit, UnitSystem
from calculations.unit_text import parse_header, parse_number, parse_quantity

__all__ = [
    "KINDS",
    "UNITS",
    "Dimension",
    "Measured",
    "Quantity",
    "QuantityKind",
    "Scale",
    "Unit",
    "UnitSystem",
    "convert",
    "display",
    "display_unit",
    "kind_of",
    "parse_header",
    "parse_number",
    "parse_quantity",
    "scale",
    "take_quantity",
    "unit_named",
    "units_of",
]
