"""The weather at the invented field: a cold season that ends the history, whatever the calendar says."""

import numpy as np
import numpy.typing as npt

from deploy.demo.club import DAYS

FloatArray = npt.NDArray[np.float64]
MEAN_F = 52.0
SEASON_F = 22.0
DAY_NIGHT_F = 7.0
COLDEST_DAY = DAYS - 12


def air_temperature_f(day: FloatArray, rng: np.random.Generator) -> FloatArray:
    """Return the air temperature at each moment; ``day`` counts from the start of the history."""
    season = -SEASON_F * np.cos(2 * np.pi * (day - COLDEST_DAY) / 365.25)
    hour = -DAY_NIGHT_F * np.cos(2 * np.pi * (day % 1.0 - 4 / 24))
    spell: FloatArray = _spells(rng)[day.astype(int)]
    return np.asarray(MEAN_F + season + hour + spell)


def _spells(rng: np.random.Generator) -> FloatArray:
    shocks = rng.normal(0.0, 3.5, DAYS + 2)
    spells = np.zeros_like(shocks)
    for today in range(1, len(shocks)):
        spells[today] = 0.75 * spells[today - 1] + shocks[today]
    return spells
