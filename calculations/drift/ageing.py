"""When the calendar alone changes what is concluded, so that nobody need look again before."""

import numpy as np

from calculations.drift.findings import Symptoms
from calculations.drift.fluid_evidence import REMEMBERED_DAYS
from calculations.drift.histories import FloatArray, Histories
from calculations.drift.losses import LossEstimate
from calculations.drift.model import DriftModel, Rules
from calculations.drift.settings import Settings
from calculations.drift.sweep import Swept, series_ends


def day_of_change(
    histories: Histories,
    swept: Swept,
    estimate: LossEstimate,
    symptoms: Symptoms,
    now: FloatArray,
    settings: Settings,
    model: DriftModel,
) -> FloatArray:
    """Return the first day after now on which a finding or level may be another; NaN where there is none.

    Settling ends, the low limit comes within the notice wanted, readings and what was seen grow too old to count.
    """
    changes = (
        np.where(symptoms.settling, last_work(histories, model) + model.rules.settling_days, np.inf),
        np.where(
            symptoms.losing & ~symptoms.near_limit, last_days(swept) + estimate.breach - settings.notice_days, np.inf
        ),
        np.where(symptoms.too_few, np.inf, _grown_few(swept, histories.count, model.rules)),
        np.where(symptoms.losing, _forgotten(histories, now), np.inf),
    )
    earliest = np.minimum.reduce([np.where(day > now, day, np.inf) for day in changes])
    return np.where(np.isfinite(earliest), earliest, np.nan)


def last_days(swept: Swept) -> FloatArray:
    """Return the day of the last usable reading of each series, NaN where there is none."""
    has, last = series_ends(swept.prepared.offsets)
    days = np.full(len(has), np.nan)
    days[has] = swept.prepared.day[last[has]]
    return days


def last_work(histories: Histories, model: DriftModel) -> FloatArray:
    """Return the day of the last work that moved each series' level, minus infinity where there was none."""
    work, days = histories.work, np.full(histories.count, -np.inf)
    moving = model.baseline_table()[0][work.kind] > 0
    np.maximum.at(days, work.series[moving], work.day[moving])
    return days


def _grown_few(swept: Swept, count: int, rules: Rules) -> FloatArray:
    """Day on which too few readings are recent, if none is added."""
    rows = np.flatnonzero(~swept.alone)
    ends = np.searchsorted(rows, swept.prepared.offsets)
    decisive = ends[1:] - rules.few_readings
    has = decisive >= ends[:-1]
    days = np.full(count, np.inf)
    days[has] = swept.prepared.day[rows[decisive[has]]] + rules.few_within_days
    return days


def _forgotten(histories: Histories, now: FloatArray) -> FloatArray:
    """Day on which the oldest look that still counts is forgotten."""
    seen, days = histories.seen, np.full(histories.count, np.inf)
    forgotten = seen.day + REMEMBERED_DAYS
    counts = forgotten > now[seen.series]
    np.minimum.at(days, seen.series[counts], forgotten[counts])
    return days
