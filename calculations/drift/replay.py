"""Backtest: what an operator would have been told, reading by reading, from one sweep over the history."""

from dataclasses import dataclass, fields

import numpy as np

from calculations.drift.assess import Assessments, alerts_after_each, assess
from calculations.drift.histories import Events, FloatArray, Histories, IntArray, Readings, arrange
from calculations.drift.model import STRUT_MODEL, DriftModel
from calculations.drift.settings import Settings
from calculations.drift.sweep import sweep


@dataclass(frozen=True)
class Replay:
    """Every alert for a loss that the history would have opened, ordered by series and day.

    ``closed_day`` is NaN while the alert still stands. ``as_opened`` is the assessment on the day of
    opening, one entry per alert, made from what was known then and nothing later.
    """

    series: IntArray
    opened_day: FloatArray
    closed_day: FloatArray
    as_opened: Assessments


def replay(histories: Histories, settings: Settings | None = None, model: DriftModel = STRUT_MODEL) -> Replay:
    """Return the openings and closings of loss alerts as they would have been seen.

    The evidence after every reading comes out of one sweep; only at the openings, which are few, is the
    fine assessment made from the history cut off there.
    """
    settings = settings or Settings()
    swept = sweep(histories, model, settings.habits)
    _, stands = alerts_after_each(swept, settings, model.rules.settling_days)
    prepared = swept.prepared
    series = histories.readings.series[prepared.row]
    before = np.concatenate([[False], stands[:-1]]) if len(stands) else stands
    same = np.concatenate([[False], series[1:] == series[:-1]]) if len(series) else np.empty(0, bool)
    opens = np.nonzero(stands & ~(before & same))[0]
    closes = np.nonzero(~stands & before & same)[0]
    following = np.searchsorted(closes, opens)
    inside = following < len(closes)
    closing = closes[np.minimum(following, max(len(closes) - 1, 0))] if len(closes) else np.zeros(len(opens), int)
    closed_here = inside & (series[closing] == series[opens]) if len(closes) else np.zeros(len(opens), bool)
    opened_day = prepared.day[opens]
    closed_day = np.where(closed_here, prepared.day[closing], np.nan) if len(opens) else opened_day
    known = cut_off(histories, series[opens], opened_day)
    return Replay(
        series[opens], opened_day, closed_day, assess(known, now_day=opened_day, settings=settings, model=model)
    )


def cut_off(histories: Histories, series: IntArray, day: FloatArray) -> Histories:
    """Return one history per entry: that series as it was known at the end of that day's reading."""
    part = histories.select(series)
    keep = part.readings.day <= day[part.readings.series]
    readings = Readings(**{f.name: getattr(part.readings, f.name)[keep] for f in fields(Readings)})

    def known(events: Events) -> Events:
        early = events.day <= day[events.series]
        return Events(events.series[early], events.day[early], events.kind[early])

    return arrange(readings, part.struts, known(part.work), known(part.seen))
