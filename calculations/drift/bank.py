"""A bank of leaks that might have begun: how much better does each explain the readings than no leak?

Each slot of the bank is a ramp that starts at its own day; each has a few rates. For every one the log of
the likelihood ratio against "no leak" is accumulated, and the evidence is the prior-weighted mean ratio.

Notes
-----
Where the filter's innovation is ``e`` of standard deviation ``s`` and the leak would have moved it by ``r g``
(:mod:`calculations.drift.unit_leak`), each reading adds ``rho(e / s) - rho((e - r g) / s)``, where ``rho`` is half
the square up to a bound and no more from there on [2]_. A reading is clipped under the leak by how far it is from
*that*, otherwise fast leaks would be clipped away; one that is far from both says nothing, unless it confirms one
far below.

References
----------
.. [1] M. Basseville and I. V. Nikiforov, *Detection of Abrupt Changes*, Prentice Hall, 1993.
.. [2] M. J. Hinich and P. P. Talwar, "A simple method for robust regression", J. Amer. Statist. Assoc. 70 (1975) 113.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calculations.drift.filter import Filtered
from calculations.drift.histories import BoolArray, IntArray, Single
from calculations.drift.lanes import Lanes
from calculations.drift.model import DriftModel
from calculations.drift.unit_leak import UnitLeaks, inverse_sd

BEYOND_DOUBT: Final = np.float32(80.0)
"""Evidence is reported up to here; its exponential would overflow single precision soon after."""


@dataclass(frozen=True)
class Evidence:
    """What the bank tells."""

    after_each: Single
    """ln of the mean likelihood ratio of a leak against none after every reading, (steps, lanes)"""
    remembered: Single
    """When the likeliest of the leaks too old for the ring began [days after the first reading], (lanes,)"""
    of_each_rate: Single
    """What leaks of each rate add to that mean after the last reading, were it only of those that have begun, (rates,
    lanes); of those that began with the history, or with a repair, only one counts"""


def run_bank(lanes: Lanes, filtered: Filtered, model: DriftModel) -> Evidence:
    """Weigh every leak in the bank, reading by reading."""
    bank = _Sweep(lanes, filtered, model)
    return Evidence(bank.evidence_after_each(), bank.leaks.start[-1], bank.of_each_rate())


@dataclass(frozen=True)
class _Onsets:
    """Slots that begin before the readings of a step, step by step; ``offsets`` says where each step's are."""

    offsets: list[int]
    cell: IntArray
    """Index into (slots, lanes), flat."""
    lane: IntArray
    day: Single
    used: BoolArray
    """An older onset had the slot until then."""


def _onsets(lanes: Lanes, model: DriftModel) -> _Onsets:
    """Return when each slot begins: in a ring every ``slot_days``, all of them anew after a repair.

    The last slot is not of the ring: it begins with the history, or with the last repair, and then remembers the
    best that grew old.
    """
    ring, days = model.slots - 1, lanes.day - lanes.day[0]
    newest = np.floor(days / model.slot_days).astype(np.int64)
    anew = lanes.restarts.copy()
    anew[0] = True
    known = np.where(anew, -1, np.vstack([newest[:1], newest[:-1]]))
    oldest = np.maximum(known + 1, newest - ring + 1)
    count = np.where(lanes.position >= 0, newest - oldest + 1, 0)
    step, lane = np.nonzero(count)
    times = count[step, lane]
    number = np.repeat(oldest[step, lane] + times, times) - _countdown(times)
    whole_step, whole_lane = np.nonzero(anew & (lanes.position >= 0))
    step = np.concatenate([whole_step, np.repeat(step, times)])
    lane = np.concatenate([whole_lane, np.repeat(lane, times)])
    slot = np.concatenate([np.full(len(whole_step), ring), number % ring])
    number = np.concatenate([np.zeros(len(whole_step), np.int64), number])
    repaired = np.maximum.accumulate(np.where(anew, days, 0.0), axis=0)[step, lane]
    order = np.argsort(step, kind="stable")
    return _Onsets(
        offsets=np.searchsorted(step[order], np.arange(len(days) + 1)).tolist(),
        cell=(slot * days.shape[1] + lane)[order],
        lane=lane[order],
        day=np.maximum(number * model.slot_days, repaired)[order].astype(np.float32),
        used=((number >= ring) & ~anew[step, lane])[order],
    )


def _countdown(times: IntArray) -> IntArray:
    """Return n, n - 1 .. 1 for every n of ``times``, one after another."""
    return np.asarray(np.repeat(np.cumsum(times), times) - np.arange(times.sum()))


