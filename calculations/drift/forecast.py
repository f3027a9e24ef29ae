"""How fast, and until when: rate of loss and day of breach as a mixture over the leaks of a close look.

Notes
-----
Every (onset, rate) is one component: weight = prior x likelihood ratio, mean state = filter state
minus ``r`` times the filter's response to the ramp, covariance that of the filter and what rates nearby add. The loss
is ``r (1 + m_slope) - slope``; the level is its line at the last reading. The breach time has no density worth
writing down, but its distribution function is a sum of normal ones: at time T the level is normal with mean
``level - loss T``, so ``P(breach before T) = sum w Phi((limit - level + loss T) / sd(T))``.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from calculations.drift.close_look import AT_ONCE, Leaks
from calculations.drift.filter import LEVEL, SLOPE, Filtered
from calculations.drift.histories import FloatArray, IntArray, Single
from calculations.drift.lanes import Lanes
from calculations.drift.model import DAYS_PER_MONTH, DriftModel
from calculations.drift.normal import NORMAL_05, normal_cdf

FINE_SLOT_DAYS: Final = 10.0
FINE_SLOTS: Final = 39
FINE_RATES: Final = 23
SLOWEST, FASTEST = 0.16, 240.0
"""Rates of a close look, as a multiple of the slowest coarse rate."""
SLOW_SCALE, FAST_SCALE = 5.0, 20.0
"""Scales of the two half-normal priors of the rate, in the same unit: most leaks are slow, some are not."""
RATE_FLOOR, RATE_FLOOR_FROM = 0.05, 0.5
BREACH_FLOOR: Final = 3.0
"""A forecast is made when an alert opens, which is when noise makes a leak look fast: slow ones, and none at all,
are given more weight there, and more of the doubt is put on the late side."""
RATE_LOW_TAIL: Final = 0.045
RATE_HIGH_TAILS: Final = ((2.4, 0.14), (12.0, 0.03))
"""Posterior mass left out on the fast side of a rate's interval: (multiple of the slowest coarse rate, mass).
A slow loss is found early where noise helps it, and then looks faster than it is; a fast one has few readings yet."""
LEAKS_TO_NONE: Final = 0.3
"""Odds that a part without an alert has begun to lose; ASSUMED, on the careful side."""
NOT_RULED_OUT_TAIL: Final = 0.05
BREACH_EARLY_TAIL, BREACH_LATE_TAIL = 0.17, 0.12
COMPONENTS: Final = 96
BETWEEN_RATES: Final = (np.arange(15) + 0.5) / 15.0 - 0.5
"""Where to look between two rates, in parts of the ratio of one to the next: as far as midway to its neighbours."""
HALVINGS: Final = 25
"""Of the range in which a quantile of the rate is looked for: to a ten millionth of it."""
FORECAST_DAYS: Final = 730.0
"""Farther ahead than this no date is given."""

_HORIZON_DAYS: Final = np.concatenate([[0.0], np.geomspace(1.0, FORECAST_DAYS, 60)])


def fine(model: DriftModel) -> DriftModel:
    """Return the model with the onsets and rates of a close look; its rates weigh alike."""
    unit = min(model.rates_per_month)
    return replace(
        model,
        slot_days=FINE_SLOT_DAYS,
        slots=FINE_SLOTS,
        rates_per_month=tuple(float(unit * relative) for relative in _relative_rates()),
        rate_weights=(1.0,) * FINE_RATES,
    )


def rate_prior() -> FloatArray:
    """Return the prior weights of the fine rates for estimating how fast a leak is."""
    return np.asarray(_leak_density() + RATE_FLOOR * (_relative_rates() >= RATE_FLOOR_FROM))


def breach_prior() -> FloatArray:
    """Return the prior weights of the fine rates for forecasting from a newly opened alert."""
    return np.asarray(_leak_density() + BREACH_FLOOR)


def _relative_rates() -> FloatArray:
    return np.geomspace(SLOWEST, FASTEST, FINE_RATES)


def _leak_density() -> FloatArray:
    relative = _relative_rates()
    slow, fast = (np.exp(-0.5 * (relative / scale) ** 2) / scale for scale in (SLOW_SCALE, FAST_SCALE))
    # The grid is even in the logarithm, so a density in the rate is multiplied by the rate.
    return np.asarray(relative * (slow + fast))


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


def leak_mixture(lanes: Lanes, filtered: Filtered, leaks: Leaks, model: DriftModel, prior: FloatArray) -> Mixture:
    """Return the leaks that explain each series best, as they stand at its last reading."""
    slots, width = leaks.onset_day.shape
    rates = np.asarray(model.rates_per_month)
    log_weight = leaks.log_ratio.astype(float) + np.log(prior)[:, None, None]
    log_weight[:, ~np.isfinite(leaks.onset_day)] = -np.inf
    flat = log_weight.reshape(-1, width)
    kept = min(COMPONENTS, len(flat))
    best = np.argpartition(-flat, kept - 1, axis=0)[:kept]
    lane, slot = np.arange(width), best % slots
    own = _around(leaks.log_ratio, rates, best // slots, slot)
    rate, rate_variance = own.mean, own.variance
    top = np.take_along_axis(flat, best, axis=0) + own.log_gain
    weight = np.exp(top - top.max(axis=0))
    last = _last_step(lanes.active, width)
    month, day = lanes.month[last, lane], lanes.day[last, lane]
    response = leaks.response.astype(float)
    m_level, m_slope = response[LEVEL, slot, lane], response[SLOPE, slot, lane]
    age = np.maximum(day - leaks.onset_day[slot, lane], 0.0) / DAYS_PER_MONTH
    x, p = filtered.state, filtered.covariance
    slope = x[SLOPE] - rate * m_slope
    level = x[LEVEL] - rate * m_level + month * slope - rate * age
    level_per_rate = -(m_level + month * m_slope + age)
    slope_variance = p[SLOPE, SLOPE]
    # An onset is known to a slot, and by how much less or more time the loss may have taken the rate is known.
    slot_months = model.slot_days / DAYS_PER_MONTH
    onset_variance = (rate * slot_months / np.maximum(age, slot_months)) ** 2 / 12.0
    level_slope = p[LEVEL, SLOPE] + month * slope_variance
    level_variance = p[LEVEL, LEVEL] + month * (p[LEVEL, SLOPE] + level_slope)
    return Mixture(
        weight=weight / weight.sum(axis=0),
        loss=rate - slope,
        level=level,
        loss_variance=slope_variance + (1.0 + m_slope) ** 2 * rate_variance + onset_variance,
        level_variance=level_variance + level_per_rate**2 * rate_variance,
        covariance=level_per_rate * (1.0 + m_slope) * rate_variance - level_slope,
        onset_day=leaks.onset_day[slot, lane],
    )


@dataclass(frozen=True)
class _Around:
    """Rates between each chosen one and its neighbours in a slot, each (chosen, lanes)."""

    log_gain: FloatArray
    """ln of how much more likely they are than the chosen one, on average."""
    mean: FloatArray
    variance: FloatArray


def _around(log_ratio: Single, rates: FloatArray, number: IntArray, slot: IntArray) -> _Around:
    """Look between the rates of a close look, which the readings of a long history tell apart.

    How well a rate explains them is almost a parabola in it, but for the fastest; three of its points are known.
    """
    lane = np.arange(log_ratio.shape[2])
    three = np.clip(number - 1, 0, len(rates) - 3) + np.arange(3)[:, None, None]
    r, value = rates[three], log_ratio[three, slot, lane].astype(float)
    rise = np.diff(value, axis=0) / np.diff(r, axis=0)
    bend = (rise[1] - rise[0]) / (r[2] - r[0])
    among = rates[number] * (rates[1] / rates[0]) ** BETWEEN_RATES[:, None, None]
    among = np.clip(among, rates[0], rates[-1])  # beyond the last of them nothing is known
    explained = value[0] + (among - r[0]) * (rise[0] + (among - r[1]) * bend)
    most = explained.max(axis=0)
    odds = np.exp(explained - most)
    total = odds.sum(axis=0)
    mean = (odds * among).sum(axis=0) / total
    return _Around(
        log_gain=most + np.log(total / len(among)) - log_ratio[number, slot, lane],
        mean=mean,
        variance=(odds * (among - mean) ** 2).sum(axis=0) / total,
    )


def _last_step(active: IntArray, width: int) -> IntArray:
    """Last step at which each lane has a reading; lanes end in order, the longest last."""
    return np.asarray((active[:, None] > np.arange(width)).sum(axis=0) - 1)


def loss_quantiles(mixture: Mixture, unit: float) -> Quantiles:
    """Return median and 90 % interval of the rate of loss [per month]; ``unit`` is the slowest coarse rate."""
    sd = np.sqrt(mixture.loss_variance)
    mean = (mixture.weight * mixture.loss).sum(axis=0)
    relative, tails = zip(*RATE_HIGH_TAILS, strict=True)
    high_tail = np.interp(np.log(np.maximum(mean, 1e-9) / unit), np.log(relative), tails)
    wanted = np.stack([np.full_like(mean, 0.5), np.full_like(mean, RATE_LOW_TAIL), 1.0 - high_tail])
    low = np.tile((mixture.loss - 4 * sd).min(axis=0), (len(wanted), 1))
    high = np.tile((mixture.loss + 4 * sd).max(axis=0), (len(wanted), 1))
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        chance = (mixture.weight * normal_cdf((middle[:, None] - mixture.loss) / sd)).sum(axis=1)
        low, high = np.where(chance < wanted, middle, low), np.where(chance < wanted, high, middle)
    return Quantiles(*(0.5 * (low + high)))


def not_ruled_out(of_each_rate: FloatArray, model: DriftModel) -> FloatArray:
    """Return the fastest leak [per month] that a part may have though none was found, 0 where hardly any.

    Each rate of the bank, ``of_each_rate`` as in :class:`~calculations.drift.bank.Evidence`, stands for those
    nearer to it than to its neighbours, evenly in the logarithm.
    """
    odds = LEAKS_TO_NONE * of_each_rate
    share = odds / (1.0 + odds.sum(axis=0))
    faster = np.vstack([np.cumsum(share[::-1], axis=0)[::-1], np.zeros((1, share.shape[1]))])
    rates = np.log(model.rates_per_month)
    middles = 0.5 * (rates[1:] + rates[:-1])
    edges = np.concatenate([[2.0 * rates[0] - middles[0]], middles, [2.0 * rates[-1] - middles[-1]]])
    series = np.arange(share.shape[1])
    above = (faster > NOT_RULED_OUT_TAIL).sum(axis=0)
    lower = np.maximum(above - 1, 0)
    part = (faster[lower, series] - NOT_RULED_OUT_TAIL) / np.where(above > 0, share[lower, series], 1.0)
    return np.where(above > 0, np.exp(edges[lower] + part * (edges[lower + 1] - edges[lower])), 0.0)


def level_quantiles(mixture: Mixture) -> Quantiles:
    """Return mean and 90 % interval of the level at the last reading."""
    mean = (mixture.weight * mixture.level).sum(axis=0)
    variance = (mixture.weight * (mixture.level_variance + (mixture.level - mean) ** 2)).sum(axis=0)
    half = NORMAL_05 * np.sqrt(variance)
    return Quantiles(mean, mean - half, mean + half)


def breach_quantiles(mixture: Mixture, limit: FloatArray, walk_per_month: float) -> Quantiles:
    """Return median and 80 % interval of the breach, in days after the last reading; inf beyond the horizon."""
    months = _HORIZON_DAYS[:, None, None] / DAYS_PER_MONTH
    chance, days_at_once = [], max(AT_ONCE // mixture.loss.size, 1)
    for start in range(0, len(months), days_at_once):
        ahead = months[start : start + days_at_once]
        variance = mixture.level_variance + ahead**2 * mixture.loss_variance - 2 * ahead * mixture.covariance
        sd = np.sqrt(np.maximum(variance + walk_per_month**2 * ahead, 1e-8))
        below = normal_cdf((limit - mixture.level + mixture.loss * ahead) / sd)
        chance.append((mixture.weight * below).sum(axis=1))
    grid = np.broadcast_to(_HORIZON_DAYS[:, None], (len(_HORIZON_DAYS), len(limit)))
    rising = np.maximum.accumulate(np.concatenate(chance), axis=0)
    return _invert(grid, rising)


def _invert(grid: FloatArray, chance: FloatArray) -> Quantiles:
    values = []
    for wanted in (0.5, BREACH_EARLY_TAIL, 1.0 - BREACH_LATE_TAIL):
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
