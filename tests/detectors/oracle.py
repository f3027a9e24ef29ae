"""Detectors that know what nobody can: the yardstick, not rivals.

Both see readings free of blunders and late settling, corrected with the strut's true figures, and know the
exact variance of each and the strut's normal seep. The clairvoyant also knows the level after every service;
the semi-oracle must learn it from the readings. Only onset and rate of a leak are unknown to them.
"""

import numpy as np
import numpy.typing as npt

from tests.detectors.lockstep import Array, steps
from tests.simulator.fleet import DAYS_PER_MONTH, Fleet

GRID_DAYS = 10.0
RATES = np.geomspace(0.015, 1.5, 12)


def semi_oracle(fleet: Fleet) -> Array:
    """Evidence after every reading; the level after each service is learned."""
    return _evidence(fleet, level_known=False)


def clairvoyant(fleet: Fleet) -> Array:
    """Evidence after every reading; the level after each service is known."""
    return _evidence(fleet, level_known=True)


def _evidence(fleet: Fleet, *, level_known: bool) -> Array:
    truth, count = fleet.truth, fleet.scenario.struts
    onsets = np.arange(0.0, fleet.scenario.months * DAYS_PER_MONTH, GRID_DAYS)
    seep = truth.seep_in_per_month[fleet.series] * fleet.day / DAYS_PER_MONTH
    value = truth.reading_exact_in + seep
    base = _service_level(fleet) if level_known else None
    level, spread = np.zeros(count), np.full(count, 1e4)
    answer = np.zeros((count, len(onsets)))
    log_ratio = np.zeros((count, len(onsets), len(RATES)))
    last_service = np.zeros(count)
    evidence = np.full(len(fleet.day), np.nan)
    for step in steps(fleet, np.ones(len(fleet.day), bool)):
        who, row = step.who, step.row
        day, variance = fleet.day[row], truth.reading_sd_in[row] ** 2
        spread[who] = np.where(step.served, 1e4, spread[who])
        ramp = -np.maximum(day[:, None] - onsets, 0.0) / DAYS_PER_MONTH
        if base is not None:
            last_service[who] = base[1][row]
            since = -np.maximum(last_service[who][:, None] - onsets, 0.0) / DAYS_PER_MONTH
            error, shape, total = value[row] - base[0][row], ramp - since, variance
        else:
            error, shape = value[row] - level[who], ramp - answer[who]
            total = spread[who] + variance
            gain = spread[who] / total
            level[who] += gain * error
            answer[who] += gain[:, None] * shape
            spread[who] *= 1.0 - gain
        moved = RATES * shape[:, :, None]
        increment = (error[:, None, None] - 0.5 * moved) * moved / total[:, None, None]
        log_ratio[who] += increment
        born = (onsets <= day[:, None]) & (onsets > day[:, None] - 330.0)
        peak = log_ratio[who].max(axis=(1, 2))
        odds = (np.exp(log_ratio[who] - peak[:, None, None]) * born[:, :, None]).sum(axis=(1, 2))
        evidence[row] = peak + np.log(np.maximum(odds / (33 * len(RATES)), 1e-300))
    return evidence


def _service_level(fleet: Fleet) -> tuple[Array, Array]:
    """Per reading: true seep-free level right after the last recorded service (or at the start), and its day."""
    truth = fleet.truth

    def fallen(series: npt.NDArray[np.int64], day: Array) -> Array:
        leaking = truth.leak_in_per_month[series] * np.maximum(day - truth.onset_day[series], 0)
        return np.asarray((truth.seep_in_per_month[series] * day + leaking) / DAYS_PER_MONTH)

    key = fleet.service_series * 1e5 + fleet.service_day
    index = np.searchsorted(key, fleet.series * 1e5 + fleet.day) - 1
    own = (index >= 0) & (fleet.service_series[np.maximum(index, 0)] == fleet.series)
    when = np.where(own, fleet.service_day[np.maximum(index, 0)], 0.0)
    leak_since = fallen(fleet.series, fleet.day) - fallen(fleet.series, when)
    level = truth.reading_level_in + leak_since + truth.seep_in_per_month[fleet.series] * when / DAYS_PER_MONTH
    return level, when
