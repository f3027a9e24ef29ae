"""From evidence to alerts: the statistic that opens one, hysteresis, and how episodes are counted."""

from typing import Final

import numpy as np

from calculations.drift.as_set import JUST_AFTER_DAYS
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

    Somebody who misreads a tyre inflates it, and what he misread can then not be contradicted any more. So the
    level that work set (:mod:`calculations.drift.as_set`) is no witness: it neither adds nor stands between two.
    """
    prepared, evidence, surprise = swept.prepared, swept.evidence, swept.surprise
    if not len(evidence):
        return evidence
    ends = np.zeros(len(evidence) + 1, bool)
    ends[prepared.offsets] = True
    as_set = np.flatnonzero(prepared.since_work_days < 2.0 * JUST_AFTER_DAYS)
    before = np.where(ends[:-1], -np.inf, np.concatenate([[-np.inf], evidence[:-1]]))
    forerunner = _forerunners(surprise, as_set, ends)
    lone = (surprise < -LONE_BELOW) & (forerunner > COMPANION_SHARE * surprise)
    # Two in a row that are both far too low confirm each other: no need to wait for a third.
    pair = np.maximum(surprise, forerunner) < -PAIR_BELOW
    step = np.select([lone, pair], [LONE_STEP, np.inf], LARGEST_STEP)
    statistic = np.minimum(evidence, before + step)
    _pass_over_work(statistic, evidence, step, as_set, ends)
    settling = prepared.since_work_days < settling_days
    return np.asarray(statistic - SETTLING_EXTRA * settling)


def _forerunners(surprise: FloatArray, as_set: IntArray, ends: BoolArray) -> FloatArray:
    """Return the surprise of the last reading that somebody took before each on the same series, else nothing."""
    before = np.where(ends[:-1], 0.0, np.concatenate([[0.0], surprise[:-1]]))
    for at in as_set.tolist():
        if not ends[at + 1]:
            before[at + 1] = before[at]
    return before


def _pass_over_work(
    statistic: FloatArray, evidence: FloatArray, step: FloatArray, as_set: IntArray, ends: BoolArray
) -> None:
    """Let work that sets the level confirm nothing: the reading after it goes on from where the one before stood."""
    for at in as_set.tolist():
        if ends[at] or np.isneginf(statistic[at - 1]):
            continue  # before a second reading there is nothing to go on from
        statistic[at] = min(evidence[at], statistic[at - 1])
        if not ends[at + 1]:
            statistic[at + 1] = min(statistic[at + 1], statistic[at] + step[at + 1])


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
