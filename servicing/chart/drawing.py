"""Drawing a history: legible on a telephone, understood without colours."""

import math
from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Final

from servicing.chart.frame import BOTTOM, HEIGHT, LEFT, RIGHT, TOP, WIDTH, Frame, frame_for, month_ticks, value_ticks
from servicing.chart.history import PartHistory, ReadingPoint, TrendLine
from servicing.chart.legend import legend, work_letter
from servicing.chart.scene import Area, Cross, Line, Point, Ring, Scene, Shape, Words

SMALL: Final = 12.0
_LABEL_GAP: Final = 13.0


def draw_history(history: PartHistory) -> Scene:
    """Return the drawing of one part's history."""
    frame = frame_for(history)
    shapes = [
        *_grid(frame, history),
        *_work(frame, history),
        *_limit_lines(frame, history),
        *_trend(frame, history),
        *_readings(frame, history),
        *_limit_names(frame, history),
        *_heading(history),
        *legend(history),
    ]
    return Scene(WIDTH, HEIGHT, history.title, history.summary, tuple(shapes))


def _heading(history: PartHistory) -> Iterator[Shape]:
    yield Words("words", (8, 19), history.title, 15.0)
    yield Words("small", (8, 36), f"{history.measure} [{history.unit}]", SMALL)


def _grid(frame: Frame, history: PartHistory) -> Iterator[Shape]:
    for value in value_ticks(frame):
        yield Line("grid", ((LEFT, frame.y(value)), (RIGHT, frame.y(value))))
        yield Words("small", (LEFT - 5, frame.y(value) + 4), f"{value:.{history.decimals}f}", SMALL, "end")
    for tick in month_ticks(frame):
        x = frame.x(tick)
        yield Line("axis", ((x, BOTTOM), (x, BOTTOM + 4)))
        if LEFT + 10 <= x <= RIGHT - 10:
            yield Words("small", (x, BOTTOM + 17), _month(tick), SMALL, "middle")
    yield Line("axis", ((LEFT, BOTTOM), (RIGHT, BOTTOM)))


def _month(tick: datetime) -> str:
    return tick.strftime("%Y") if tick.month == 1 else tick.strftime("%b")


def _limit_lines(frame: Frame, history: PartHistory) -> Iterator[Shape]:
    for limit in history.limits:
        y = frame.y(limit.value)
        yield Line("target" if limit.name == "target" else "limit", ((LEFT, y), (RIGHT, y)))


def _limit_names(frame: Frame, history: PartHistory) -> Iterator[Shape]:
    for limit in history.limits:
        y = frame.y(limit.value)
        words = "target words" if limit.name == "target" else "limit words"
        text = f"{limit.name} {limit.value:.{history.decimals}f}"
        yield Words(words, (LEFT + 4, y + _LABEL_GAP if limit.name == "low limit" else y - 4), text, SMALL)


def _work(frame: Frame, history: PartHistory) -> Iterator[Shape]:
    labels: list[tuple[float, str]] = []
    for mark in sorted((mark for mark in history.work if mark.at >= frame.since), key=lambda mark: mark.at):
        x, letter = frame.x(mark.at), work_letter(mark.work)
        # Letters of work done close together would lie on each other: they share one label.
        if labels and x - labels[-1][0] < _LABEL_GAP:
            labels[-1] = (labels[-1][0], labels[-1][1] + letter.replace(labels[-1][1][-1], ""))
        else:
            labels.append((x, letter))
            yield Line("work", ((x, TOP - 6), (x, BOTTOM)))
    for x, letters in labels:
        yield Words("work words", (x, TOP - 9), letters, SMALL, "middle")


def _readings(frame: Frame, history: PartHistory) -> Iterator[Shape]:
    shown = [reading for reading in history.readings if reading.at >= frame.since]
    for reading in shown:
        if reading.raw is not None and not reading.set_aside and frame.holds(reading.raw):
            yield Ring("raw", (frame.x(reading.at), frame.y(reading.raw)), 2.6)
    for reading in shown:
        if reading.set_aside:
            yield from _set_aside(frame, reading)
        else:
            yield Ring("corrected", (frame.x(reading.at), frame.y(reading.corrected)), 2.9)


def _set_aside(frame: Frame, reading: ReadingPoint) -> Iterator[Shape]:
    x, y = frame.x(reading.at), frame.y(reading.corrected)
    yield Cross("aside", (x, y), 4.0)
    if not frame.holds(reading.corrected):
        # An arrow says that the reading lies beyond the edge at which it is drawn.
        tip, base = (y - 12, y - 7) if reading.corrected > frame.high else (y + 12, y + 7)
        yield Line("aside", ((x - 3.5, base), (x, tip), (x + 3.5, base)))


def _trend(frame: Frame, history: PartHistory) -> Iterator[Shape]:
    trend = history.trend
    if trend is None:
        return
    start = max(trend.since, frame.since)
    yield Area("band", _outline(frame, trend, start, trend.at))
    yield Line("trend", (_at(frame, trend, start), _at(frame, trend, trend.at)))
    if history.forecast_until and history.forecast_until > trend.at:
        yield Area("forecast band", _outline(frame, trend, trend.at, history.forecast_until))
        yield Line("forecast", _inside(frame, trend, history.forecast_until))
    x = frame.x(history.now)
    if x < RIGHT - 2:
        yield Line("today", ((x, TOP), (x, BOTTOM)))
        yield Words("small", (x, TOP - 9), "today", SMALL, "middle" if x < RIGHT - 18 else "end")


def _at(frame: Frame, trend: TrendLine, moment: datetime) -> Point:
    return frame.x(moment), frame.y(trend.value + trend.rate_per_day * _days(trend, moment))


def _days(trend: TrendLine, moment: datetime) -> float:
    return (moment - trend.at) / timedelta(days=1)


def _inside(frame: Frame, trend: TrendLine, until: datetime) -> tuple[Point, ...]:
    # In steps, so that the line ends where it leaves the window and does not creep along the edge.
    steps = [trend.at + (until - trend.at) * count / 24 for count in range(25)]
    kept = [step for step in steps if frame.holds(trend.value + trend.rate_per_day * _days(trend, step))]
    return tuple(_at(frame, trend, step) for step in kept)


def _outline(frame: Frame, trend: TrendLine, since: datetime, until: datetime) -> tuple[Point, ...]:
    upper, lower = [], []
    for moment in (since + (until - since) * count / 12 for count in range(13)):
        days = _days(trend, moment)
        middle = trend.value + trend.rate_per_day * days
        # Level and rate err independently; backwards the level's own interval is shown, for the readings were there.
        ahead = max(days, 0.0)
        above = math.hypot(trend.high - trend.value, (trend.rate_high - trend.rate_per_day) * ahead)
        below = math.hypot(trend.value - trend.low, (trend.rate_per_day - trend.rate_low) * ahead)
        upper.append((frame.x(moment), frame.y(middle + above)))
        lower.append((frame.x(moment), frame.y(middle - below)))
    return (*upper, *reversed(lower))
