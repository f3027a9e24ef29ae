"""How fast, and until when: rate of loss and day of breach as a mixture over the leaks in a fine bank.

Notes
-----
Every (onset, rate) of the bank is one component: weight = prior x likelihood ratio, mean state = filter state
minus ``r`` times the filter's response to the ramp, covariance that of the filter. The loss in that component
is ``r (1 + m_slope) - slope``; the level is its line at the last reading. The breach time has no density worth
writing down, but its distribution function is a sum of normal ones: at time T the level is normal with mean
``level - loss T``, so ``P(breach before T) = sum w Phi((limit - level + loss T) / sd(T))``.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from calculations.drift.filter import LEVEL, SLOPE
from calculations.drift.histories import FloatArray, IntArray
from calculations.drift.model import DAYS_PER_MONTH, DriftModel
from calculations.drift.normal import normal_cdf
from calculations.drift.sweep import Chunk

FINE_SLOT_DAYS: Final = 8.0
FINE_SLOTS: Final = 48
FINE_RATES: Final = 28
SLOWEST, FASTEST = 0.16, 100.0
"""Rates of the fine bank, as a multiple of the slowest coarse rate."""
SLOW_SCALE, FAST_SCALE = 3.2, 20.0
"""Scales of the two half-normal priors of the rate, in the same unit: most leaks are slow, some are not."""
COMPONENTS: Final = 160
FORECAST_DAYS: Final = 730.0
"""Farther ahead than this no date is given."""

_HORIZON_DAYS: Final = np.concatenate([[0.0], np.geomspace(1.0, FORECAST_DAYS, 60)])


def fine(model: DriftModel) -> DriftModel:
    """Return the model with the fine bank that flagged struts are looked at with."""
    relative = np.geomspace(SLOWEST, FASTEST, FINE_RATES)
    slow, fast = (np.exp(-0.5 * (relative / scale) ** 2) / scale for scale in (SLOW_SCALE, FAST_SCALE))
    # The grid is even in the logarithm, so a density in the rate is multiplied by the rate.
    weights = relative * (slow + fast)
    unit = min(model.rates_per_month)
    return replace(
        model,
        slot_days=FINE_SLOT_DAYS,
        slots=FINE_SLOTS,
        rates_per_month=tuple(float(rate) for rate in unit * relative),
        rate_weights=tuple(float(weight) for weight in weights),
    )


@dataclass(frozen=True)
class Mixture:
    """Weighted normal components, each (components, series)."""

    weight: FloatArray
    loss: FloatArray
    level: FloatArray
    loss_variance: FloatArray
    level_variance: FloatArray
    covariance: FloatArray
    onset_day: FloatArray


@dataclass(frozen=True)
class Quantiles:
    """A median with its lower and upper bound, per series."""

    median: FloatArray
    low: FloatArray
    high: FloatArray


def leak_mixture(chunk: Chunk, model: DriftModel) -> Mixture:
    """Return the leaks that explain each series best, as they stand at its last reading."""
    bank, filtered, lanes = chunk.bank, chunk.filtered, chunk.lanes
    width = lanes.value.shape[1]
    rates = np.asarray(model.rates_per_month)
    log_weight = bank.log_ratio.astype(float) + model.log_prior()[:, None]
    log_weight.transpose(0, 2, 1)[~np.isfinite(bank.onset_day)] = -np.inf
    flat = log_weight.reshape(-1, width)
    kept = min(COMPONENTS, len(flat))
    best = np.argpartition(-flat, kept - 1, axis=0)[:kept]
    lane = np.arange(width)
    slot, rate = best // len(rates), rates[best % len(rates)]
    top = np.take_along_axis(flat, best, axis=0)
    weight = np.exp(top - top.max(axis=0))
    last = _last_step(lanes.active, width)
    month, day = lanes.month[last, lane], lanes.day[last, lane]
    response = bank.response.astype(float)
    m_level, m_slope = response[slot, LEVEL, lane], response[slot, SLOPE, lane]
    age = np.maximum(day - bank.onset_day[slot, lane], 0.0) / DAYS_PER_MONTH
    x, p = filtered.state, filtered.covariance
    slope = x[SLOPE] - rate * m_slope
    level = x[LEVEL] - rate * m_level + month * slope - rate * age
    spacing = rates[1] / rates[0] if len(rates) > 1 else 1.0
    # A component stands for the rates between its neighbours: its own width belongs to the uncertainty.
    width_variance = (rate * np.log(spacing)) ** 2 / 12.0
    slope_variance = p[SLOPE, SLOPE]
    level_slope = p[LEVEL, SLOPE] + month * slope_variance
    level_variance = p[LEVEL, LEVEL] + month * (p[LEVEL, SLOPE] + level_slope)
    return Mixture(
        weight=weight / weight.sum(axis=0),
        loss=rate - slope,
        level=level,
        loss_variance=slope_variance + width_variance,
        level_variance=np.broadcast_to(level_variance, level.shape),
        covariance=np.broadcast_to(-level_slope, level.shape),
        onset_day=bank.onset_day[slot, lane].astype(float),
    )


def _last_step(active: IntArray, width: int) -> IntArray:
    """Last step at which each lane has a reading; lanes end in order, the longest last."""
    return np.asarray((active[:, None] > np.arange(width)).sum(axis=0) - 1)


def loss_quantiles(mixture: Mixture, tail: float) -> Quantiles:
    """Return median and central interval of the rate of loss [per month]."""
    sd = np.sqrt(mixture.loss_variance)
    low = (mixture.loss - 4 * sd).min(axis=0)
    high = (mixture.loss + 4 * sd).max(axis=0)
    grid = low + np.linspace(0.0, 1.0, 200)[:, None] ** 2 * (high - low)
    chance = np.stack([(mixture.weight * normal_cdf((at - mixture.loss) / sd)).sum(axis=0) for at in grid])
    return _invert(grid, chance, tail)


def level_quantiles(mixture: Mixture, tail: float) -> Quantiles:
    """Return median and central interval of the level at the last reading."""
    mean = (mixture.weight * mixture.level).sum(axis=0)
    variance = (mixture.weight * (mixture.level_variance + (mixture.level - mean) ** 2)).sum(axis=0)
    half = np.sqrt(variance) * {0.05: 1.6449, 0.10: 1.2816}[tail]
    return Quantiles(mean, mean - half, mean + half)


def breach_quantiles(mixture: Mixture, limit: FloatArray, walk_per_month: float, tail: float) -> Quantiles:
    """Return when the limit is reached, in days after the last reading; inf beyond the horizon."""
    months = _HORIZON_DAYS / DAYS_PER_MONTH
    chance = []
    for ahead in months:
        variance = mixture.level_variance + ahead**2 * mixture.loss_variance - 2 * ahead * mixture.covariance
        sd = np.sqrt(np.maximum(variance + walk_per_month**2 * ahead, 1e-8))
        below = normal_cdf((limit - mixture.level + mixture.loss * ahead) / sd)
        chance.append((mixture.weight * below).sum(axis=0))
    grid = np.broadcast_to(_HORIZON_DAYS[:, None], (len(_HORIZON_DAYS), len(limit)))
    return _invert(grid, np.maximum.accumulate(np.stack(chance), axis=0), tail)


def _invert(grid: FloatArray, chance: FloatArray, tail: float) -> Quantiles:
    values = []
    for wanted in (0.5, tail, 1.0 - tail):
        above = chance >= wanted
        reached = above.any(axis=0)
        upper = np.where(reached, above.argmax(axis=0), len(grid) - 1)
        lower = np.maximum(upper - 1, 0)
        lane = np.arange(grid.shape[1])
        c0, c1 = chance[lower, lane], chance[upper, lane]
        share = np.where(c1 > c0, (wanted - c0) / np.where(c1 > c0, c1 - c0, 1.0), 1.0)
        value = grid[lower, lane] + np.clip(share, 0.0, 1.0) * (grid[upper, lane] - grid[lower, lane])
        values.append(np.where(reached, value, np.inf))
    return Quantiles(*values)
