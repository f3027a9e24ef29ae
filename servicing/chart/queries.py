"""The rows behind one part's chart, in the units of whoever looks."""

import uuid
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, date, datetime, time, timedelta
from typing import Any, Final

from calculations import units
from fleet.aircraft.models import Leg, TypeSheet
from fleet.gear.models import StrutInstallation, TyreInstallation
from fleet.operators.models import Operator
from servicing.chart.history import Limit, PartHistory, ReadingPoint, TrendLine, WorkMark
from servicing.chart.summary import summarise
from servicing.drift.models import StrutStanding, TyreStanding
from servicing.drift.qualified_words import qualifications
from servicing.readings.models import StrutReading, TyreReading
from servicing.work.models import Servicing

SHOWN_DAYS: Final = 365
FORECAST_DAYS: Final = 180
_TREND_DAYS: Final = 120
_DAYS_PER_MONTH: Final = 365.25 / 12
# A cold tyre below this share of its service pressure is to be inflated and looked at: tyre care manuals, AC 20-97B.
_LOW_PRESSURE: Final = 0.95


class _Shown:
    """Turns internal values into the unit that the chart shows."""

    def __init__(self, quantity: str, unit_system: str) -> None:
        unit = units.display_unit(quantity, unit_system)
        self.symbol, self._scale = unit.symbol, units.scale(unit, quantity)
        self.decimals = {"in": 2, "psi": 0}.get(unit.symbol, 0)

    def __call__(self, value: float) -> float:
        return float(self._scale.outward(value))

    def change(self, value: float) -> float:
        """Return a difference, which an offset between the units' zeros does not touch."""
        return value / self._scale.factor


def history_of(
    operator: Operator,
    *,
    strut_id: uuid.UUID | None,
    tyre_id: uuid.UUID | None,
    now: datetime,
    unit_system: str,
    days: int = SHOWN_DAYS,
) -> PartHistory:
    """Return the history of one strut or one tyre over the last ``days``."""
    if strut_id is not None:
        return strut_history(operator, strut_id, now=now, unit_system=unit_system, days=days)
    if tyre_id is not None:
        return tyre_history(operator, tyre_id, now=now, unit_system=unit_system, days=days)
    raise ValueError("name a strut or a tyre")


def strut_history(
    operator: Operator, strut_id: uuid.UUID, *, now: datetime, unit_system: str, days: int = SHOWN_DAYS
) -> PartHistory:
    """Return what the chart of a strut shows."""
    shown = _Shown("length", unit_system)
    leg = _leg(StrutInstallation.objects.of(operator).filter(strut=strut_id))
    standing = StrutStanding.objects.of(operator).filter(strut=strut_id).first()
    since = now - timedelta(days=days)
    rows = StrutReading.objects.of(operator).filter(strut=strut_id)
    readings = _points(
        rows.filter(taken_at__gte=since, superseded=False, withdrawn=False)
        .order_by("taken_at", "id")
        .values_list("id", "taken_at", "extension_in", "corrected_in"),
        standing.evidence if standing else {},
        shown,
    )
    work = _work(Servicing.objects.of(operator).filter(strut=strut_id), since)
    remarks = qualifications(standing.evidence if standing else {}, unit_system).values()
    return PartHistory(
        title=_title(leg, "strut"),
        measure="extension at the sheet's temperature and load",
        unit=shown.symbol,
        decimals=shown.decimals,
        now=now,
        since=since,
        readings=readings,
        work=work,
        limits=_strut_limits(leg.sheet, shown) if leg else (),
        trend=(trend := _strut_trend(standing, work, shown)),
        forecast_until=_forecast_until(standing, now) if trend else None,
        summary=summarise(standing, leg.sheet if leg else None, readings, shown.symbol, shown.decimals, remarks),
    )


