"""From false alarms per strut-year to the evidence that an alert needs, and back below which it closes.

The table was measured on leak-free simulated fleets (``python -m tests.detectors --thresholds``); absolute
figures hold for the simulated mix of noise, which is why the fleet's own history may shift them.
"""

from typing import Final

import numpy as np

from calculations.drift.histories import FloatArray
from calculations.drift.settings import Settings

# (false alarms per strut-year, evidence)
_STRUT_TABLE: Final = ((0.005, 5.0), (0.016, 3.2), (0.03, 2.2), (0.10, 0.87), (0.30, 0.35), (1.0, -0.1))
CLOSES_BELOW: Final = 1.5
"""An alert closes when the evidence has fallen this far below what opened it: no flapping."""
SETTLING_EXTRA: Final = 1.0
"""More evidence is asked for while a strut may still be settling after work."""


def opening_evidence(settings: Settings) -> float:
    """Return the evidence above which a loss is reported.

    Examples
    --------
    >>> opening_evidence(Settings(false_alarms_per_year=0.03)) > opening_evidence(Settings())
    True
    """
    return threshold_of(settings.false_alarms_per_year, _STRUT_TABLE) + settings.habits.threshold_shift


def threshold_of(false_alarms_per_year: float, table: tuple[tuple[float, float], ...]) -> float:
    """Interpolate the table linearly in the logarithm of the rate."""
    rates, evidence = zip(*table, strict=True)
    return float(np.interp(np.log(false_alarms_per_year), np.log(rates), evidence))


def false_alarm_rate_at(evidence: FloatArray, settings: Settings) -> FloatArray:
    """Return how often per strut-year evidence at least this strong comes by chance; the table's ends are bounds.

    Examples
    --------
    >>> float(false_alarm_rate_at(np.array([opening_evidence(Settings())]), Settings())[0].round(6))
    0.1
    """
    rates, needed = zip(*reversed(_STRUT_TABLE), strict=True)
    shifted = np.asarray(evidence) - settings.habits.threshold_shift
    return np.asarray(np.exp(np.interp(shifted, needed, np.log(rates))))
