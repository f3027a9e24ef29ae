"""How fine the ruler was, as far as the value that was written down shows it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
import numpy.typing as npt

from calculations.constants import INCH_M
from servicing.readings.entries import AsRead

MILLIMETRE_IN: Final = 1e-3 / INCH_M
COARSEST_IN: Final = 1 / 8
_UNIT_IN: Final = {"in": 1.0, "mm": MILLIMETRE_IN, "cm": 10 * MILLIMETRE_IN, "m": 1000 * MILLIMETRE_IN, "ft": 12.0}
_BINARY_STEPS: Final = (1 / 8, 1 / 16, 1 / 32, 1 / 64)


def ruler_steps_in(as_read: Sequence[AsRead]) -> npt.NDArray[np.float64]:
    """Return the step of the ruler [in] behind each reading's extension; 1/8 in where nothing tells.

    A value on eighths may well come from a finer ruler: one value cannot show that, and the
    coarser step is the safer guess.
    """
    return np.array([_step_in(kept.get("extension")) for kept in as_read], dtype=np.float64)


def _step_in(quantity: dict[str, float | str] | None) -> float:
    if not quantity:
        return COARSEST_IN
    value, unit = float(quantity["value"]), str(quantity["unit"])
    if unit == "in":
        for step in _BINARY_STEPS:
            if (value / step).is_integer():
                return step
    unit_in = _UNIT_IN.get(unit, 1.0)
    # Shown decimals: 4.3 in is a tenth, 114 mm a millimetre. Finer than 1/64 in nobody reads a tube.
    decimals = next((places for places in range(4) if math.isclose(value, round(value, places))), 4)
    return min(max(unit_in * 10.0**-decimals, 1 / 64), COARSEST_IN)
