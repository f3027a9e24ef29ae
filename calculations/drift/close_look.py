"""A close look at a loss that stands: onsets near one another, each weighed by all readings at once.

The bank (:mod:`calculations.drift.bank`) tells after every reading, and gives its slots to new onsets over and over.
Here only the last word counts: every onset is followed from its beginning, and the readings are weighed when
all are taken. What the bank remembers of leaks too old for the window is looked at beside them.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calculations.drift.filter import Filtered
from calculations.drift.histories import BoolArray, FloatArray, Single
from calculations.drift.lanes import Lanes
from calculations.drift.model import DriftModel
from calculations.drift.unit_leak import UnitLeaks, inverse_sd

AT_ONCE: Final = 100_000
"""Errors worked on together: as many as stay in the processor's cache."""
AROUND: Final = np.arange(-2, 3)
"""Slot days from the onset remembered, which the bank knows to a slot of its own: half of one each way and more."""


@dataclass(frozen=True)
class Leaks:
    """Leaks that might have begun, as they stand at the last reading."""

    log_ratio: Single
    """ln of the likelihood ratio of each against none, (rates, slots, lanes)"""
    response: Single
    """(states, slots, lanes): what the filter has already made of a unit leak."""
    onset_day: FloatArray
    """(slots, lanes); infinite where a slot is not used"""


def look_closely(lanes: Lanes, filtered: Filtered, heard: BoolArray, remembered: Single, model: DriftModel) -> Leaks:
    """Weigh leaks since each of the last ``slots`` slot days, and since about the one remembered, at every rate.

    Parameters
    ----------
    lanes : Lanes
    filtered : Filtered
    heard : array of bool, (steps, lanes)
        Readings that count.
    remembered : array, (lanes,)
        Onset of the leak that the bank remembers [days after the first reading].
    model : DriftModel
        ``slot_days``, ``slots``, ``rates_per_month`` and ``look_huber`` are used.
    """
    onsets = _onsets(lanes, remembered, model)
    leaks = UnitLeaks(lanes, filtered, len(onsets))
    leaks.start[:] = onsets
    scale = inverse_sd(lanes, filtered, model) * heard
    shape = np.zeros((len(lanes.active), *leaks.start.shape), np.float32)
    for step, n in enumerate(lanes.active.tolist()):
        leaks.shape(step, shape[step, :, :n])
    shape *= scale[:, None]
    log_ratio = _log_ratio(filtered.innovation.astype(np.float32) * scale, shape, model)
    return Leaks(log_ratio, leaks.response, leaks.start + lanes.day[0])


def _onsets(lanes: Lanes, remembered: Single, model: DriftModel) -> FloatArray:
    """Return the slot days before the last reading, not before a repair, and around the one remembered, if older."""
    days = np.where(lanes.position >= 0, lanes.day - lanes.day[0], 0.0)
    repaired = lanes.last_repair()
    newest = np.floor(days.max(axis=0) / model.slot_days)
    recent = model.slot_days * (newest - np.arange(model.slots)[:, None])
    older = remembered + model.slot_days * AROUND[:, None]
    return np.vstack(
        [
            np.where(recent >= 0.0, np.maximum(recent, repaired), np.inf),
            np.where((older >= repaired) & (older < recent[-1]), older, np.inf),
        ]
    )


def _log_ratio(error: Single, shape: Single, model: DriftModel) -> Single:
    """Sum over readings by Huber's loss: one clipped early would leave more than one rate that explains the rest."""
    bound = np.float32(model.look_huber)
    loss = np.zeros((len(model.rates_per_month), *shape.shape[1:]), np.float32)
    steps = max(AT_ONCE // max(shape[0].size, 1), 1)
    for start in range(0, len(shape), steps):
        some = slice(start, start + steps)
        for number, rate in enumerate(model.rates_per_month):
            loss[number] += _huber_losses(error[some, None] - np.float32(rate) * shape[some], bound)
    return np.asarray(_huber_losses(error, bound) - loss)


def _huber_losses(error: Single, bound: np.float32) -> Single:
    """Return the sum over readings, the first axis; of x, which the bound clips to u, the loss is u (x - u / 2)."""
    clipped = np.clip(error, -bound, bound)
    return np.asarray(np.einsum("t...,t...->...", clipped, error - np.float32(0.5) * clipped))
