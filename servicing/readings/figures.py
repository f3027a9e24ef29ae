"""The figures of many legs' type sheets as arrays; what a sheet does not say is estimated and named."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from calculations.atmosphere import standard_pressure_psia
from calculations.strut import StrutFigures, StrutUncertainty
from calculations.strut_figures import (
    FIGURES_TEMPERATURE_F,
    FLUID_EXPANSION_PER_K,
    FLUID_EXPANSION_UNCERTAINTY_PER_K,
)
from fleet.aircraft.models import FillGas, Position
from servicing.readings.known_fleet import KnownLeg

Array = npt.NDArray[np.float64]
REST_PRESSURE_PSI = 180.0  # gauge, of a light aircraft's strut at rest; ASSUMED where tube or load is unknown
SEA_LEVEL_FT = 0.0  # manuals' extensions hold for standard sea level unless they say otherwise

# ASSUMED for light aircraft, by position: tube diameter [in], pounds on the leg per pound of fuel and of people.
_USUAL = {
    Position.NOSE: (2.0, 0.17, 0.33),
    Position.LEFT_MAIN: (2.375, 0.41, 0.33),
    Position.RIGHT_MAIN: (2.375, 0.41, 0.33),
    Position.TAIL: (1.5, 0.05, 0.10),
}
_USUAL_REFERENCE_FUEL_LB = 240.0  # ASSUMED: nearly full tanks of a light single
_REFERENCE_FUEL_SD_LB = 80.0
_SHARE_SD = 0.05  # of estimated pounds per pound
_TUBE_SD = 0.09  # of an estimated diameter, as a fraction
_TUBE_MEASURED_SD_IN = 0.005
_COLUMN_IN, _COLUMN_SD_IN = 2.0, 0.7  # x/÷ 1.4
_FLUID_SD = 0.3
_FULL_SD_IN, _FULL_KNOWN_SD_IN = 0.7, 0.05


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
    sheet = leg.sheet
    usual_tube, usual_per_fuel, usual_per_occupant = _USUAL[Position(leg.position)]
    estimated: list[str] = []

    def known(name: str, value: float | None, estimate: float, known_sd: float, sd: float) -> tuple[float, float]:
        if value is not None:
            return value, known_sd
        estimated.append(name)
        return estimate, sd

    tube_guess = usual_tube
    if sheet.reference_load_lbf is not None:
        tube_guess = float(np.sqrt(sheet.reference_load_lbf / REST_PRESSURE_PSI / (np.pi / 4)))
    tube, tube_sd = known(
        "tube_diameter", sheet.tube_diameter_in, tube_guess, _TUBE_MEASURED_SD_IN, _TUBE_SD * tube_guess
    )
    area = np.pi / 4 * tube**2
    load, _ = known("reference_load", sheet.reference_load_lbf, area * REST_PRESSURE_PSI, 0, 0)
    fluid_guess = 2.0 * area**2  # fits the usual light-aircraft struts of 12 to 60 in3; ASSUMED
    fluid, fluid_sd = known("fluid_volume", sheet.fluid_volume_in3, fluid_guess, 0.0, _FLUID_SD * fluid_guess)
    column, column_sd = known("gas_column", sheet.gas_column_in, _COLUMN_IN, 0.0, _COLUMN_SD_IN)
    full_guess = max(2.0 * sheet.target_extension_in, sheet.high_limit_in)
    full, full_sd = known("full_extension", sheet.full_extension_in, full_guess, _FULL_KNOWN_SD_IN, _FULL_SD_IN)
    temperature, _ = known("reference_temperature", sheet.reference_temperature_f, FIGURES_TEMPERATURE_F, 0, 0)
    fuel, fuel_sd = known(
        "reference_fuel", sheet.reference_fuel_lb, _USUAL_REFERENCE_FUEL_LB, 0.0, _REFERENCE_FUEL_SD_LB
    )
    per_fuel, per_fuel_sd = known("load_per_fuel", sheet.load_per_fuel, usual_per_fuel, 0.0, _SHARE_SD)
    per_person, per_person_sd = known(
        "load_per_occupant", sheet.load_per_occupant, usual_per_occupant, 0.0, 2 * _SHARE_SD
    )
    expansion = sheet.fluid_expansion_per_k
    return {
        "target_in": sheet.target_extension_in,
        "low_limit_in": sheet.low_limit_in,
        "high_limit_in": sheet.high_limit_in,
        "full_extension_in": full,
        "full_extension_sd_in": full_sd,
        "reference_temperature_f": temperature,
        "reference_load_lbf": load,
        "reference_fuel_lb": fuel,
        "reference_fuel_sd_lb": fuel_sd,
        "reference_occupants_lb": sheet.reference_occupants_lb or 0.0,
        "load_per_fuel": per_fuel,
        "load_per_fuel_sd": per_fuel_sd,
        "load_per_occupant": per_person,
        "load_per_occupant_sd": per_person_sd,
        "tube_diameter_in": tube,
        "tube_diameter_sd_in": tube_sd,
        "gas_column_in": column,
        "gas_column_sd_in": column_sd,
        "fluid_volume_in3": fluid,
        "fluid_volume_sd_in3": fluid_sd,
        "fluid_expansion_per_k": FLUID_EXPANSION_PER_K if expansion is None else expansion,
        "fluid_expansion_sd_per_k": FLUID_EXPANSION_UNCERTAINTY_PER_K,
        "atmosphere_psia": float(standard_pressure_psia(leg.home_elevation_ft or SEA_LEVEL_FT)),
        "dry_air": sheet.gas == FillGas.AIR,
        "version": sheet.version,
    }, tuple(estimated)
