"""The columns of a fleet file, and what one of its rows says."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from typing import Any, Final

from calculations.units import Quantity
from fleet.aircraft.actions import SHEET_FOR
from fleet.aircraft.models import FillGas, Position
from servicing.exchange.columns import Column, choice, count, moment, number, text
from servicing.exchange.reading_columns import AIRCRAFT, LEG

# Column of the file -> figure of the sheet.
FIGURES: Final = {
    "target_extension": "target_extension_in",
    "low_limit": "low_limit_in",
    "high_limit": "high_limit_in",
    "full_extension": "full_extension_in",
    "reference_temperature": "reference_temperature_f",
    "reference_load": "reference_load_lbf",
    "reference_fuel": "reference_fuel_lb",
    "reference_occupants": "reference_occupants_lb",
    "load_per_fuel": "load_per_fuel",
    "load_per_occupant": "load_per_occupant",
    "tube_diameter": "tube_diameter_in",
    "gas_column": "gas_column_in",
    "fluid_volume": "fluid_volume_in3",
    "fluid_expansion": "fluid_expansion_per_k",
    "fluid": "fluid",
    "gas": "gas",
    "maximum_pressure": "maximum_pressure_psig",
    "tyre_size": "tyre_size",
    "tyre_ply_rating": "tyre_ply_rating",
    "tyre_service_pressure": "tyre_service_pressure_psig",
    "tyre_wear_limit": "tyre_wear_limit_in",
    "wheels_per_axle": "wheels_per_axle",
    "manual_reference": "manual_reference",
    "manual_revision": "manual_revision",
}
_LENGTHS: Final = (
    "full_extension", "tube_diameter", "gas_column", "tyre_wear_limit",
)  # fmt: skip
COLUMNS: Final = (
    AIRCRAFT,
    LEG,
    Column("type", text(80)),
    Column("target_extension", quantity=Quantity.LENGTH, required=True),
    Column("low_limit", quantity=Quantity.LENGTH, required=True),
    Column("high_limit", quantity=Quantity.LENGTH),
    *(Column(name, quantity=Quantity.LENGTH) for name in _LENGTHS),
    Column("reference_temperature", quantity=Quantity.TEMPERATURE),
    Column("reference_load", quantity=Quantity.FORCE),
    Column("reference_fuel", quantity=Quantity.MASS),
    Column("reference_occupants", quantity=Quantity.MASS),
    Column("load_per_fuel", number(-1, 2), ratio="lbf/lb"),
    Column("load_per_occupant", number(-1, 2), ratio="lbf/lb"),
    Column("fluid_volume", quantity=Quantity.VOLUME),
    Column("fluid_expansion", number(0, 0.01), ratio="1/K"),
    Column("fluid", text(40)),
    Column("gas", choice(*FillGas.values)),
    Column("maximum_pressure", quantity=Quantity.GAUGE_PRESSURE),
    Column("tyre_size", text(24)),
    Column("tyre_ply_rating", count(60)),
    Column("tyre_service_pressure", quantity=Quantity.GAUGE_PRESSURE),
    Column("wheels_per_axle", count(8)),
    Column("manual_reference", text(120)),
    Column("manual_revision", text(40)),
    Column("home_elevation", quantity=Quantity.ELEVATION),
    Column("strut_serial", text(40)),
    Column("strut_part", text(40)),
    Column("tyre_serial", text(40)),
    Column("installed_at", moment),
)
BEFORE_RECORDS: Final = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class LegRow:
    """One leg as its row describes it."""

    number: int
    registration: str
    position: str
    type_name: str
    figures: dict[str, Any]
    home_elevation_ft: float | None
    strut: dict[str, str] = field(default_factory=dict)
    tyre_serial: str = ""
    installed_at: datetime = BEFORE_RECORDS

    @property
    def sheet_position(self) -> str:
        """Return which of the type's sheets it takes."""
        return str(SHEET_FOR[Position(self.position)])


def same_figures(one: dict[str, Any], other: dict[str, Any]) -> bool:
    """Say whether two sets of figures are the same; a unit's rounding does not count."""
    return all(_same(one.get(name), other.get(name)) for name in one.keys() | other.keys())


def _same(one: Any, other: Any) -> bool:
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-6, abs_tol=1e-9)
    return bool((one or None) == (other or None))


def with_type_names(rows: list[LegRow]) -> list[LegRow]:
    """Give aircraft without a type a name for their sheets, one for all whose figures are alike."""
    by_aircraft: dict[str, list[LegRow]] = defaultdict(list)
    for row in rows:
        if not row.type_name:
            by_aircraft[row.registration.upper()].append(row)
    names: dict[str, str] = {}
    of_aircraft = {}
    for registration, legs in sorted(by_aircraft.items()):
        alike = repr(sorted((leg.position, sorted(leg.figures.items())) for leg in legs))
        of_aircraft[registration] = names.setdefault(alike, f"type of {legs[0].registration}")
    return [row if row.type_name else replace(row, type_name=of_aircraft[row.registration.upper()]) for row in rows]
