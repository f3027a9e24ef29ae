"""The figures of many legs' type sheets as arrays; what a sheet does not say is estimated and named."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Final

import numpy as np
import numpy.typing as npt

from calculations.atmosphere import standard_pressure_psia
from calculations.gas import Gas
from calculations.strut import StrutFigures, StrutUncertainty
from calculations.strut_estimate import LegKind, StrutSheet, estimate_missing
from fleet.aircraft.models import FillGas, Position
from servicing.readings.known_fleet import KnownLeg

Array = npt.NDArray[np.float64]
SEA_LEVEL_FT: Final = 0.0  # manuals' extensions hold for standard sea level unless they say otherwise

_KINDS: Final[dict[str, LegKind]] = {
    Position.NOSE: "nose",
    Position.LEFT_MAIN: "main",
    Position.RIGHT_MAIN: "main",
    Position.TAIL: "tail",
}
_GASES: Final = {FillGas.NITROGEN: Gas.NITROGEN, FillGas.AIR: Gas.AIR}
# Pounds on the leg per pound of fuel and per pound of people; ASSUMED for light aircraft.
_USUAL_SHARES: Final = {"main": (0.41, 0.33), "nose": (0.17, 0.33), "tail": (0.05, 0.10)}
_SHARE_SD: Final = 0.05
_PEOPLE_SHARE_SD: Final = 0.10
_USUAL_REFERENCE_FUEL_LB: Final = 240.0  # ASSUMED: nearly full tanks of a light single
_REFERENCE_FUEL_SD_LB: Final = 80.0
_UNIT_SUFFIXES: Final = ("_per_k", "_in3", "_lbf", "_lb", "_in", "_f")
_FULL_KNOWN_SD_IN: Final = 0.05  # a tube fully out, read with a ruler


@dataclass(frozen=True, slots=True)
class SheetFigures:
    """One value per leg, in the order in which the legs were given; names as on the type sheet."""

    target_in: Array
    low_limit_in: Array
    high_limit_in: Array
    full_extension_in: Array
    full_extension_sd_in: Array
    reference_temperature_f: Array
    reference_load_lbf: Array
    reference_fuel_lb: Array
    reference_fuel_sd_lb: Array
    reference_occupants_lb: Array
    load_per_fuel: Array
    load_per_fuel_sd: Array
    load_per_occupant: Array
    load_per_occupant_sd: Array
    tube_diameter_in: Array
    tube_diameter_sd_in: Array
    gas_column_in: Array
    gas_column_sd_in: Array
    fluid_volume_in3: Array
    fluid_volume_sd_in3: Array
    fluid_expansion_per_k: Array
    fluid_expansion_sd_per_k: Array
    atmosphere_psia: Array
    dry_air: npt.NDArray[np.bool_]
    version: npt.NDArray[np.int64]
    estimated: tuple[tuple[str, ...], ...]

    @property
    def longest_in(self) -> Array:
        """The greatest length that a ruler can show on each strut, with room for a tube that is only estimated."""
        return np.maximum(1.15 * self.full_extension_in, self.full_extension_in + 2.9 * self.full_extension_sd_in)

    def strut_figures(self, legs: npt.NDArray[np.int64]) -> StrutFigures:
        """Return the physical figures for rows, given each row's leg number."""
        return StrutFigures(
            tube_diameter_in=self.tube_diameter_in[legs],
            gas_column_in=self.gas_column_in[legs],
            fluid_volume_in3=self.fluid_volume_in3[legs],
            full_extension_in=self.full_extension_in[legs],
            reference_load_lbf=self.reference_load_lbf[legs],
            reference_temperature_f=self.reference_temperature_f[legs],
            fluid_expansion_per_k=self.fluid_expansion_per_k[legs],
        )

    def strut_uncertainty(self, legs: npt.NDArray[np.int64]) -> StrutUncertainty:
        """Return the uncertainty of those figures, row by row."""
        return StrutUncertainty(
            tube_diameter_in=self.tube_diameter_sd_in[legs],
            gas_column_in=self.gas_column_sd_in[legs],
            fluid_volume_in3=self.fluid_volume_sd_in3[legs],
            fluid_expansion_per_k=self.fluid_expansion_sd_per_k[legs],
            full_extension_in=self.full_extension_sd_in[legs],
        )


