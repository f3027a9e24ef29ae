"""Calibrate the threshold on the fleet's own history: look for leaks *upwards*, where there are none.

A strut does not gain gas by itself. Turned upside down, a fleet's history has the same readings, thermometers,
rulers, seals, servicing and gaps, and no leak: what the bank still reports there are false alarms, and how
often it does so tells which threshold keeps the operator's chosen rate. This catches whatever the noise
figures do not: errors that repeat themselves, sticky struts that stand still, work that nobody wrote down.

Notes
-----
The count over so many strut-years is a Poisson number; it is combined with what the table promises for a
fleet like the model's, worth :data:`TABLE_STRUT_YEARS` of observation, so that a small fleet moves the
threshold little and a large one sets it. Upwards is not quite downwards: an unrecorded top-up is an upward
step, and a strut that settles late after a top-up creeps upwards; on simulated fleets the count upwards was
:data:`UPWARD_EXCESS` times that downwards, and is divided by it.
"""

from dataclasses import replace
from typing import Final

import numpy as np

from calculations.drift.episodes import alarm_statistic, episode_starts
from calculations.drift.fleet_noise import learn_noise
from calculations.drift.histories import FloatArray, Histories
from calculations.drift.model import STRUT_MODEL, DriftModel
from calculations.drift.settings import FleetHabits
from calculations.drift.sweep import sweep
from calculations.drift.thresholds import SHIFT_RANGE, STRUT_TABLE, threshold_of

TABLE_STRUT_YEARS: Final = 25.0
CALIBRATED_RATE: Final = 0.10
"""Rate at which the shift is measured: high enough to be counted in a fleet of some dozens."""
UPWARD_EXCESS: Final = 1.3
DAYS_PER_YEAR: Final = 365.25


def learn_habits(histories: Histories, model: DriftModel = STRUT_MODEL) -> FleetHabits:
    """Learn a fleet's noise and then the threshold that keeps its false alarms at the chosen rate.

    Parameters
    ----------
    histories : Histories
        The whole fleet of one operator and one kind of part; the more the better.
    model : DriftModel

    Returns
    -------
    FleetHabits
        To be kept per operator and passed back in :class:`~calculations.drift.settings.Settings`.
    """
    habits = learn_noise(histories, model)
    return replace(habits, threshold_shift=_shift(histories, model, habits))


def upside_down(histories: Histories) -> Histories:
    """Return the histories with every extension, and what warmth and load do to it, mirrored about target."""
    readings = histories.readings
    target = histories.struts.target_in[readings.series]
    struts = replace(
        histories.struts,
        temperature_slope_in_per_f=-histories.struts.temperature_slope_in_per_f,
        load_slope_in_per_lbf=-histories.struts.load_slope_in_per_lbf,
    )
    turned = replace(readings, corrected_in=2.0 * target - readings.corrected_in)
    return replace(histories, readings=turned, struts=struts)


def _shift(histories: Histories, model: DriftModel, habits: FleetHabits) -> float:
    years = years_watched(histories)
    if years <= 0.0:
        return 0.0
    swept = sweep(upside_down(histories), model, _mirrored(habits))
    statistic = alarm_statistic(swept, model)
    promised = threshold_of(CALIBRATED_RATE, STRUT_TABLE)
    shifts = np.arange(SHIFT_RANGE[0], SHIFT_RANGE[1] + 1e-9, 0.05)
    counts = np.array(
        [len(episode_starts(swept.prepared, statistic > promised + shift)) for shift in shifts], dtype=float
    )
    table = np.array([_table_rate(promised + shift) for shift in shifts])
    counts /= UPWARD_EXCESS
    rate = (counts + TABLE_STRUT_YEARS * table) / (years + TABLE_STRUT_YEARS)
    low_enough = rate <= CALIBRATED_RATE
    return float(shifts[low_enough.argmax()] if low_enough.any() else shifts[-1])


def _mirrored(habits: FleetHabits) -> FleetHabits:
    """Upside down, temperature and load act the other way, and struts seep upwards."""
    return replace(habits, seep_mean_per_month=-habits.seep_mean_per_month)


def years_watched(histories: Histories) -> float:
    """Return the years from first to last reading, summed over the series."""
    day, offsets = histories.readings.day, histories.offsets
    has = np.diff(offsets) > 0
    return float((day[offsets[1:][has] - 1] - day[offsets[:-1][has]]).sum() / DAYS_PER_YEAR)


def _table_rate(evidence: float) -> float:
    rates, thresholds = (np.array(column) for column in zip(*STRUT_TABLE, strict=True))
    order = np.argsort(thresholds)
    log_rate: FloatArray = np.log(rates)[order]
    return float(np.exp(np.interp(evidence, thresholds[order], log_rate)))
