"""From evidence to alerts: the statistic that opens one, hysteresis, and how episodes are counted."""

from typing import Final

import numpy as np

from calculations.drift.as_set import JUST_AFTER_DAYS
from calculations.drift.histories import BoolArray, FloatArray, IntArray
from calculations.drift.lanes import Prepared
from calculations.drift.model import DriftModel
from calculations.drift.sweep import Swept
from calculations.drift.thresholds import SETTLING_EXTRA

QUIET_DAYS: Final = 60.0
"""Readings above the threshold nearer together than this belong to one episode."""
BEYOND_ANY: Final = 1000.0
"""More than evidence ever is."""


def alarm_statistic(swept: Swept, model: DriftModel) -> FloatArray:
    """Return the evidence as an alert may use it, after every usable reading: it follows in steps.

    By :class:`~calculations.drift.model.Steps` no single reading lifts it by much, and one that is not low not at
    all. Neither does one in doubt, too low for its forerunner to bear it out or so far off that it is to be read
    again, nor the one after it unless that bears it out; what both neighbours bear out adds its own step then. So a
    bad reading does not open a caution, wherever the evidence stands: it takes another that agrees. While a strut may
    be settling after work, more is asked for; with the reading after that, whatever it is, no more.

    Somebody who misreads a tyre inflates it, and what he misread can then not be contradicted any more. So the
    level that work set (:mod:`calculations.drift.as_set`) is no witness: it neither adds nor stands between two.
    """
    prepared, evidence, surprise = swept.prepared, swept.evidence, swept.surprise
    if not len(evidence):
        return evidence
    steps = model.steps
    forerunner = _forerunners(surprise, prepared)
    doubtful, agrees = surprise < -steps.doubtful, forerunner <= steps.borne_out_share * surprise
    kept = doubtful & agrees & swept.alone & steps.suspects_wait
    doubtful &= kept | ~agrees
    unconfirmed = (_forerunners(doubtful, prepared) > 0.0) & (surprise > steps.borne_out_share * forerunner)
    # What was kept waiting though the one before it agreed adds its own step with the one after it.
    largest = steps.largest * (1.0 + _forerunners(kept, prepared))
    step = np.where((surprise > -steps.low) | doubtful | unconfirmed, 0.0, largest)
    step[_as_set(prepared)] = 0.0
    statistic = _in_steps(evidence, step, _bounds(prepared)[:-1])
    settling = prepared.since_work_days < model.rules.settling_days
    return np.asarray(statistic - SETTLING_EXTRA * settling)


def borne_out(swept: Swept, model: DriftModel) -> BoolArray:
    """Return which readings are low and the one before at least such a share as low."""
    surprise = swept.surprise
    before = _forerunners(surprise, swept.prepared)
    return np.asarray((surprise < 0.0) & (before <= model.steps.borne_out_share * surprise))


def _in_steps(evidence: FloatArray, step: FloatArray, first: BoolArray) -> FloatArray:
    """Return the least of the evidence and of what was returned for the reading before it, plus its step."""
    # Less what the steps add up to it is the least so far; a series begins far above where the one before it can be.
    total = np.cumsum(np.where(first, BEYOND_ANY, step))
    return np.asarray(np.where(first, -np.inf, np.minimum.accumulate(evidence - total) + total))


def _forerunners(values: FloatArray | BoolArray, prepared: Prepared) -> FloatArray:
    """Return the value of the last reading that somebody took before each on the same series, else nothing."""
    bounds = _bounds(prepared)
    before = np.where(bounds[:-1], 0.0, np.concatenate([[0.0], values[:-1]]))
    for at in _as_set(prepared).tolist():
        if not bounds[at + 1]:
            before[at + 1] = before[at]
    return before


def _bounds(prepared: Prepared) -> BoolArray:
    """Return where a series begins, and at the end that the last one is over."""
    bounds = np.zeros(len(prepared.day) + 1, bool)
    bounds[prepared.offsets] = True
    return bounds


def _as_set(prepared: Prepared) -> IntArray:
    """Return which readings nobody took: they tell how work left the level."""
    return np.flatnonzero(prepared.since_work_days < 2.0 * JUST_AFTER_DAYS)


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
