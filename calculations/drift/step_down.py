"""A step that nobody wrote down: does one fall at once explain a standing loss better than a steady one?

Gas that is let out and not entered, or a length read off another mark from some day on, leaves a level that fell
once and then holds. The bank (:mod:`calculations.drift.bank`) knows only losses that go on, and calls it one. Here
both are fitted to the readings about the onset; what comes out qualifies a finding and never silences it, for a leak
that is topped up again and again, and nobody writes that down, looks the same.

Notes
-----
Level ``a - b f(t)`` since the last work, ``f`` either 1 after ``tau`` or the months since it, over one grid of
``tau``; each by iterated reweighting with Huber's weight ``min(1, c / |z|)`` [1]_. The lead of the step is the
difference of the two smallest sums of Huber's loss: a log likelihood ratio, for both fits have three parameters.

References
----------
.. [1] P. J. Huber, "Robust estimation of a location parameter", Ann. Math. Statist. 35 (1964) 73.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calculations.drift.ageing import last_work
from calculations.drift.assess import Assessments
from calculations.drift.findings import DISPOSITIONS, Disposition
from calculations.drift.histories import BoolArray, FloatArray, Histories, IntArray
from calculations.drift.lanes import reading_variance
from calculations.drift.model import DAYS_PER_MONTH, STRUT_MODEL, DriftModel

DAYS_BEFORE: Final = 120.0
"""How long before the supposed onset readings count."""
DAYS_AFTER: Final = 90.0
READINGS_AFTER: Final = 6
"""A step younger than this, or with fewer readings after it, is not told from a fast loss."""
READINGS_BEFORE: Final = 2
LEAD: Final = 3.0
"""Chosen by simulation: of losses that go on, 0.05 to 1 in a month, it takes 2 % at most for a step."""
GRID: Final = 32
AT_ONCE: Final = 64
HUBER: Final = STRUT_MODEL.huber
_REWEIGHTINGS: Final = 3
_ALIKE: Final = 1e-9
_AS_LIKELY: Final = 2.0
"""Days that fit within this of the best may be the day as well: among them are some 90 % of simulated steps."""


@dataclass(frozen=True)
class Steps:
    """Per series, NaN where no step is told; the size is positive when the strut went down [in]."""

    day: FloatArray
    earliest_day: FloatArray
    latest_day: FloatArray
    down_in: FloatArray


def find_steps(histories: Histories, found: Assessments, model: DriftModel = STRUT_MODEL) -> Steps:
    """Return the single steps down that fit standing losses better than a steady loss does.

    Parameters
    ----------
    histories : Histories
    found : Assessments
        Of the same histories; only series that are losing are looked at.
    model : DriftModel
    """
    steps = Steps(*(np.full(histories.count, np.nan) for _ in range(4)))
    readings = histories.readings
    since = np.fmax(last_work(histories, model), found.onset_day - DAYS_BEFORE)
    rows = np.flatnonzero(found.losing[readings.series])
    rows = rows[readings.day[rows] > since[readings.series[rows]]]
    rows = rows[np.isin(found.disposition[rows], _COUNTING)]
    if not len(rows):
        return steps
    factor = np.where(
        readings.exercised[rows],
        found.noise_factor_exercised[readings.series[rows]],
        found.noise_factor_resting[readings.series[rows]],
    )
    sd = np.sqrt(reading_variance(histories, rows, model) * factor)
    value = _without_conditions(histories, found, rows)
    series, starts, lengths = np.unique(readings.series[rows], return_index=True, return_counts=True)
    worth = lengths >= READINGS_BEFORE + READINGS_AFTER
    series, starts, lengths = series[worth], starts[worth], lengths[worth]
    for first in range(0, len(series), AT_ONCE):
        some = slice(first, first + AT_ONCE)
        place = np.arange(lengths[some].max(initial=0))
        present = place < lengths[some][:, None]
        at = np.where(present, starts[some][:, None] + place, starts[some][:, None])
        _weigh(steps, series[some], readings.day[rows][at], value[at], sd[at], present)
    return steps


_COUNTING: Final = [
    DISPOSITIONS.index(one) for one in (Disposition.USED, Disposition.DISCOUNTED, Disposition.CONFIRMED_OUTLIER)
]


def _without_conditions(histories: Histories, found: Assessments, rows: IntArray) -> FloatArray:
    """Return the corrected extensions without what each strut's own sensitivities differ from its sheet's."""
    readings, struts = histories.readings, histories.struts
    by_temperature = found.temperature_slope_in_per_f - struts.temperature_slope_in_per_f
    by_load = found.load_slope_in_per_lbf - struts.load_slope_in_per_lbf
    series = readings.series[rows]
    return np.asarray(
        readings.corrected_in[rows]
        - by_temperature[series] * readings.temperature_offset_f[rows]
        - by_load[series] * readings.load_offset_lbf[rows]
    )


def _weigh(
    steps: Steps, series: IntArray, day: FloatArray, value: FloatArray, sd: FloatArray, present: BoolArray
) -> None:
    """Compare both shapes on some series, (series, readings), and write the steps that are told in place."""
    first = day[:, :1]
    last = np.where(present, day, -np.inf).max(axis=1, keepdims=True)
    onset = (first + (last - first) * np.linspace(0.0, 1.0, GRID, endpoint=False))[:, :, None]
    after = (day[:, None] - onset) / DAYS_PER_MONTH
    number_after = ((after > 0.0) & present[:, None]).sum(axis=2)
    number_before = present.sum(axis=1, keepdims=True) - number_after
    ramp, _ = _fit(np.maximum(after, 0.0), value, sd, present)
    step, down = _fit((after > 0.0).astype(float), value, sd, present)
    step[(number_before < READINGS_BEFORE) | (number_after < READINGS_AFTER)] = np.inf
    best = step.argmin(axis=1)
    lane = np.arange(len(series))
    leads = ramp.min(axis=1) - step[lane, best] > LEAD
    told = leads & (down[lane, best] > 0.0) & (last[:, 0] - onset[lane, best, 0] >= DAYS_AFTER)
    likely = step <= step[lane, best][:, None] + _AS_LIKELY
    days, spacing = onset[:, :, 0], (last - first)[:, 0] / GRID
    steps.day[series[told]] = days[lane, best][told]
    steps.earliest_day[series[told]] = (np.where(likely, days, np.inf).min(axis=1) - spacing / 2.0)[told]
    steps.latest_day[series[told]] = (np.where(likely, days, -np.inf).max(axis=1) + spacing / 2.0)[told]
    steps.down_in[series[told]] = down[lane, best][told]


def _fit(shape: FloatArray, value: FloatArray, sd: FloatArray, present: BoolArray) -> tuple[FloatArray, FloatArray]:
    """Return the smallest loss and the fall per unit of each shape, (series, shapes), by reweighting.

    A shape that is nowhere or everywhere alike fits a constant level.
    """
    inverse, y = present / sd, value[:, :, None]
    prior = (inverse**2)[:, None]
    weight = np.broadcast_to(prior, shape.shape)
    for _ in range(1 + _REWEIGHTINGS):
        weighted = weight * shape
        total = weight.sum(axis=2)
        mean_x, mean_y = weighted.sum(axis=2) / total, (weight @ y)[:, :, 0] / total
        spread = np.einsum("skn,skn->sk", weighted, shape) - total * mean_x**2
        joint = (weighted @ y)[:, :, 0] - total * mean_x * mean_y
        slope = np.divide(joint, spread, out=np.zeros_like(spread), where=spread > _ALIKE)
        error = slope[:, :, None] * shape
        error += (mean_y - slope * mean_x)[:, :, None] - value[:, None]
        error *= inverse[:, None]
        np.abs(error, out=error)
        weight = prior * HUBER / np.maximum(error, HUBER)
    small = np.minimum(error, HUBER)
    return np.einsum("skn,skn->sk", small, error - small / 2.0), -slope
