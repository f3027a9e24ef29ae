"""A bank of leaks that might have begun: how much better does each explain the readings than no leak?

Each slot of the bank is a ramp that starts at its own day; each has a few rates. For every one the log of
the likelihood ratio against "no leak" is accumulated, and the evidence is the prior-weighted mean ratio.

Notes
-----
Had the strut lost ``r f(t)`` since ``tau``, ``f = -(t - tau)``, the filter's innovation would have moved by
``r g`` with ``g = f - H m`` and ``m += K g`` (the filter's own answer to the ramp) [1]_. So one filter
serves every hypothesis. Each reading adds ``rho(e / s) - rho((e - r g) / s)`` with Huber's ``rho``: a reading
counts as an outlier only if it is one *under the leak as well*, otherwise fast leaks would be clipped away.
A lone outlier is held back and counts only once the next reading agrees with it, so one bad reading can
never open a caution.

References
----------
.. [1] A. S. Willsky and H. L. Jones, "A generalized likelihood ratio approach to the detection and
       estimation of jumps in linear systems", IEEE Trans. Automatic Control 21 (1976) 108.
.. [2] M. Basseville and I. V. Nikiforov, *Detection of Abrupt Changes*, Prentice Hall, 1993.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from calculations.drift.filter import SETTLE, STATES, Filtered, observation
from calculations.drift.histories import FloatArray
from calculations.drift.lanes import Lanes
from calculations.drift.model import DAYS_PER_MONTH, DriftModel

Single = npt.NDArray[np.float32]

# exp() of more than this overflows in single precision; such evidence is beyond doubt anyway.
_BEYOND_DOUBT: Final = np.float32(80.0)


@dataclass(frozen=True)
class Bank:
    """Evidence after every reading (steps, lanes) and the bank as it stood at the last."""

    evidence: Single
    """ln of the mean likelihood ratio of a leak against none."""
    log_ratio: Single
    """(slots, rates, lanes)"""
    response: Single
    """(slots, states, lanes): what the filter has already made of a unit leak."""
    onset_day: FloatArray
    """(slots, lanes)"""


def run_bank(lanes: Lanes, filtered: Filtered, model: DriftModel) -> Bank:
    """Weigh every leak in the bank after every reading."""
    return _Sweep(lanes, filtered, model).run()


class _Sweep:
    def __init__(self, lanes: Lanes, filtered: Filtered, model: DriftModel) -> None:
        self.lanes, self.filtered, self.model = lanes, filtered, model
        steps, width = lanes.value.shape
        slots, rates = model.slots, len(model.rates_per_month)
        self.rates = np.asarray(model.rates_per_month, np.float32)[:, None]
        self.prior = (np.exp(model.log_prior()) / slots).astype(np.float32)
        self.slot = np.arange(slots)[:, None]
        self.grid = np.full((slots, width), -1, np.int64)
        self.start = np.full((slots, width), np.inf)
        self.response = np.zeros((slots, STATES, width), np.float32)
        self.log_ratio = np.zeros((slots, rates, width), np.float32)
        self.held_g = np.zeros((slots, width), np.float32)
        self.held_e = np.zeros(width, np.float32)
        self.pending = np.zeros(width, bool)
        self.evidence = np.zeros((steps, width), np.float32)
        self.repaired = np.full(width, -np.inf)

    def run(self) -> Bank:
        lanes, filtered = self.lanes, self.filtered
        days = lanes.day - lanes.day[0]
        for step in range(len(lanes.active)):
            n = int(lanes.active[step])
            self._renew_slots(days[step, :n], step, n)
            h = observation(lanes, step, n).astype(np.float32)
            months = ((self.start[:, :n] - days[step, :n]) / DAYS_PER_MONTH).astype(np.float32)
            f = np.where(np.isfinite(months), np.minimum(months, 0.0), np.float32(0.0))
            m = self.response[:, :, :n]
            m[:, SETTLE, lanes.settle_variance[step, :n] > 0] = 0.0
            g = f - (m * h).sum(axis=1)
            m += filtered.gain[step, :, :n].astype(np.float32) * g[:, None]
            self._weigh(step, n, g)
        return Bank(self.evidence, self.log_ratio, self.response, self.start + lanes.day[0])

    def _renew_slots(self, day: FloatArray, step: int, n: int) -> None:
        """Give the oldest slots to onsets that have since become possible."""
        model = self.model
        newest = np.floor(day / model.slot_days).astype(np.int64)
        wanted = newest - np.mod(newest - self.slot, model.slots)
        stale = (wanted != self.grid[:, :n]) & (wanted >= 0)
        restart = self.lanes.restarts[step, :n]
        if restart.any():
            self.repaired[:n][restart] = day[restart]
            stale = stale | restart
        if not stale.any():
            return
        slot, lane = np.nonzero(stale)
        self.grid[slot, lane] = wanted[slot, lane]
        onset = np.maximum(wanted[slot, lane] * model.slot_days, self.repaired[lane])
        self.start[slot, lane] = np.where(wanted[slot, lane] >= 0, onset, np.inf)
        self.response[slot, :, lane] = 0.0
        self.log_ratio[slot, :, lane] = 0.0

    def _weigh(self, step: int, n: int, g: Single) -> None:
        filtered = self.filtered
        scale = filtered.inverse_sd[step, :n].astype(np.float32)
        e = filtered.innovation[step, :n].astype(np.float32) * scale
        g = g * scale
        agrees = filtered.confirmed[step, :n]
        counted = ~filtered.outlier[step, :n] | agrees
        ratio = self.log_ratio[:, :, :n]
        ratio += self._gain(e, g) * counted
        confirmed = np.nonzero(self.pending[:n] & agrees)[0]
        if len(confirmed):
            ratio[:, :, confirmed] += self._gain(self.held_e[confirmed], self.held_g[:, confirmed])
        self.pending[:n] = ~counted
        held = np.nonzero(~counted)[0]
        if len(held):
            self.held_e[held] = e[held]
            self.held_g[:, held] = g[:, held]
        odds = np.exp(np.minimum(ratio, _BEYOND_DOUBT)).sum(axis=0)
        self.evidence[step, :n] = np.log(np.maximum((odds * self.prior[:, None]).sum(axis=0), 1e-30))

    def _gain(self, e: Single, g: Single) -> Single:
        """Huber's rho without the leak minus with it, (slots, rates, lanes)."""
        c = np.float32(self.model.leak_huber)
        with_leak = np.abs(e - self.rates * g[:, None])
        bounded = np.minimum(with_leak, c)
        loss = bounded * (with_leak - bounded * np.float32(0.5))
        plain = np.abs(e)
        plain_bounded = np.minimum(plain, c)
        return np.asarray(plain_bounded * (plain - plain_bounded * np.float32(0.5)) - loss, np.float32)
