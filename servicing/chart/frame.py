"""From days and values to places in the picture, and where the axes carry figures."""

import math
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Final

from servicing.chart.history import PartHistory

WIDTH: Final = 400
HEIGHT: Final = 330
LEFT, RIGHT, TOP, BOTTOM = 40.0, 392.0, 64.0, 248.0
_SECONDS_PER_DAY: Final = 86400.0


@dataclass(frozen=True, slots=True)
class Frame:
    """The window that the picture shows."""

    since: datetime
    until: datetime
    low: float
    high: float

    def x(self, moment: datetime) -> float:
        """Return the place of a moment."""
        share = (moment - self.since) / (self.until - self.since)
        return LEFT + (RIGHT - LEFT) * min(max(share, 0.0), 1.0)

    def y(self, value: float) -> float:
        """Return the place of a value; one beyond the window is drawn at its edge."""
        share = (value - self.low) / (self.high - self.low)
        return BOTTOM - (BOTTOM - TOP) * min(max(share, 0.0), 1.0)

    def holds(self, value: float) -> bool:
        """Say whether a value lies inside the window."""
        return self.low <= value <= self.high


def frame_for(history: PartHistory) -> Frame:
    """Choose the window: the limits and every reading that counts; a wild one must not flatten the rest."""
    trusted = [reading for reading in history.readings if not reading.set_aside]
    values = [limit.value for limit in history.limits] + [reading.corrected for reading in trusted]
    values += [reading.raw for reading in trusted if reading.raw is not None]
    low, high = min(values, default=0.0), max(values, default=1.0)
    spare = max((high - low) * 0.06, 10.0**-history.decimals)
    until = max(history.now, history.forecast_until or history.now)
    return Frame(history.since, until, low - spare, high + spare)


def value_ticks(frame: Frame, wanted: int = 5) -> list[float]:
    """Return round values inside the window.

    >>> from datetime import UTC, datetime
    >>> value_ticks(Frame(datetime(2026, 1, 1, tzinfo=UTC), datetime(2026, 2, 1, tzinfo=UTC), 2.9, 5.2))
    [3.0, 3.5, 4.0, 4.5, 5.0]
    """
    rough = (frame.high - frame.low) / wanted
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(power * factor for factor in (1.0, 2.0, 2.5, 5.0, 10.0) if power * factor >= rough)
    first, last = math.ceil(frame.low / step), math.floor(frame.high / step)
    return [round(count * step, 10) for count in range(first, last + 1)]


def month_ticks(frame: Frame, most: int = 6) -> list[datetime]:
    """Return first days of months inside the window, evenly chosen and never more than ``most``.

    >>> from datetime import UTC, datetime
    >>> frame = Frame(datetime(2025, 11, 20, tzinfo=UTC), datetime(2026, 12, 1, tzinfo=UTC), 0.0, 1.0)
    >>> [tick.strftime("%Y-%m") for tick in month_ticks(frame)]
    ['2026-01', '2026-04', '2026-07', '2026-10']
    """
    months = (frame.until - frame.since).total_seconds() / _SECONDS_PER_DAY / 30.44
    every = next((count for count in (1, 2, 3, 6, 12) if months / count <= most), 24)
    found = []
    for number in range(frame.since.year * 12, frame.until.year * 12 + 12):
        tick = datetime(number // 12, number % 12 + 1, 1, tzinfo=UTC)
        if number % every == 0 and frame.since <= tick <= frame.until:
            found.append(tick)
    return found
