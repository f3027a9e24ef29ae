"""What an operator would have been told of losses, reading by reading, with the settings it has or others."""

from __future__ import annotations

import math
import uuid
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from typing import Final

from calculations.drift import FINDINGS, Level, Replay, Settings, replay
from fleet.gear.models import StrutInstallation
from servicing.drift.gather import StrutHistories, gather_struts
from servicing.drift.settings import settings_of

STRUTS_AT_ONCE: Final = 2000
_EPOCH: Final = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Told:
    """One alert for a loss as it would have been opened; rates in inches per month, negative when losing."""

    aircraft: str
    leg: str
    opened_at: datetime
    closed_at: datetime | None
    level: str
    finding: str
    rate_in_per_month: float | None
    rate_low: float | None
    rate_high: float | None
    breach_on: date | None
    breach_low: date | None
    breach_high: date | None


def chosen_settings(
    operator_id: uuid.UUID, *, false_alarms_per_year: float | None = None, notice_days: float | None = None
) -> Settings:
    """Return the operator's settings with other thresholds, if any; raise `CalculationError` out of range."""
    own = settings_of(operator_id)
    return replace(
        own,
        false_alarms_per_year=own.false_alarms_per_year if false_alarms_per_year is None else false_alarms_per_year,
        notice_days=own.notice_days if notice_days is None else notice_days,
    )


def told(operator_id: uuid.UUID, settings: Settings) -> list[Told]:
    """Return every alert for a loss in the operator's history, by aircraft, leg and day.

    Only what the statistic of the readings would have opened: findings of the day, such as a strut out of
    limits or a reading to repeat, have no threshold to choose.
    """
    rows = StrutInstallation.objects.of(operator_id).order_by("strut_id").values_list("strut_id", flat=True)
    strut_ids = list(rows.distinct())
    found: list[Told] = []
    for start in range(0, len(strut_ids), STRUTS_AT_ONCE):
        gathered = gather_struts(operator_id, strut_ids[start : start + STRUTS_AT_ONCE])
        found += _told_of(gathered, replay(gathered.histories, settings))
    return sorted(found, key=lambda one: (one.aircraft, one.leg, one.opened_at))


def _told_of(gathered: StrutHistories, found: Replay) -> Iterator[Told]:
    opened = found.as_opened
    for number, series in enumerate(found.series.tolist()):
        opened_at = _moment(found.opened_day[number])
        closed_day = float(found.closed_day[number])
        leg = gathered.places[series].leg_at(opened_at)
        yield Told(
            aircraft=leg.registration,
            leg=leg.position,
            opened_at=opened_at,
            closed_at=_moment(closed_day) if math.isfinite(closed_day) else None,
            level=Level(int(opened.level[number])).name.lower(),
            finding=FINDINGS[opened.finding[number]].value,
            rate_in_per_month=_finite(-opened.loss_in_per_month[number]),
            rate_low=_finite(-opened.loss_high[number]),
            rate_high=_finite(-opened.loss_low[number]),
            breach_on=_day(opened.breach_day[number]),
            breach_low=_day(opened.breach_low_day[number]),
            breach_high=_day(opened.breach_high_day[number]),
        )


def _moment(day: float) -> datetime:
    return _EPOCH + timedelta(seconds=round(float(day) * 86400))


def _day(day: float) -> date | None:
    return (_EPOCH + timedelta(days=math.floor(day))).date() if math.isfinite(day) else None


def _finite(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None
