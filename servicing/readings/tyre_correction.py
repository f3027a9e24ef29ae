"""Tyre readings brought to what the manual's service pressure is stated for: cold, wheel off the ground."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from calculations.atmosphere import standard_pressure_psia
from calculations.constants import ZERO_FAHRENHEIT_K
from calculations.tyre import LOADED_OVER_UNLOADED, pressure_at_temperature
from servicing.readings.conditions import READ_TEMPERATURE_SD_F
from servicing.readings.entries import TyreEntry
from servicing.readings.known_fleet import KnownFleet

REFERENCE_TEMPERATURE_F: Final = 70.0  # where the sheet says none
UNKNOWN_TEMPERATURE_SD_F: Final = 20.0  # ASSUMED
HOT_TYRE_SD_F: Final = 40.0  # a tyre just used, against the air that was read; ASSUMED
GAUGE_SD_PSI: Final = 0.5  # ASSUMED
LOAD_RISE_SD: Final = 0.01  # of the 4 % that a wheel's load adds; ASSUMED


@dataclass(frozen=True, slots=True)
class CorrectedTyres:
    """The derived columns of `TyreReading`; None where no pressure was read."""

    corrected_psig: list[float | None]
    uncertainty_psi: list[float | None]
    corrected_sheet_version: list[int]


def correct_tyres(entries: Sequence[TyreEntry], fleet: KnownFleet) -> CorrectedTyres:
    """Return each pressure at the reference temperature and without the wheel's load."""
    legs = [fleet.legs[entry.leg_id] for entry in entries]
    reference_f = np.array([leg.sheet.reference_temperature_f or REFERENCE_TEMPERATURE_F for leg in legs])
    pressure = np.array([entry.pressure_psig for entry in entries], np.float64)
    read_f = np.array([entry.temperature_f for entry in entries], np.float64)
    hot = np.array([entry.hot for entry in entries], np.bool_)
    loaded = np.array([entry.loaded for entry in entries], np.bool_)
    air = standard_pressure_psia(np.array([leg.home_elevation_ft or 0.0 for leg in legs]))
    known = np.isfinite(read_f)
    temperature = np.where(known, read_f, reference_f)
    temperature_sd = np.where(known, READ_TEMPERATURE_SD_F, UNKNOWN_TEMPERATURE_SD_F)
    temperature_sd = np.where(hot, HOT_TYRE_SD_F, temperature_sd)
    read = np.nan_to_num(pressure)
    unloaded = np.where(loaded, read / LOADED_OVER_UNLOADED, read)
    corrected = pressure_at_temperature(
        unloaded, temperature_f=temperature, wanted_temperature_f=reference_f, atmosphere_psia=air
    )
    per_f = (unloaded + air) / (temperature + 1.8 * ZERO_FAHRENHEIT_K)
    sd = np.sqrt(GAUGE_SD_PSI**2 + (per_f * temperature_sd) ** 2 + np.where(loaded, LOAD_RISE_SD * read, 0.0) ** 2)
    return CorrectedTyres(_or_none(corrected, pressure), _or_none(sd, pressure), [leg.sheet.version for leg in legs])


def _or_none(values: npt.NDArray[np.float64], where: npt.NDArray[np.float64]) -> list[float | None]:
    return [float(value) if np.isfinite(read) else None for value, read in zip(values, where, strict=True)]
