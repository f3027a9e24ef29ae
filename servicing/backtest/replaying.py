"""What an operator would have been told, reading by reading, with the settings it has or others."""

from __future__ import annotations

import math
import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from typing import Final

import numpy as np
import numpy.typing as npt

from calculations.drift import FINDINGS, Episodes, Level, Replay, Settings, replay, told_level
from fleet.gear.models import StrutInstallation
from servicing.backtest.stays import as_judged
from servicing.drift.gather import gather_struts
from servicing.drift.places import Place
from servicing.drift.settings import settings_of

STRUTS_AT_ONCE: Final = 2000
_EPOCH: Final = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Told:
    """One finding as it would have been told; rates in inches per month, negative when losing, of losses only."""

    aircraft: str
    leg: str
    opened_at: datetime
    closed_at: datetime | None
    level: str
    finding: str
    rate_in_per_month: float | None = None
    rate_low: float | None = None
    rate_high: float | None = None
    breach_on: date | None = None
    breach_low: date | None = None
    breach_high: date | None = None


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
    """Return everything that readings of the operator's history would have told, by aircraft, leg and day.

    A loss is told as it was when its alert opened. What the work or the calendar alone tells, such as two top-ups
    close together, is not in it.
    """
    rows = StrutInstallation.objects.of(operator_id).order_by("strut_id").values_list("strut_id", flat=True)
    strut_ids = list(rows.distinct())
    found: list[Told] = []
    for start in range(0, len(strut_ids), STRUTS_AT_ONCE):
        judged = as_judged(gather_struts(operator_id, strut_ids[start : start + STRUTS_AT_ONCE]))
        replayed = replay(judged.histories, settings, since_day=judged.since_day)
        found += [*_losses(judged.places, replayed), *_others(judged.places, replayed.others)]
    return sorted(found, key=lambda one: (one.aircraft, one.leg, one.opened_at))


def _losses(places: Sequence[Place], found: Replay) -> Iterator[Told]:
    opened = found.as_opened
    episodes = Episodes(found.series, found.opened_day, found.closed_day, opened.finding)
    for number, told in enumerate(_episodes(places, episodes, opened.level)):
        yield replace(
            told,
            rate_in_per_month=_finite(-opened.loss_in_per_month[number]),
            rate_low=_finite(-opened.loss_high[number]),
            rate_high=_finite(-opened.loss_low[number]),
            breach_on=_day(opened.breach_day[number]),
            breach_low=_day(opened.breach_low_day[number]),
            breach_high=_day(opened.breach_high_day[number]),
        )


def _others(places: Sequence[Place], found: Episodes) -> Iterator[Told]:
    return _episodes(places, found, told_level(found.finding))


def _episodes(places: Sequence[Place], found: Episodes, level: npt.NDArray[np.int64]) -> Iterator[Told]:
    columns = (found.series, found.opened_day, found.closed_day, level, found.finding)
    for series, opened_day, closed_day, grade, finding in zip(*(one.tolist() for one in columns), strict=True):
        opened_at = _moment(opened_day)
        leg = places[series].leg_at(opened_at)
        yield Told(
            aircraft=leg.registration,
            leg=leg.position,
            opened_at=opened_at,
            closed_at=_moment(closed_day) if math.isfinite(closed_day) else None,
            level=Level(grade).name.lower(),
            finding=FINDINGS[finding].value,
        )


def _moment(day: float) -> datetime:
    return _EPOCH + timedelta(seconds=round(float(day) * 86400))


def _day(day: float) -> date | None:
    return (_EPOCH + timedelta(days=math.floor(day))).date() if math.isfinite(day) else None


def _finite(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None
