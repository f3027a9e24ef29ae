"""Practical detectors that a club could write: each gives a statistic after every reading, high = leak.

They are given the same readings and the same service log, and the corrected extension where named so.
"""

from collections.abc import Callable

import numpy as np

from tests.detectors.lockstep import Array, carried_forward, possible, steps
from tests.simulator.as_histories import LOAD_SLOPE_SD, TEMPERATURE_SLOPE_SD
from tests.simulator.fleet import DAYS_PER_MONTH, Fleet

LEAST_READINGS = 4


def raw_threshold(fleet: Fleet) -> Array:
    """How far the raw reading is below target."""
    short = fleet.scenario.strut_type.target_in - fleet.raw_in
    return carried_forward(fleet, np.where(possible(fleet), short, np.nan))


def ols_raw(fleet: Fleet) -> Array:
    """t of the fall of the raw extension since the last service."""
    return _least_squares(fleet, fleet.raw_in)


def ols_corrected(fleet: Fleet) -> Array:
    """t of the fall of the corrected extension since the last service."""
    return _least_squares(fleet, fleet.corrected_in)


def _least_squares(fleet: Fleet, value: Array) -> Array:
    sums = np.zeros((6, fleet.scenario.struts))  # n, x, y, xx, xy, yy
    origin = np.zeros(fleet.scenario.struts)
    statistic = np.full(len(fleet.day), np.nan)
    for step in steps(fleet, possible(fleet)):
        who, row = step.who, step.row
        restart = step.served | (sums[0, who] == 0)
        sums[:, who] = np.where(restart, 0.0, sums[:, who])
        origin[who] = np.where(restart, fleet.day[row], origin[who])
        x, y = (fleet.day[row] - origin[who]) / DAYS_PER_MONTH, value[row] - 4.0
        sums[:, who] += np.stack([np.ones_like(x), x, y, x * x, x * y, y * y])
        n, sx, sy, sxx, sxy, syy = sums[:, who]
        with np.errstate(divide="ignore", invalid="ignore"):
            mxx, mxy, myy = sxx - sx * sx / n, sxy - sx * sy / n, syy - sy * sy / n
            slope = mxy / mxx
            residual = np.maximum(myy - slope * mxy, 1e-4) / (n - 2)
            t = -slope / np.sqrt(residual / mxx)
        statistic[row] = np.where(n >= LEAST_READINGS + 1, t, -9.0)
    return carried_forward(fleet, statistic)


def theil_sen(fleet: Fleet) -> Array:
    """Kendall's Z of the fall since the last service: the test that belongs to the Theil-Sen slope."""
    count = fleet.scenario.struts
    longest = int(np.bincount(fleet.series).max())
    seen = np.full((count, longest), np.nan)
    size, score = np.zeros(count, np.int64), np.zeros(count)
    statistic = np.full(len(fleet.day), np.nan)
    for step in steps(fleet, possible(fleet)):
        who, row = step.who, step.row
        again = who[step.served]
        seen[again], size[again], score[again] = np.nan, 0, 0.0
        y = fleet.corrected_in[row]
        sign = np.sign(y[:, None] - seen[who])
        score[who] += np.where(np.isnan(sign), 0.0, sign).sum(axis=1)
        seen[who, size[who]] = y
        size[who] += 1
        n = size[who]
        variance = n * (n - 1) * (2 * n + 5) / 18.0
        z = -(score[who]) / np.sqrt(np.maximum(variance, 1.0))
        statistic[row] = np.where(n >= LEAST_READINGS + 1, z, -9.0)
    return carried_forward(fleet, statistic)


def _charted(fleet: Fleet, update: Callable[[Array, Array], Array]) -> Array:
    count = fleet.scenario.struts
    size, mean, chart = np.zeros(count), np.zeros(count), np.zeros(count)
    statistic = np.full(len(fleet.day), np.nan)
    sigma = np.where(fleet.exercised, 0.12, 0.22)
    for step in steps(fleet, possible(fleet)):
        who, row = step.who, step.row
        again = who[step.served]
        size[again], mean[again], chart[again] = 0.0, 0.0, 0.0
        y = fleet.corrected_in[row]
        learning = size[who] < LEAST_READINGS
        # The base is the mean of the first readings after a service; only later ones are charted.
        mean[who] = np.where(learning, (mean[who] * size[who] + y) / (size[who] + 1), mean[who])
        size[who] += 1
        chart[who] = np.where(learning, 0.0, update(chart[who], (mean[who] - y) / sigma[row]))
        statistic[row] = chart[who]
    return carried_forward(fleet, statistic)


def cusum(fleet: Fleet) -> Array:
    """Tabular CUSUM downwards, allowance half a standard deviation."""
    return _charted(fleet, lambda chart, z: np.maximum(chart + np.clip(z, -4, 4) - 0.5, 0.0))


