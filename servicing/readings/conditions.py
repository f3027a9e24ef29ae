"""Temperature and fuel that nobody wrote down, estimated from what the same aircraft's readings say.

An estimate depends only on the set of readings, never on the order in which they came, so that phones
which come back online late lead to the same figures.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

SAME_VISIT_DAYS: Final = 3 / 24
SAME_VISIT_TEMPERATURE_SD_F: Final = 6.0  # ASSUMED: read at another leg or an hour later
TEMPERATURE_REACH_DAYS: Final = 60.0
FUEL_REACH_DAYS: Final = 180.0
_MEMORY_DAYS: Final = 15.0
_WEATHER_SD_F: Final = 11.0  # day to day and through the day; ASSUMED
_UNKNOWN_CLIMATE_SD_F: Final = 20.0  # about the reference temperature, all seasons; ASSUMED
_FUEL_GAUGE_SD_LB: Final = 15.0  # ASSUMED
_UNKNOWN_FUEL_SD_LB: Final = 70.0
READ_TEMPERATURE_SD_F: Final = 4.0  # air read for gas; ASSUMED
READ_FUEL_SD_LB: Final = _FUEL_GAUGE_SD_LB


@dataclass(frozen=True, slots=True)
class Noted:
    """What readings of some aircraft noted; NaN where nothing was noted. ``aircraft`` numbers them."""

    aircraft: npt.NDArray[np.int64]
    day: Array
    temperature_f: Array
    fuel_lb: Array

    @staticmethod
    def nothing() -> Noted:
        """Return no rows."""
        return Noted(np.empty(0, np.int64), np.empty(0), np.empty(0), np.empty(0))

    @staticmethod
    def joined(parts: Sequence[Noted]) -> Noted:
        """Return the rows of several as one."""
        return Noted(
            np.concatenate([part.aircraft for part in parts]),
            np.concatenate([part.day for part in parts]),
            np.concatenate([part.temperature_f for part in parts]),
            np.concatenate([part.fuel_lb for part in parts]),
        )


@dataclass(frozen=True, slots=True)
class Conditions:
    """Temperature and fuel to correct with, each with its standard uncertainty."""

    temperature_f: Array
    temperature_sd_f: Array
    fuel_lb: Array
    fuel_sd_lb: Array


def days_of(moments: Sequence[datetime]) -> Array:
    """Return moments as days since 1970, as floats."""
    return np.array([moment.timestamp() for moment in moments]) / 86400.0


def conditions_for(
    rows: Noted, neighbours: Noted, reference_temperature_f: Array, reference_fuel_lb: Array
) -> Conditions:
    """Return the conditions of ``rows``: as noted, else estimated from ``neighbours`` (which may hold the rows)."""
    temperature, temperature_sd = rows.temperature_f.copy(), np.full(len(rows.day), READ_TEMPERATURE_SD_F)
    fuel, fuel_sd = rows.fuel_lb.copy(), np.full(len(rows.day), READ_FUEL_SD_LB)
    by_temperature = _Lookup(neighbours, neighbours.temperature_f)
    by_fuel = _Lookup(neighbours, neighbours.fuel_lb)
    for row in np.flatnonzero(np.isnan(temperature)):
        near = by_temperature.near(rows.aircraft[row], rows.day[row], TEMPERATURE_REACH_DAYS)
        temperature[row], temperature_sd[row] = _temperature(*near, float(reference_temperature_f[row]))
    for row in np.flatnonzero(np.isnan(fuel)):
        near = by_fuel.near(rows.aircraft[row], rows.day[row], FUEL_REACH_DAYS)
        fuel[row], fuel_sd[row] = _fuel(*near, float(reference_fuel_lb[row]))
    return Conditions(temperature, temperature_sd, fuel, fuel_sd)


class _Lookup:
    """Noted values of each aircraft in order of time."""

    def __init__(self, noted: Noted, values: Array) -> None:
        kept = np.isfinite(values)
        order = np.lexsort([values[kept], noted.day[kept], noted.aircraft[kept]])
        self._aircraft = noted.aircraft[kept][order]
        self._day, self._values = noted.day[kept][order], values[kept][order]

    def near(self, aircraft: np.int64, day: float, reach: float) -> tuple[Array, Array]:
        """Return days away and values of one aircraft's notes within reach."""
        first, last = np.searchsorted(self._aircraft, [aircraft, aircraft + 1])
        days = self._day[first:last]
        start, end = first + np.searchsorted(days, [day - reach, day + reach])
        return np.abs(self._day[start:end] - day), self._values[start:end]


def _temperature(days_away: Array, values: Array, reference_f: float) -> tuple[float, float]:
    same_visit = days_away <= SAME_VISIT_DAYS
    if same_visit.any():
        return float(values[same_visit].mean()), SAME_VISIT_TEMPERATURE_SD_F
    weight = np.exp(-days_away / _MEMORY_DAYS)
    prior = (_WEATHER_SD_F / _UNKNOWN_CLIMATE_SD_F) ** 2
    total = weight.sum() + prior
    mean = (weight @ values + prior * reference_f) / total
    return float(mean), float(_WEATHER_SD_F * np.sqrt(1 + 1 / total))


def _fuel(days_away: Array, values: Array, reference_lb: float) -> tuple[float, float]:
    same_visit = days_away <= SAME_VISIT_DAYS
    if same_visit.any():
        return float(values[same_visit].mean()), _FUEL_GAUGE_SD_LB
    mean = (values.sum() + reference_lb) / (len(values) + 1)
    if len(values) < 5:
        return float(mean), _UNKNOWN_FUEL_SD_LB
    return float(mean), float(np.hypot(values.std(), _FUEL_GAUGE_SD_LB))