class _Sweep:
    """The running bank. ``loss`` is the sum of ``rho`` under each leak since its slot began, less ln of its prior
    weight; ``plain`` that without a leak since the first reading. A slot that begins starts level with it.
    """

    def __init__(self, lanes: Lanes, filtered: Filtered, model: DriftModel) -> None:
        self.lanes = lanes
        width = lanes.value.shape[1]
        slots, rates = model.slots, len(model.rates_per_month)
        self.rates = np.asarray(model.rates_per_month, np.float32)[:, None, None]
        self.head_start = (-model.log_prior() + np.log(slots)).astype(np.float32)[:, None]
        self.onsets = _onsets(lanes, model)
        self.leaks = UnitLeaks(lanes, filtered, slots)
        self.shape = np.empty((slots, width), np.float32)
        self.loss = np.zeros((rates, slots, width), np.float32)
        self.loss += self.head_start[:, None]
        self.cells = tuple(
            one.reshape(-1, slots * width) for one in (self.leaks.start, self.leaks.response, self.loss)
        )
        self.plain = np.zeros(width, np.float32)
        self.buffer = np.empty((rates, slots, width), np.float32)
        # Of errors over the square root of 2 the square is the loss.
        self.scale = np.float32(np.sqrt(0.5)) * inverse_sd(lanes, filtered, model)
        self.error = filtered.innovation.astype(np.float32) * self.scale
        self.most = np.full(self.error.shape, 0.5 * model.leak_bound**2, np.float32)
        self._heed_drops(filtered.confirmed & (filtered.surprise < 0.0), model)
        self.plain_loss = truncated_squares(self.error, self.most)

    def _heed_drops(self, dropped: BoolArray, model: DriftModel) -> None:
        """Let readings that confirm one far below speak as far as an outlier begins, and no farther.

        What happened may be faster than every leak of the bank, and would then be far from all of them.
        """
        farthest = np.float32(np.sqrt(0.5) * model.outlier)
        self.most[dropped] = farthest**2
        self.error[dropped] = np.maximum(self.error[dropped], -farthest)

    def evidence_after_each(self) -> Single:
        evidence, odds = np.zeros(self.lanes.value.shape, np.float32), self.buffer
        with np.errstate(over="ignore"):
            for step, n in enumerate(self.lanes.active.tolist()):
                self._take(step, n)
                np.subtract(self.plain[:n], self.loss[:, :, :n], out=odds[:, :, :n])
                np.exp(odds[:, :, :n], out=odds[:, :, :n])
                np.log(np.add.reduce(odds[:, :, :n], axis=(0, 1)), out=evidence[step, :n])
        return np.minimum(evidence, BEYOND_DOUBT, out=evidence)

    def of_each_rate(self) -> Single:
        start = self.leaks.start
        odds = np.minimum(self.plain - self.loss, BEYOND_DOUBT, out=self.buffer)
        np.exp(odds, out=odds)
        begun = np.isfinite(start[:-1]) & (start[:-1] > self.lanes.last_repair().astype(np.float32))
        odds[:, :-1] *= begun
        return np.asarray(np.add.reduce(odds, axis=1) * (len(start) / (1.0 + begun.sum(axis=0))))

    def _take(self, step: int, n: int) -> None:
        self._renew_slots(step)
        self._weigh(step, n, self.leaks.shape(step, self.shape[:, :n]))

    def _renew_slots(self, step: int) -> None:
        """Give the oldest slots to onsets that have since become possible."""
        begun = slice(*self.onsets.offsets[step : step + 2])
        cell, lane, used = self.onsets.cell[begun], self.onsets.lane[begun], self.onsets.used[begun]
        if not len(cell):
            return
        if used.any():
            self._remember(cell[used], lane[used])
        start, response, loss = self.cells
        start[0, cell] = self.onsets.day[begun]
        response[:, cell] = 0.0
        loss[:, cell] = self.plain[lane] + self.head_start

    def _remember(self, cell: IntArray, lane: IntArray) -> None:
        """Keep a leak that grows too old for the grid, if it explains more than the one remembered."""
        loss, remembered = self.cells[2], self.leaks.start.size - len(self.plain) + lane
        best = np.minimum.reduce(loss.take(cell, axis=1))
        better = np.flatnonzero(best < np.minimum.reduce(loss.take(remembered, axis=1)))
        if not len(better):
            return
        better = better[np.argsort(-best[better], kind="stable")]  # of several in one lane, the best is written last
        older, kept = cell[better], remembered[better]
        for one in self.cells:
            one[:, kept] = one.take(older, axis=1)

    def _weigh(self, step: int, n: int, g: Single) -> None:
        left = self.buffer[:, :, :n]
        g *= self.scale[step, :n]
        np.multiply(self.rates, g, out=left)
        np.subtract(self.error[step, :n], left, out=left)
        self.loss[:, :, :n] += truncated_squares(left, self.most[step, :n], out=left)
        self.plain[:n] += self.plain_loss[step, :n]


def truncated_squares(root: Single, most: Single, out: Single | None = None) -> Single:
    """Return the squares, (.., lanes), none more than the ``most`` of its lane.

    Examples
    --------
    >>> [float(v) for v in truncated_squares(np.array([1.0, -4.0], np.float32), np.array([2.0, 2.0], np.float32))]
    [1.0, 2.0]
    """
    # Of two arrays NumPy takes the lesser in less than half the time that it needs for an array and a figure.
    squares = np.multiply(root, root, out=out)
    return np.asarray(np.minimum(squares, most, out=squares))
