"""From false alarms per strut-year to the evidence that an alert needs, and back below which it closes.

The tables were measured on leak-free simulated fleets (``python -m tests.detectors --thresholds``); absolute
figures hold for the simulated mix of noise, which is why the fleet's own history may shift them
(:mod:`calculations.drift.mirror`).
"""

from typing import Final

import numpy as np

from calculations.drift.settings import Part, Settings

Table = tuple[tuple[float, float], ...]

STRUT_TABLE: Final[Table] = (
    (0.005, 2.75),
    (0.016, 1.91),
    (0.03, 1.44),
    (0.06, 0.95),
    (0.10, 0.63),
    (0.17, 0.32),
    (0.30, 0.09),
    (0.57, 0.00),
)
"""(false alarms per strut-year, evidence)."""
TYRE_TABLE: Final[Table] = (
    (0.005, 8.05),
    (0.016, 4.03),
    (0.03, 2.84),
    (0.06, 1.87),
    (0.10, 1.29),
    (0.17, 0.74),
    (0.30, 0.21),
    (0.40, 0.00),
)
"""The same per tyre-year (``python -m tests.detectors.tyres --thresholds``, 36 000 tyre-years of seeds 3101-3103).

It ends where the evidence is none: whoever accepts more gets no more."""
TABLES: Final[dict[Part, Table]] = {Part.STRUT: STRUT_TABLE, Part.TYRE: TYRE_TABLE}
CLOSES_BELOW: Final = 1.5
"""An alert closes when the evidence has fallen this far below what opened it: no flapping."""
SETTLING_EXTRA: Final = 1.0
"""More evidence is asked for while a strut may still be settling after work."""
SHIFT_RANGE: Final = (0.0, 4.0)
"""How far a fleet's own history may move the threshold: upwards only, for luck must not make it laxer."""


def opening_evidence(settings: Settings) -> float:
    """Return the evidence above which a loss is reported.

    Examples
    --------
    >>> opening_evidence(Settings(false_alarms_per_year=0.03)) > opening_evidence(Settings())
    True
    """
    needed = threshold_of(settings.false_alarms_per_year, TABLES[settings.part]) + settings.habits.threshold_shift
    return max(needed, 0.0)  # below zero the evidence speaks against a loss


def threshold_of(false_alarms_per_year: float, table: Table) -> float:
    """Interpolate the table linearly in the logarithm of the rate."""
    rates, evidence = zip(*table, strict=True)
    return float(np.interp(np.log(false_alarms_per_year), np.log(rates), evidence))
