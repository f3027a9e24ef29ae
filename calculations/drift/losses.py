"""Rate, level and breach of every series: healthy ones from the filter, losing ones from a close look."""

from dataclasses import dataclass

import numpy as np

from calculations.drift.close_look import look_closely
from calculations.drift.episodes import borne_out
from calculations.drift.filter import SLOPE
from calculations.drift.forecast import (
    breach_prior,
    breach_quantiles,
    fine,
    leak_mixture,
    level_quantiles,
    loss_quantiles,
    not_ruled_out,
    rate_prior,
)
from calculations.drift.histories import BoolArray, FloatArray, Histories
from calculations.drift.model import DAYS_PER_MONTH, DriftModel
from calculations.drift.normal import NORMAL_05
from calculations.drift.sweep import Chunk, Swept, series_ends

LANES = 128
"""Losing series looked at together: a close look takes many onsets and rates, and few series need it."""
FAR_FROM_LINE = 1.0
"""So many standard deviations from the line of a loss, a reading speaks for itself."""


@dataclass(frozen=True)
class LossEstimate:
    """Per series; rates per month, positive when going down, 90 % intervals.

    Breach in days after the last reading, 80 % interval, inf beyond sight; onset NaN unless losing.
    """

    loss: FloatArray
    loss_low: FloatArray
    loss_high: FloatArray
    level: FloatArray
    level_low: FloatArray
    level_high: FloatArray
    breach: FloatArray
    breach_low: FloatArray
    breach_high: FloatArray
    onset_day: FloatArray
    line: FloatArray
    """Where the line of a steady loss is at the last reading; the level may be told by the last readings instead."""
    line_sd: FloatArray


def estimate_losses(histories: Histories, swept: Swept, losing: BoolArray, model: DriftModel) -> LossEstimate:
    """Return the estimates of all series; those that are losing must have been kept by the sweep."""
    estimate, heard = _healthy(histories, swept, model), _heard_closely(swept, model)
    for chunk in swept.kept:
        wanted = np.nonzero(losing[chunk.lanes.series])[0]
        for start in range(0, len(wanted), LANES):
            _estimate_closely(estimate, histories, swept, chunk.only(wanted[start : start + LANES]), heard, model)
    return estimate


def _heard_closely(swept: Swept, model: DriftModel) -> BoolArray:
    """Return which readings a close look counts: no suspect one that no other bears out, nor one that work left.

    Work is believed to move a level little. A loss that is made good again and again would be told slower for that.
    """
    heard = ~swept.lone
    if not model.steps.suspects_wait:
        heard |= borne_out(swept, model)
    return np.asarray(heard & (swept.prepared.reopen_variance == 0.0))


def _healthy(histories: Histories, swept: Swept, model: DriftModel) -> LossEstimate:
    """Return a part's own slow loss, up to the fastest that might have begun without being found yet.

    Of one never read nothing is told.
    """
    has, last = series_ends(swept.prepared.offsets)
    count = histories.count
    level, level_sd = np.full(count, np.nan), np.full(count, np.nan)
    level[has] = swept.level[last[has]]
    level_sd[has] = np.sqrt(swept.level_variance[last[has]])
    loss = np.where(has, -swept.state[SLOPE], np.nan)
    loss_sd = np.sqrt(swept.covariance[SLOPE, SLOPE])
    return LossEstimate(
        loss,
        loss - NORMAL_05 * loss_sd,
        loss + np.maximum(NORMAL_05 * loss_sd, not_ruled_out(swept.of_each_rate, model)),
        level,
        level - NORMAL_05 * level_sd,
        level + NORMAL_05 * level_sd,
        np.full(count, np.inf),
        np.full(count, np.inf),
        np.full(count, np.inf),
        np.full(count, np.nan),
        level.copy(),
        level_sd.copy(),
    )


def _estimate_closely(
    estimate: LossEstimate, histories: Histories, swept: Swept, chunk: Chunk, heard: BoolArray, model: DriftModel
) -> None:
    """Replace the estimates of a chunk's series by those of a close look, in place."""
    fine_model = fine(model)
    heard = heard[chunk.lanes.position]
    leaks = look_closely(chunk.lanes, chunk.filtered, heard, chunk.told.remembered, fine_model)
    series = chunk.lanes.series
    mixture = leak_mixture(chunk.lanes, chunk.filtered, leaks, fine_model, rate_prior())
    ahead = leak_mixture(chunk.lanes, chunk.filtered, leaks, fine_model, breach_prior())
    loss, line = loss_quantiles(mixture, min(model.rates_per_month)), level_quantiles(mixture)
    estimate.loss[series], estimate.loss_low[series], estimate.loss_high[series] = loss.median, loss.low, loss.high
    estimate.level[series], estimate.level_low[series], estimate.level_high[series] = line.median, line.low, line.high
    estimate.line[series], estimate.line_sd[series] = line.median, (line.high - line.low) / (2.0 * NORMAL_05)
    _heed_last_readings(estimate, chunk, swept.lone)
    limit = histories.struts.low_limit_in[series] - (estimate.level[series] - line.median)
    breach = breach_quantiles(ahead, limit, model.level_walk_per_month)
    estimate.breach[series], estimate.breach_low[series], estimate.breach_high[series] = (
        breach.median,
        breach.low,
        breach.high,
    )
    onset = mixture.weight * np.where(mixture.weight > 0, mixture.onset_day, 0.0)
    estimate.onset_day[series] = onset.sum(axis=0)


def _heed_last_readings(estimate: LossEstimate, chunk: Chunk, lone: BoolArray) -> None:
    """Let the interval of a level reach to what the last reading says by itself, where the line is far from it.

    A leak is held to be steady. What was lost at once, and no more since, lies on no such line; the level is where
    the last two readings are, if the line is far from both on one side.
    """
    lanes, filtered, series = chunk.lanes, chunk.filtered, chunk.lanes.series
    counts = (lanes.position >= 0) & ~lone[lanes.position]
    from_end = np.where(counts, counts[::-1].cumsum(axis=0)[::-1], 0)
    at = np.array([(from_end == 1).argmax(axis=0), (from_end == 2).argmax(axis=0)]), np.arange(len(series))
    own = np.moveaxis(filtered.h, 1, -1)[at][..., SLOPE + 1 :] * filtered.state[SLOPE + 1 :].T
    read = lanes.value[at] - own.sum(axis=-1)
    level, low, high = estimate.level[series], estimate.level_low[series], estimate.level_high[series]
    off = read - level - estimate.loss[series] * (lanes.day[at[0][0], at[1]] - lanes.day[at]) / DAYS_PER_MONTH
    # Noise learned from what the line does not explain must not excuse the line.
    sd = np.hypot(np.sqrt(lanes.variance[at]), (high - low) / (2.0 * NORMAL_05))
    far = np.where(np.abs(off) > FAR_FROM_LINE * sd, np.sign(off), 0.0)
    noise_factor = filtered.noise_factor[lanes.resting[at].astype(int), at[1]]
    reach = NORMAL_05 * np.sqrt(lanes.variance[at] * noise_factor)[0]
    both = (far[0] != 0.0) & (far[0] == far[1])
    apart = read[1] - read[0] > np.sqrt(2.0) * reach  # it goes down faster now, and the last is nearer to where it is
    seen = np.where(both & ~apart, read.mean(axis=0), read[0])
    estimate.level[series] = np.where(both, seen, level)
    estimate.level_low[series] = np.where(far[0] != 0.0, np.minimum(low, seen - reach), low)
    estimate.level_high[series] = np.where(far[0] != 0.0, np.maximum(high, seen + reach), high)