def ewma(fleet: Fleet) -> Array:
    """Exponentially weighted mean downwards, weight 0.15."""
    return _charted(fleet, lambda chart, z: 0.85 * chart + 0.15 * np.clip(z, -4, 4))


def static_bayes(fleet: Fleet) -> Array:
    """Robust Bayes regression with one slope for the whole history, covariates and service log."""
    return _trend(fleet, slope_sd=0.05, slope_walk=0.0)


def local_trend(fleet: Fleet) -> Array:
    """Robust Kalman local linear trend with covariates and service log."""
    return _trend(fleet, slope_sd=0.02, slope_walk=0.035)


def _trend(fleet: Fleet, *, slope_sd: float, slope_walk: float) -> Array:
    """How many standard deviations the slope lies below normal seep: level, slope and two covariates."""
    count = fleet.scenario.struts
    state = np.zeros((count, 4))
    state[:, 0], state[:, 1] = fleet.scenario.strut_type.target_in, -0.004
    spread = np.tile(np.diag([0.4**2, slope_sd**2, TEMPERATURE_SLOPE_SD**2, LOAD_SLOPE_SD**2]), (count, 1, 1))
    statistic = np.full(len(fleet.day), np.nan)
    noise = np.where(fleet.exercised, 0.115, 0.225) ** 2
    for step in steps(fleet, possible(fleet)):
        who, row = step.who, step.row
        x, p, months = state[who], spread[who], step.elapsed_days / DAYS_PER_MONTH
        move = np.tile(np.eye(4), (len(who), 1, 1))
        move[:, 0, 1] = months
        x = np.einsum("nij,nj->ni", move, x)
        p = move @ p @ move.transpose(0, 2, 1)
        p[:, 0, 0] += 0.015**2 * months + np.where(step.served, 0.36, 0.0)
        p[:, 1, 1] += slope_walk**2 * months
        h = np.stack(
            [np.ones(len(row)), np.zeros(len(row)), fleet.temperature_offset_f[row], fleet.load_offset_lbf[row]], 1
        )
        ph = np.einsum("nij,nj->ni", p, h)
        explained = (h * ph).sum(1)
        error = fleet.corrected_in[row] - (h * x).sum(1)
        z = np.abs(error) / np.sqrt(explained + noise[row])
        weight = np.where(z > 3.5, 0.02, np.minimum(1.0, 1.5 / np.maximum(z, 1e-9)))
        gain = ph / (explained + noise[row] / weight)[:, None]
        state[who] = x + gain * error[:, None]
        spread[who] = p - gain[:, :, None] * ph[:, None, :]
        statistic[row] = -(state[who, 1] + 0.004) / np.sqrt(spread[who, 1, 1])
    return carried_forward(fleet, statistic)


def plain_glr(fleet: Fleet) -> Array:
    """Change-point GLR on the corrected extension: level after each service learned, nothing robust."""
    count = fleet.scenario.struts
    onsets = np.arange(0.0, fleet.scenario.months * DAYS_PER_MONTH, 15.0)
    level, spread = np.zeros(count), np.full(count, 1e4)
    answer, num, den = (np.zeros((count, len(onsets))) for _ in range(3))
    statistic = np.full(len(fleet.day), np.nan)
    noise = np.where(fleet.exercised, 0.12, 0.22) ** 2
    for step in steps(fleet, possible(fleet)):
        who, row = step.who, step.row
        spread[who] = np.where(step.served, 1e4, spread[who])
        ramp = -np.maximum(fleet.day[row][:, None] - onsets, 0.0) / DAYS_PER_MONTH
        error, shape = fleet.corrected_in[row] - level[who], ramp - answer[who]
        total = spread[who] + noise[row]
        gain = spread[who] / total
        level[who] += gain * error
        answer[who] += gain[:, None] * shape
        spread[who] *= 1.0 - gain
        num[who] += shape * (error / total)[:, None]
        den[who] += shape**2 / total[:, None]
        score = np.maximum(num[who], 0.0) / np.sqrt(den[who] + 4.0)
        recent = onsets > fleet.day[row][:, None] - 330.0
        statistic[row] = (score * recent).max(axis=1)
    return carried_forward(fleet, statistic)


RIVALS: dict[str, Callable[[Fleet], Array]] = {
    "raw threshold": raw_threshold,
    "OLS raw": ols_raw,
    "OLS corrected": ols_corrected,
    "Theil-Sen corrected": theil_sen,
    "CUSUM corrected": cusum,
    "EWMA corrected": ewma,
    "static Bayes": static_bayes,
    "Kalman local trend": local_trend,
    "plain GLR": plain_glr,
}
"""Every practical detector by name."""
