"""How often evidence of a strength comes by chance, read off the same table as the thresholds."""

import numpy as np

from calculations.drift.histories import FloatArray
from calculations.drift.settings import Settings
from calculations.drift.thresholds import TABLES


def false_alarm_rate_at(evidence: FloatArray, settings: Settings) -> FloatArray:
    """Return how often per part and year evidence at least this strong comes by chance; the table's ends are bounds.

    Examples
    --------
    >>> from calculations.drift.thresholds import opening_evidence
    >>> float(false_alarm_rate_at(np.array([opening_evidence(Settings())]), Settings())[0].round(6))
    0.1
    """
    rates, needed = zip(*reversed(TABLES[settings.part]), strict=True)
    shifted = np.asarray(evidence) - settings.habits.threshold_shift
    return np.asarray(np.exp(np.interp(shifted, needed, np.log(rates))))
