"""A robust Kalman filter over many series in lockstep: the healthy life of a strut.

State: level, seep, corrections to the sheet's temperature and load sensitivities, late settling. It assumes
that nothing leaks; what it cannot explain, its innovations, is what :mod:`calculations.drift.bank` weighs.

Notes
-----
State ``theta = [level, slope, d s_T, d s_L, settle]`` observed through
``H = [1, months, T - T_ref, F - F_ref, exp(-days since work / settle_days)]``. The slope is written as a
regressor, so only the level walks and no transition matrix is needed. Readings beyond the Huber bound are
given more variance; readings beyond the outlier bound are kept out.

References
----------
.. [1] J. Durbin and S. J. Koopman, *Time Series Analysis by State Space Methods*, 2nd ed., Oxford
       University Press, 2012, section 4.3: the filter.
.. [2] P. J. Huber, "Robust estimation of a location parameter", Ann. Math. Statist. 35 (1964) 73:
       the weight ``min(1, c / |z|)``.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calculations.drift.histories import BoolArray, FloatArray
from calculations.drift.lanes import Lanes, Prepared
from calculations.drift.model import DriftModel

STATES: Final = 5
LEVEL, SLOPE, TEMPERATURE, LOAD, SETTLE = range(STATES)

KEPT_OUT_WEIGHT: Final = 1e-3


@dataclass(frozen=True)
class Priors:
    """Start of the state per series: mean and variance, each (states, series)."""

    mean: FloatArray
    variance: FloatArray
    noise_factor: FloatArray
    """(2, series): variance factor of exercised and of resting readings."""


@dataclass(frozen=True)
class Filtered:
    """What the filter saw, (steps, lanes), and where it ended, (.., lanes)."""

    innovation: FloatArray
    inverse_sd: FloatArray
    gain: FloatArray
    """(steps, states, lanes)"""
    outlier: BoolArray
    confirmed: BoolArray
    """A held-back reading before this one is confirmed by it."""
    weight: FloatArray
    level: FloatArray
    """Level at reference conditions after the reading, settling left out."""
    level_sd: FloatArray
    state: FloatArray
    covariance: FloatArray
    noise_factor: FloatArray
    noise_count: FloatArray


def observation(lanes: Lanes, step: int, count: int) -> FloatArray:
    """Return H of the readings at a step, (states, count)."""
    row = np.empty((STATES, count))
    row[LEVEL] = 1.0
    row[SLOPE] = lanes.month[step, :count]
    row[TEMPERATURE] = lanes.temperature_offset_f[step, :count]
    row[LOAD] = lanes.load_offset_lbf[step, :count]
    row[SETTLE] = lanes.settling[step, :count]
    return row


def run_filter(lanes: Lanes, priors: Priors, model: DriftModel) -> Filtered:
    """Run the filter over a chunk of series.

    Parameters
    ----------
    lanes : Lanes
    priors : Priors
        In the order of the lanes.
    model : DriftModel
    """
    steps, width = lanes.value.shape
    state = priors.mean.copy()
    covariance = np.zeros((STATES, STATES, width))
    covariance[np.arange(STATES), np.arange(STATES)] = priors.variance
    noise_sum = model.noise_prior_count * priors.noise_factor
    noise_count = np.full((2, width), model.noise_prior_count)
    noise_extra = np.zeros((2, width))
    held = np.zeros(width)
    innovation, inverse_sd = np.zeros((steps, width)), np.zeros((steps, width))
    weight, level, level_sd = np.zeros((steps, width)), np.zeros((steps, width)), np.zeros((steps, width))
    gain = np.zeros((steps, STATES, width))
    outlier, confirmed = np.zeros((steps, width), bool), np.zeros((steps, width), bool)
    everyone = np.arange(width)
    for step in range(steps):
        n = int(lanes.active[step])
        x, p, lane = state[:, :n], covariance[:, :, :n], everyone[:n]
        p[LEVEL, LEVEL] += model.level_walk_per_month**2 * lanes.elapsed_months[step, :n]
        _apply_work(x, p, lanes, step, n)
        h = observation(lanes, step, n)
        ph = (p * h).sum(axis=1)
        explained = (h * ph).sum(axis=0)
        resting = lanes.resting[step, :n]
        factor = noise_sum[resting, lane] / noise_count[resting, lane]
        noise = lanes.variance[step, :n] * factor
        e = lanes.value[step, :n] - (h * x).sum(axis=0)
        total = explained + noise
        z = e / np.sqrt(total)
        before = np.where(lanes.reopen_variance[step, :n] > 0, 0.0, held[:n])
        reopened = (z > model.outlier) & (before > 0)
        if reopened.any():
            _reopen(reopened, p, h, ph, explained, total, z, e, noise, model)
        out = (np.abs(z) > model.outlier) & ~reopened
        w = np.minimum(1.0, model.huber / np.maximum(np.abs(z), 1e-9))
        w[out] = KEPT_OUT_WEIGHT
        k = ph / (explained + noise / w)
        x += k * e
        p -= k[:, None] * ph
        # The factor scales the base variance, so its increment is measured against the base variance too.
        share = factor * np.minimum(z * z, model.noise_clip)
        noise_sum[resting, lane] = noise_sum[resting, lane] * model.noise_forgetting + share
        noise_count[resting, lane] = noise_count[resting, lane] * model.noise_forgetting + 1.0
        noise_extra[resting, lane] += 1.0
        innovation[step, :n], inverse_sd[step, :n] = e, 1.0 / np.sqrt(total)
        gain[step, :, :n], weight[step, :n] = k, w
        outlier[step, :n] = out
        confirmed[step, :n] = (before != 0) & (np.sign(z) == before) & (np.abs(z) > model.agreeing)
        level[step, :n] = x[LEVEL] + x[SLOPE] * h[SLOPE]
        variance = p[LEVEL, LEVEL] + h[SLOPE] * (2 * p[LEVEL, SLOPE] + h[SLOPE] * p[SLOPE, SLOPE])
        level_sd[step, :n] = np.sqrt(np.maximum(variance, 0.0))
        held[:n] = np.where(out, np.sign(z), 0.0)
    return Filtered(
        innovation,
        inverse_sd,
        gain,
        outlier,
        confirmed,
        weight,
        level,
        level_sd,
        state,
        covariance,
        noise_sum / noise_count,
        noise_extra,
    )


def _apply_work(x: FloatArray, p: FloatArray, lanes: Lanes, step: int, n: int) -> None:
    reopen, settle = lanes.reopen_variance[step, :n], lanes.settle_variance[step, :n]
    if not (reopen.any() or settle.any()):
        return
    p[LEVEL, LEVEL] += reopen
    fresh = np.nonzero(settle)[0]
    x[SETTLE, fresh] = 0.0
    p[SETTLE, :, fresh] = 0.0
    p[:, SETTLE, fresh] = 0.0
    p[SETTLE, SETTLE, fresh] = settle[fresh]


def _reopen(
    who: BoolArray,
    p: FloatArray,
    h: FloatArray,
    ph: FloatArray,
    explained: FloatArray,
    total: FloatArray,
    z: FloatArray,
    e: FloatArray,
    noise: FloatArray,
    model: DriftModel,
) -> None:
    """Two agreeing high readings: somebody added gas and wrote nothing down. Works in place."""
    extra = model.unrecorded_top_up_sd**2
    p[LEVEL, LEVEL, who] += extra
    ph[LEVEL, who] += extra
    explained[who] += extra
    total[who] = explained[who] + noise[who]
    z[who] = e[who] / np.sqrt(total[who])


def default_priors(prepared: Prepared, count: int, model: DriftModel) -> Priors:
    """Return a vague level about the first readings; sensitivities are filled in by the caller."""
    mean = np.zeros((STATES, count))
    mean[SLOPE] = model.seep_mean_per_month
    variance = np.zeros((STATES, count))
    variance[LEVEL] = model.first_level_sd**2
    variance[SLOPE] = model.seep_sd_per_month**2
    return Priors(mean, variance, np.ones((2, count)))
