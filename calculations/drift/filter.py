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

from calculations.drift.histories import BoolArray, FloatArray, Single
from calculations.drift.lanes import Lanes, in_one_piece
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

    h: FloatArray
    """Observation rows, (steps, states, lanes)."""
    innovation: FloatArray
    sd: FloatArray
    surprise: FloatArray
    """Innovation in its own standard deviations."""
    gain: Single
    """(steps, states, lanes)"""
    outlier: BoolArray
    confirmed: BoolArray
    """A reading kept out before this one is confirmed by it."""
    doubted: BoolArray
    """Readings that contradict a level which rests on so few that either may be wrong: they tell little of a leak."""
    weight: FloatArray
    level: FloatArray
    """Level at reference conditions after the reading, settling left out."""
    level_variance: FloatArray
    level_before: FloatArray
    """The same before the reading."""
    state: FloatArray
    covariance: FloatArray
    noise_factor: FloatArray
    own_factor: FloatArray
    """The same without the prior's share."""
    noise_count: FloatArray


def run_filter(lanes: Lanes, priors: Priors, model: DriftModel) -> Filtered:
    """Run the filter over a chunk of series.

    Parameters
    ----------
    lanes : Lanes
    priors : Priors
        In the order of the lanes.
    model : DriftModel
    """
    return _Run(lanes, priors, model).run()


