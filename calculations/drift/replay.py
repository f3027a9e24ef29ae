"""Backtest: what an operator would have been told, reading by reading, from one sweep over the history."""

from dataclasses import dataclass, fields

import numpy as np

from calculations.drift.after_each import findings_after_each
from calculations.drift.assess import Assessments, alerts_after_each, assess
from calculations.drift.findings import FINDINGS, LOSSES, Finding, Level, told_level
from calculations.drift.histories import BoolArray, Events, FloatArray, Histories, IntArray, Readings, arrange
from calculations.drift.model import STRUT_MODEL, DriftModel
from calculations.drift.on_stop import surely_high
from calculations.drift.settings import Settings
from calculations.drift.sweep import Swept, sweep


@dataclass(frozen=True)
class Episodes:
    """Findings that the history would have told, ordered by series and day; ``finding`` indexes ``FINDINGS``.

    ``closed_day`` is NaN while the finding still stands.
    """

    series: IntArray
    opened_day: FloatArray
    closed_day: FloatArray
    finding: IntArray


@dataclass(frozen=True)
class Replay:
    """Every alert for a loss that the history would have opened, ordered by series and day.

    ``closed_day`` is NaN while the alert still stands. ``as_opened`` is the assessment on the day of
    opening, one entry per alert, made from what was known then and nothing later. ``others`` are the
    findings other than losses that are told to people at all.
    """

    series: IntArray
    opened_day: FloatArray
    closed_day: FloatArray
    as_opened: Assessments
    others: Episodes


def replay(
    histories: Histories,
    settings: Settings | None = None,
    model: DriftModel = STRUT_MODEL,
    *,
    since_day: FloatArray | None = None,
) -> Replay:
    """Return what would have been told, and until when, as it would have been seen.

    What holds after every reading comes out of one sweep; only where a loss opens, which is seldom, is the
    fine assessment made from the history cut off there.

    Parameters
    ----------
    since_day : array, (series,)
        For struts that were judged by one sheet and then by another: the strut's whole history stands once for each
        sheet, in that order, each with the day from which on its sheet held, and the first with -inf. Without it each
        series is a strut of its own. A finding that goes on under the next sheet is told once, where it opened.
    """
    settings = settings or Settings()
    since = np.full(histories.count, -np.inf) if since_day is None else since_day
    swept = sweep(histories, model, settings.habits)
    _, losing = alerts_after_each(swept, settings, model)
    finding = findings_after_each(histories, swept, losing, settings.habits, model)
    told = _episodes(*_with_stops(histories, swept, finding, model), since)
    lost = np.isin(told.finding, [FINDINGS.index(loss) for loss in LOSSES])
    losses, others = _only(told, lost), _only(told, ~lost & (told_level(told.finding) > Level.NONE))
    known = cut_off(histories, losses.series, losses.opened_day)
    as_opened = assess(known, now_day=losses.opened_day, settings=settings, model=model)
    return Replay(losses.series, losses.opened_day, losses.closed_day, as_opened, others)


def _with_stops(
    histories: Histories, swept: Swept, finding: IntArray, model: DriftModel
) -> tuple[FloatArray, IntArray, IntArray]:
    """Return day, series and finding after each usable reading, and after those on the upper stop among them."""
    row, series = swept.prepared.row, histories.readings.series
    stops = np.flatnonzero(surely_high(histories, model))
    before = np.searchsorted(row, stops)
    found = np.full(len(stops), FINDINGS.index(Finding.STANDING_HIGH))
    known = before > 0
    known[known] = series[row[before[known] - 1]] == series[stops[known]]
    last = finding[before[known] - 1]
    found[known] = np.where(np.isin(last, [FINDINGS.index(loss) for loss in LOSSES]), last, found[known])
    rows = np.insert(row, before, stops)
    return histories.readings.day[rows], series[rows], np.insert(finding, before, found)


def _episodes(day: FloatArray, series: IntArray, finding: IntArray, since_day: FloatArray) -> Episodes:
    """Return the runs of readings of one strut after which the same was found, while each series counted."""
    until_day = np.append(since_day[1:], -np.inf)
    until_day[np.isneginf(until_day)] = np.inf
    counts = (day >= since_day[series]) & (day < until_day[series])
    day, series, finding = day[counts], series[counts], finding[counts]
    strut = np.cumsum(np.isneginf(since_day))[series]
    changed = np.flatnonzero((np.diff(strut) != 0) | (np.diff(finding) != 0)) + 1
    begins = np.concatenate([[0], changed]) if len(series) else changed
    closed = np.full(len(begins), np.nan)
    follows = strut[begins[1:]] == strut[begins[:-1]]
    closed[:-1][follows] = day[begins[1:]][follows]
    return Episodes(series[begins], day[begins], closed, finding[begins])


def _only(episodes: Episodes, chosen: BoolArray) -> Episodes:
    return Episodes(**{f.name: getattr(episodes, f.name)[chosen] for f in fields(Episodes)})


def cut_off(histories: Histories, series: IntArray, day: FloatArray) -> Histories:
    """Return one history per entry: that series as it was known at the end of that day's reading."""
    part = histories.select(series)
    keep = part.readings.day <= day[part.readings.series]
    readings = Readings(**{f.name: getattr(part.readings, f.name)[keep] for f in fields(Readings)})

    def known(events: Events) -> Events:
        early = events.day <= day[events.series]
        return Events(events.series[early], events.day[early], events.kind[early])

    return arrange(readings, part.struts, known(part.work), known(part.seen))
