"""The product's own detector on simulated fleets, as a statistic after every reading."""

import numpy as np

from calculations.drift import FleetHabits
from calculations.drift.episodes import alarm_statistic
from calculations.drift.model import STRUT_MODEL
from calculations.drift.sweep import sweep
from tests.detectors.lockstep import Array, carried_forward
from tests.simulator.as_histories import histories_of
from tests.simulator.fleet import Fleet


def robust_bank(fleet: Fleet, habits: FleetHabits | None = None) -> Array:
    """What an alert is decided on, after every reading."""
    histories = histories_of(fleet)
    swept = sweep(histories, STRUT_MODEL, habits or FleetHabits())
    statistic = np.full(len(fleet.day), np.nan)
    rows = histories.source_row[swept.prepared.row]
    statistic[rows] = alarm_statistic(swept, STRUT_MODEL)
    return carried_forward(fleet, np.where(np.isneginf(statistic), -9.0, statistic))
