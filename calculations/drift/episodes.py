"""From evidence to alerts: the statistic that opens one, hysteresis, and how episodes are counted."""

from typing import Final

import numpy as np

from calculations.drift.histories import BoolArray, FloatArray, IntArray
from calculations.drift.lanes import Prepared
from calculations.drift.sweep import Swept
from calculations.drift.thresholds import (
    COMPANION_SHARE,
    LARGEST_STEP,
    LONE_BELOW,
    LONE_STEP,
    PAIR_BELOW,
    SETTLING_EXTRA,
)

QUIET_DAYS: Final = 60.0
"""Readings above the threshold nearer together than this belong to one episode."""


def alarm_statistic(swept: Swept, settling_days: float) -> FloatArray:
    """Return the evidence as an alert may use it, after every usable reading.

    No single reading may lift it by more than :data:`LARGEST_STEP`, and a low one whose forerunner was not low
    hardly at all: one bad reading then does not open a caution, the next one that agrees does. While a strut
    may be settling after work, more is asked for.
    """
    prepared, evidence, surprise = swept.prepared, swept.evidence, swept.surprise
    if not len(evidence):
        return evidence
    before = np.concatenate([[-np.inf], evidence[:-1]])
    forerunner = np.concatenate([[0.0], surprise[:-1]])
    first = prepared.offsets[:-1][np.diff(prepared.offsets) > 0]
    before[first], forerunner[first] = -np.inf, 0.0
    lone = (surprise < -LONE_BELOW) & (forerunner > COMPANION_SHARE * surprise)
    # Two in a row that are both far too low confirm each other: no need to wait for a third.
    pair = np.maximum(surprise, forerunner) < -PAIR_BELOW
    step = np.select([lone, pair], [LONE_STEP, np.inf], LARGEST_STEP)
    settling = prepared.since_work_days < settling_days
    return np.asarray(np.minimum(evidence, before + step) - SETTLING_EXTRA * settling)


def stands_after_each(prepared: Prepared, statistic: FloatArray, opens: float, closes: float) -> BoolArray:
    """Return whether an alert stands after each reading: opened above one bound, closed below a lower one."""
    if not len(statistic):
        return np.empty(0, bool)
    # Between the bounds the last decided reading speaks; so only the decided ones need looking at.
    decided = np.where(statistic > opens, 1, np.where(statistic < closes, 0, -1))
    first = prepared.offsets[:-1][np.diff(prepared.offsets) > 0]
    decided[first[decided[first] < 0]] = 0
    marks = np.where(decided >= 0, np.arange(len(decided)), 0)
    return np.asarray(decided[np.maximum.accumulate(marks)] == 1)


def episode_starts(prepared: Prepared, above: BoolArray) -> IntArray:
    """Return the readings at which an episode above the threshold starts."""
    hits = np.nonzero(above)[0]
    series = np.repeat(np.arange(len(prepared.offsets) - 1), np.diff(prepared.offsets))[hits]
    fresh = np.ones(len(hits), bool)
    fresh[1:] = (np.diff(series) != 0) | (np.diff(prepared.day[hits]) > QUIET_DAYS)
    return hits[fresh]