def tyre_history(
    operator: Operator, tyre_id: uuid.UUID, *, now: datetime, unit_system: str, days: int = SHOWN_DAYS
) -> PartHistory:
    """Return what the chart of a tyre shows."""
    shown = _Shown("gauge_pressure", unit_system)
    leg = _leg(TyreInstallation.objects.of(operator).filter(tyre=tyre_id))
    standing = TyreStanding.objects.of(operator).filter(tyre=tyre_id).first()
    since = now - timedelta(days=days)
    rows = TyreReading.objects.of(operator).filter(tyre=tyre_id, corrected_psig__isnull=False)
    readings = _points(
        rows.filter(taken_at__gte=since, superseded=False, withdrawn=False)
        .order_by("taken_at", "id")
        .values_list("id", "taken_at", "pressure_psig", "corrected_psig"),
        standing.evidence if standing else {},
        shown,
    )
    return PartHistory(
        title=_title(leg, "tyre"),
        measure="pressure, cold, at the reference temperature",
        unit=shown.symbol,
        decimals=shown.decimals,
        now=now,
        since=since,
        readings=readings,
        work=_work(Servicing.objects.of(operator).filter(tyre=tyre_id), since),
        limits=_tyre_limits(leg.sheet, shown) if leg else (),
        trend=None,
        forecast_until=None,
        summary=summarise(standing, leg.sheet if leg else None, readings, shown.symbol, shown.decimals),
    )


def _leg(installations: Any) -> Leg | None:
    latest = installations.select_related("leg__aircraft", "leg__sheet").order_by("-installed_at").first()
    return latest.leg if latest else None


def _title(leg: Leg | None, part: str) -> str:
    return f"{leg.aircraft.registration} {leg.position} {part}" if leg else f"{part}, never installed"


def _points(
    rows: Iterable[tuple[uuid.UUID, datetime, float | None, float | None]], evidence: Mapping[str, Any], shown: _Shown
) -> tuple[ReadingPoint, ...]:
    aside = {entry["reading"] for entry in evidence.get("set_aside", ())}
    return tuple(
        ReadingPoint(at, None if raw is None else shown(raw), shown(corrected), str(reading_id) in aside)
        for reading_id, at, raw, corrected in rows
        if corrected is not None
    )


def _work(rows: Any, since: datetime) -> tuple[WorkMark, ...]:
    done = rows.filter(done_at__gte=since, superseded=False, withdrawn=False).order_by("done_at", "id")
    return tuple(WorkMark(at, work) for at, work in done.values_list("done_at", "work"))


def _strut_limits(sheet: TypeSheet, shown: _Shown) -> tuple[Limit, ...]:
    return (
        Limit("high limit", shown(sheet.high_limit_in)),
        Limit("target", shown(sheet.target_extension_in)),
        Limit("low limit", shown(sheet.low_limit_in)),
    )


def _tyre_limits(sheet: TypeSheet, shown: _Shown) -> tuple[Limit, ...]:
    if sheet.tyre_service_pressure_psig is None:
        return ()
    return (
        Limit("target", shown(sheet.tyre_service_pressure_psig)),
        Limit("low limit", shown(sheet.tyre_service_pressure_psig * _LOW_PRESSURE)),
    )


def _strut_trend(standing: StrutStanding | None, work: Sequence[WorkMark], shown: _Shown) -> TrendLine | None:
    if standing is None or standing.last_reading_at is None:
        return None
    figures = [
        standing.extension_in,
        standing.extension_low_in,
        standing.extension_high_in,
        standing.rate_in_per_month,
        standing.rate_low,
        standing.rate_high,
    ]
    if any(figure is None for figure in figures):
        return None
    level, low, high, rate, rate_low, rate_high = (float(figure or 0.0) for figure in figures)
    return TrendLine(
        since=_trend_since(standing, work),
        at=standing.last_reading_at,
        value=shown(level),
        low=shown(low),
        high=shown(high),
        rate_per_day=shown.change(rate) / _DAYS_PER_MONTH,
        rate_low=shown.change(rate_low) / _DAYS_PER_MONTH,
        rate_high=shown.change(rate_high) / _DAYS_PER_MONTH,
    )


def _trend_since(standing: StrutStanding, work: Sequence[WorkMark]) -> datetime:
    last = standing.last_reading_at
    assert last is not None  # noqa: S101  # the caller looked
    starts = [last - timedelta(days=_TREND_DAYS), *(mark.at for mark in work if mark.at < last)]
    if losing_since := standing.evidence.get("losing_since"):
        starts = [datetime.combine(date.fromisoformat(losing_since), time(), UTC), *starts[1:]]
    return min(max(starts), last)


def _forecast_until(standing: StrutStanding | None, now: datetime) -> datetime | None:
    if standing is None or not standing.evidence.get("losing_since"):
        return None
    breach = standing.breach_high or standing.breach_on
    furthest = now + timedelta(days=FORECAST_DAYS)
    return min(datetime.combine(breach, time(), UTC), furthest) if breach else now + timedelta(days=30)