def sheet_figures(legs: Sequence[KnownLeg]) -> SheetFigures:
    """Return the figures of legs as arrays, with estimates where the sheet is silent."""
    rows = [_figures_of(leg) for leg in legs]
    columns = {
        field.name: np.array([row[0][field.name] for row in rows])
        for field in fields(SheetFigures)
        if field.name != "estimated"
    }
    return SheetFigures(**columns, estimated=tuple(row[1] for row in rows))


def _figures_of(leg: KnownLeg) -> tuple[dict[str, float], tuple[str, ...]]:
    sheet, kind = leg.sheet, _KINDS[leg.position]
    found = estimate_missing(
        StrutSheet(
            leg=kind,
            tube_diameter_in=sheet.tube_diameter_in,
            gas_column_in=sheet.gas_column_in,
            fluid_volume_in3=sheet.fluid_volume_in3,
            full_extension_in=sheet.full_extension_in,
            reference_load_lbf=sheet.reference_load_lbf,
            reference_temperature_f=sheet.reference_temperature_f,
            fluid_expansion_per_k=sheet.fluid_expansion_per_k,
            target_extension_in=sheet.target_extension_in,
            gas=_GASES[FillGas(sheet.gas)],
        )
    )
    figures, uncertainty = found.figures, found.uncertainty
    estimated = [without_unit(name) for name in found.estimated]

    def known(name: str, value: float | None, estimate: float, sd: float) -> tuple[float, float]:
        if value is not None:
            return value, 0.0
        estimated.append(name)
        return estimate, sd

    usual_per_fuel, usual_per_person = _USUAL_SHARES[kind]
    fuel, fuel_sd = known("reference_fuel", sheet.reference_fuel_lb, _USUAL_REFERENCE_FUEL_LB, _REFERENCE_FUEL_SD_LB)
    per_fuel, per_fuel_sd = known("load_per_fuel", sheet.load_per_fuel, usual_per_fuel, _SHARE_SD)
    per_person, per_person_sd = known(
        "load_per_occupant", sheet.load_per_occupant, usual_per_person, _PEOPLE_SHARE_SD
    )
    full = float(np.asarray(figures.full_extension_in))
    return {
        "target_in": sheet.target_extension_in,
        "low_limit_in": sheet.low_limit_in,
        "high_limit_in": sheet.high_limit_in,
        "full_extension_in": max(full, sheet.high_limit_in),
        "full_extension_sd_in": float(np.hypot(np.asarray(uncertainty.full_extension_in), _FULL_KNOWN_SD_IN)),
        "reference_temperature_f": float(np.asarray(figures.reference_temperature_f)),
        "reference_load_lbf": float(np.asarray(figures.reference_load_lbf)),
        "reference_fuel_lb": fuel,
        "reference_fuel_sd_lb": fuel_sd,
        "reference_occupants_lb": sheet.reference_occupants_lb or 0.0,
        "load_per_fuel": per_fuel,
        "load_per_fuel_sd": per_fuel_sd,
        "load_per_occupant": per_person,
        "load_per_occupant_sd": per_person_sd,
        "tube_diameter_in": float(np.asarray(figures.tube_diameter_in)),
        "tube_diameter_sd_in": float(np.asarray(uncertainty.tube_diameter_in)),
        "gas_column_in": float(np.asarray(figures.gas_column_in)),
        "gas_column_sd_in": float(np.asarray(uncertainty.gas_column_in)),
        "fluid_volume_in3": float(np.asarray(figures.fluid_volume_in3)),
        "fluid_volume_sd_in3": float(np.asarray(uncertainty.fluid_volume_in3)),
        "fluid_expansion_per_k": float(np.asarray(figures.fluid_expansion_per_k)),
        "fluid_expansion_sd_per_k": float(np.asarray(uncertainty.fluid_expansion_per_k)),
        "atmosphere_psia": float(standard_pressure_psia(leg.home_elevation_ft or SEA_LEVEL_FT)),
        "dry_air": sheet.gas == FillGas.AIR,
        "version": sheet.version,
    }, tuple(estimated)


def without_unit(column: str) -> str:
    """Return a figure's name as callers know it: ``tube_diameter_in`` is their ``tube_diameter``."""
    for suffix in _UNIT_SUFFIXES:
        if column.endswith(suffix):
            return column.removesuffix(suffix)
    return column