class _Run:
    """The running filter; its arrays are worked on in place, for at this size allocation costs more than sums."""

    def __init__(self, lanes: Lanes, priors: Priors, model: DriftModel) -> None:
        self.lanes, self.model = lanes, model
        steps, width = lanes.value.shape
        # The line of the level before the first reading and after each, and the covariance of its two figures.
        pieces = in_one_piece((steps + 1, width), 2, 4, STATES, 2, 5)
        self.line, line_variance = pieces[:2]
        self.line_variance = line_variance.reshape(2, 2, steps + 1, width)
        self.h, self.member, columns = (piece[:, :steps] for piece in pieces[2:])
        self.innovation, self.sd, self.surprise, self.weight, self.share = columns
        self.h[LEVEL] = 1.0
        self.h[SLOPE] = lanes.month
        self.h[TEMPERATURE] = lanes.temperature_offset_f
        self.h[LOAD] = lanes.load_offset_lbf
        self.h[SETTLE] = lanes.settling
        self.state = priors.mean.copy()
        self.covariance = np.zeros((STATES, STATES, width))
        self.covariance[np.arange(STATES), np.arange(STATES)] = priors.variance
        self.product = np.empty_like(self.covariance)
        self.noise_factor = priors.noise_factor.copy()
        np.subtract(1.0, lanes.resting, out=self.member[0])
        self.member[1] = lanes.resting
        self.heeds = self.member / _noise_counts(steps, model).take(self.member.cumsum(axis=1).astype(np.int64))
        self.held = np.zeros(width)
        self.support = np.zeros(width, np.int64)  # readings that the level rests on
        self.excuses = np.full(width, model.excuses)
        self.walked = model.level_walk_per_month**2 * lanes.elapsed_months
        self.worked = np.any((lanes.reopen_variance > 0) | (lanes.settle_variance > 0), axis=1).tolist()
        self.line[:, 0] = self.state[:2]
        self.gain = np.zeros((steps, STATES, width), np.float32)
        self.outlier, self.doubted = np.zeros((2, steps, width), bool)

    def run(self) -> Filtered:
        for step, active in enumerate(self.lanes.active.tolist()):
            self._take(step, active)
        present = self.lanes.position >= 0
        seen = (self.member * present).sum(axis=1)
        month, spread = self.h[SLOPE], self.line_variance[:, :, 1:]
        return Filtered(
            h=self.h.swapaxes(0, 1),
            innovation=self.innovation,
            sd=self.sd,
            surprise=self.surprise,
            weight=self.weight,
            gain=self.gain,
            outlier=self.outlier,
            confirmed=self._confirmed(),
            doubted=self.doubted,
            level=self.line[LEVEL, 1:] + self.line[SLOPE, 1:] * month,
            level_variance=spread[0, 0] + month * (2.0 * spread[0, 1] + month * spread[1, 1]),
            level_before=self.line[LEVEL, :-1] + self.line[SLOPE, :-1] * month,
            state=self.state,
            covariance=self.covariance,
            noise_factor=self.noise_factor,
            own_factor=(self.member * self.share).sum(axis=1) / np.maximum(seen, 1.0),
            noise_count=seen,
        )

    def _take(self, step: int, n: int) -> None:
        model, lanes = self.model, self.lanes
        x, p, product, h = self.state[:, :n], self.covariance[:, :, :n], self.product[:, :, :n], self.h[:, step, :n]
        e, z, sd = self.innovation[step, :n], self.surprise[step, :n], self.sd[step, :n]
        p[LEVEL, LEVEL] += self.walked[step, :n]
        if self.worked[step]:
            self._apply_work(step, n)
        np.multiply(p, h, out=product)
        ph = np.add.reduce(product, axis=1)
        explained = np.add.reduce(h * ph)
        exercised, resting = self.noise_factor[:, :n]
        factor = exercised + lanes.resting[step, :n] * (resting - exercised)
        noise = lanes.variance[step, :n] * factor
        np.subtract(lanes.value[step, :n], np.add.reduce(h * x), out=e)
        np.sqrt(explained + noise, out=sd)
        np.divide(e, sd, out=z)
        size = np.abs(z)
        excused_sd = sd if model.level_excuses == 1.0 else np.sqrt(noise + model.level_excuses * explained)
        far_below = e < -model.outlier * excused_sd
        out = np.logical_or(z > model.outlier_above, far_below, out=self.outlier[step, :n])
        if np.count_nonzero(out):
            before = self.held[:n]
            near = np.minimum(z, before) > model.agreeing_share * np.maximum(z, before)
            reopened = out & (z > 0.0) & (before > 0.0) & near
            if np.count_nonzero(reopened):
                _reopen(reopened, p, ph, explained, sd, z, e, noise, model)
                out &= ~reopened
                self.support[:n][reopened], self.excuses[:n][reopened] = 0, model.excuses
                np.abs(z, out=size)
        w = np.divide(model.huber, np.maximum(size, model.huber), out=self.weight[step, :n])
        w[out] = KEPT_OUT_WEIGHT
        noise /= w
        noise += explained
        k = ph / noise
        x += k * e
        np.multiply(k[:, None], ph, out=product)
        p -= product
        self._doubt(step, p, size, out, n)
        self.line[:, step + 1, :n] = x[:2]
        self.line_variance[:, :, step + 1, :n] = p[:2, :2]
        np.multiply(size, size, out=size)
        self._learn_noise(step, factor * np.minimum(size, model.noise_clip), n)
        self.gain[step, :, :n] = k
        np.multiply(out, z, out=self.held[:n])

    def _apply_work(self, step: int, n: int) -> None:
        """Open the level of those that were worked on, and forget what was held against it."""
        reopen, settle = self.lanes.reopen_variance[step, :n], self.lanes.settle_variance[step, :n]
        fresh = reopen > 0
        self.held[:n][fresh] = self.support[:n][fresh] = 0
        x, p = self.state, self.covariance
        p[LEVEL, LEVEL, :n] += reopen
        settling = settle.nonzero()[0]
        x[SETTLE, settling] = 0.0
        p[SETTLE, :, settling] = p[:, SETTLE, settling] = 0.0
        p[SETTLE, SETTLE, settling] = settle[settling]

    def _confirmed(self) -> BoolArray:
        """Return which readings are far off on the side where the one before them was kept out."""
        held = np.zeros_like(self.surprise)
        held[1:] = self.outlier[:-1] * self.surprise[:-1]
        held[self.lanes.reopen_variance > 0] = 0.0
        enough = np.maximum(self.model.agreeing, self.model.agreeing_share * np.abs(held))
        return np.asarray((self.surprise * held > 0.0) & (np.abs(self.surprise) > enough))

    def _doubt(self, step: int, p: FloatArray, size: FloatArray, out: BoolArray, n: int) -> None:
        """Open a level again that rests on so few readings which this one contradicts: either may be wrong."""
        support = self.support[:n]
        doubted = (support > 0) & (support <= self.model.doubted_readings) & (size > self.model.doubtful)
        if np.count_nonzero(doubted):
            p[LEVEL, LEVEL, doubted] += self.model.doubted_level_sd**2
            doubted &= self.excuses[:n] > 0
            self.excuses[:n] -= doubted
            self.doubted[step, :n] = doubted
        support += ~out

    def _learn_noise(self, step: int, share: FloatArray, n: int) -> None:
        """Measure the spread against the base variance, which is what the factor multiplies: a running mean."""
        mean = self.noise_factor[:, :n]
        mean += self.heeds[:, step, :n] * (share - mean)
        self.share[step, :n] = share


def _noise_counts(steps: int, model: DriftModel) -> FloatArray:
    """Return what the readings of one kind, the prior among them, count together after none of them, one, two .."""
    counts = [model.noise_prior_count]
    for _ in range(steps):
        counts.append(model.noise_forgetting * counts[-1] + 1.0)
    return np.array(counts)


def _reopen(
    who: BoolArray,
    p: FloatArray,
    ph: FloatArray,
    explained: FloatArray,
    sd: FloatArray,
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
    sd[who] = np.sqrt(explained[who] + noise[who])
    z[who] = e[who] / sd[who]


def default_priors(count: int, model: DriftModel) -> Priors:
    """Return a vague level about the first readings; sensitivities are filled in by the caller."""
    mean = np.zeros((STATES, count))
    mean[SLOPE] = model.seep_mean_per_month
    variance = np.zeros((STATES, count))
    variance[LEVEL] = model.first_level_sd**2
    variance[SLOPE] = model.seep_sd_per_month**2
    return Priors(mean, variance, np.ones((2, count)))
