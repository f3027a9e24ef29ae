"""Readings of struts on their upper stop: what they cannot tell, and what they do."""

import numpy as np

from calculations.drift.histories import BoolArray, Histories, Seen
from calculations.drift.lanes import reading_variance
from calculations.drift.model import DriftModel
from calculations.drift.normal import NORMAL_05


def topped_out(histories: Histories) -> BoolArray:
    """Return which readings were taken on the upper stop, by gauge and ruler; there length stands still."""
    readings, seen = histories.readings, histories.seen
    stopped = np.zeros(len(readings.day), bool)
    for look in np.flatnonzero(seen.kind == int(Seen.TOPPED_OUT)):  # rare
        own = slice(*histories.offsets[seen.series[look] : seen.series[look] + 2])
        stopped[own] |= readings.day[own] == seen.day[look]
    return stopped


def surely_high(histories: Histories, model: DriftModel) -> BoolArray:
    """Return which readings on the stop lie above the high limit at sheet conditions.

    On its stop a strut is shorter than its gas would have it, so the corrected length is a lower bound.
    """
    high, at = np.zeros(len(histories.readings.day), bool), np.flatnonzero(topped_out(histories))
    least = histories.readings.corrected_in[at] - NORMAL_05 * np.sqrt(reading_variance(histories, at, model))
    high[at] = least > histories.struts.high_limit_in[histories.readings.series[at]]
    return high
