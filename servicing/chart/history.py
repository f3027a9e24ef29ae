"""What a chart shows, in the units in which it shows it."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class ReadingPoint:
    """One reading, as it was read and as it is at the sheet's conditions."""

    at: datetime
    raw: float | None
    corrected: float
    set_aside: bool = False


@dataclass(frozen=True, slots=True)
class WorkMark:
    """Work done at one time."""

    at: datetime
    work: str


@dataclass(frozen=True, slots=True)
class Limit:
    """One level that the chart names at its edge."""

    name: str
    value: float


@dataclass(frozen=True, slots=True)
class TrendLine:
    """The fitted line: its value at ``at`` and its rate, each with the ends of its interval."""

    since: datetime
    at: datetime
    value: float
    low: float
    high: float
    rate_per_day: float
    rate_low: float
    rate_high: float


@dataclass(frozen=True, slots=True)
class PartHistory:
    """Everything that one chart draws."""

    title: str
    measure: str
    unit: str
    decimals: int
    now: datetime
    since: datetime
    readings: tuple[ReadingPoint, ...]
    work: tuple[WorkMark, ...]
    limits: tuple[Limit, ...]
    trend: TrendLine | None
    forecast_until: datetime | None
    summary: str
