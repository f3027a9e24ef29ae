"""The key under a chart: only what the chart shows."""

from collections.abc import Iterator, Mapping
from typing import Final

from servicing.chart.history import PartHistory
from servicing.chart.scene import Area, Cross, Line, Ring, Shape, Words

_LETTERS: Final[Mapping[str, str]] = {
    "gas added": "G",
    "gas released": "R",
    "fluid added": "F",
    "fluid changed": "F",
    "valve core replaced": "V",
    "seals replaced": "S",
    "cleaned": "C",
    "overhauled": "O",
    "tyre inflated": "I",
    "tyre changed": "N",
    "tyre turned": "T",
    "wheel bearing seen": "B",
}
_SIZE: Final = 12.0
_FIRST_LINE, _LINE, _SWATCH = 281.0, 17.0, 20.0
_COLUMNS: Final = (10.0, 138.0, 266.0)


def work_letter(work: str) -> str:
    """Return the letter that stands on a mark of work."""
    return _LETTERS.get(work, "W")


def legend(history: PartHistory) -> Iterator[Shape]:
    """Yield the key: three to a line, then the letters of the work shown."""
    keys = list(_keys(history))
    for number, (style, words) in enumerate(keys):
        x, y = _COLUMNS[number % 3], _FIRST_LINE + _LINE * (number // 3)
        yield from _swatch(style, x, y - 4)
        yield Words("small", (x + _SWATCH + 4, y), words, _SIZE)
    works = dict.fromkeys(mark.work for mark in history.work if mark.at >= history.since)
    if works:
        y = _FIRST_LINE + _LINE * ((len(keys) + 2) // 3)
        text = ", ".join(f"{work_letter(work)} {work}" for work in list(works)[:3])
        yield Words("work words", (_COLUMNS[0], y), text + (", ..." if len(works) > 3 else ""), _SIZE)


def _keys(history: PartHistory) -> Iterator[tuple[str, str]]:
    shown = [reading for reading in history.readings if reading.at >= history.since]
    if any(reading.raw is not None for reading in shown):
        yield "raw", "as read"
    yield "corrected", "corrected"
    if any(reading.set_aside for reading in shown):
        yield "aside", "set aside"
    if history.trend:
        yield "trend", "trend, 90 %"
        if history.forecast_until and history.forecast_until > history.trend.at:
            yield "forecast", "forecast"


def _swatch(style: str, x: float, y: float) -> Iterator[Shape]:
    middle = x + _SWATCH / 2
    if style == "aside":
        yield Cross(style, (middle, y), 4.0)
    elif style in {"raw", "corrected"}:
        yield Ring(style, (middle, y), 3.2)
    else:
        band = "band" if style == "trend" else "forecast band"
        yield Area(band, ((x, y - 5), (x + _SWATCH, y - 5), (x + _SWATCH, y + 5), (x, y + 5)))
        yield Line(style, ((x, y), (x + _SWATCH, y)))
