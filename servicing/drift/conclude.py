"""Assessments as plain values, one row per part, ready to be stored and compared."""

from __future__ import annotations

import math
import uuid
from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from calculations.drift import (
    DISPOSITIONS,
    FINDINGS,
    LOSSES,
    SET_ASIDE,
    Assessments,
    CheckFirst,
    Finding,
    Histories,
    Settings,
    TyreAssessments,
)
from calculations.drift import Level as Grade
from calculations.drift.false_alarms import false_alarm_rate_at
from servicing.drift.gather import StrutHistories
from servicing.drift.gather_tyres import TyreHistories
from servicing.drift.models import Level
from servicing.drift.qualified import qualify
from servicing.drift.top_ups import CLOSE_TOGETHER_DAYS, Repeated, repeated_top_ups

_FINDINGS: Final = tuple(finding.value for finding in FINDINGS)
_LEVELS: Final = {int(grade): Level[grade.name].value for grade in Grade}
_EPOCH: Final = date(1970, 1, 1)
_UNSAID_WHILE_SETTLING: Final = frozenset({Finding.STEADY, Finding.STICKY, Finding.TEMPERATURE_ONLY})
_LOSING: Final = frozenset(finding.value for finding in LOSSES)

Row = dict[str, Any]


def strut_rows(
    gathered: StrutHistories, found: Assessments, settings: Settings, unflown: Iterable[int], *, now_day: float
) -> list[Row]:
    """Return the standing of each strut, by the names of `StrutStanding`; ``unflown`` as of `not_yet_flown`."""
    histories = gathered.histories
    ids = [gathered.columns.id_of(int(row)) for row in _rows_shown(histories, found)]
    common = _common_rows(histories, found, settings, ids)
    own = _as_rows(
        extension_in=numbers(found.level_in),
        extension_low_in=numbers(found.level_low_in),
        extension_high_in=numbers(found.level_high_in),
        rate_in_per_month=numbers(-found.loss_in_per_month),
        rate_low=numbers(-found.loss_high),
        rate_high=numbers(-found.loss_low),
        probability_fluid=numbers(np.where(found.losing, found.fluid_probability, np.nan)),
    )
    learned = _as_rows(
        temperature_slope_in_per_f=numbers(found.temperature_slope_in_per_f, 5),
        load_slope_in_per_lbf=numbers(found.load_slope_in_per_lbf, 5),
        noise_exercised=numbers(found.noise_factor_exercised, 3),
        noise_resting=numbers(found.noise_factor_resting, 3),
    )
    for row, values, evidence in zip(common, own, learned, strict=True):
        row |= values
        row["evidence"] |= evidence
    for index in unflown:
        _let_settle(common[index], now_day)
    qualify(common, gathered, found)
    for index, pair in repeated_top_ups(gathered.done, histories.seen, now_day=now_day).items():
        _suspect_leak(common[index], pair, float(found.fluid_probability[index]))
    return common


def _look_again(row: Row, day: float) -> None:
    """Have the part looked at again by then at the latest."""
    by = _date(math.ceil(day))
    row["changes_on"] = by if row["changes_on"] is None else min(by, row["changes_on"])


def _let_settle(row: Row, now_day: float) -> None:
    """Wait for the next flights, where nothing worse is known; whether there were any shows from day to day."""
    _look_again(row, now_day + 1.0)
    if row["finding"] in _UNSAID_WHILE_SETTLING:
        row |= {"finding": Finding.SETTLING.value, "level": Level.NONE.value}
        row["evidence"] |= {"check_first": CheckFirst.FLY_AND_READ_AGAIN.value}


def _suspect_leak(row: Row, pair: Repeated, probability_fluid: float) -> None:
    """Let repeated top-ups speak, where nothing worse is known already."""
    _look_again(row, pair.second_day + CLOSE_TOGETHER_DAYS)
    row["evidence"] |= {
        "repeated_top_ups": [_iso(_date(pair.first_day)), _iso(_date(pair.second_day))],
        "check_first": CheckFirst.CHECK_FLUID_LEVEL.value,
    }
    if row["level"] in (Level.NONE, Level.ADVISORY) and row["finding"] not in _LOSING:
        row |= {
            "finding": Finding.LOSING_CHARGE.value,
            "level": Level.ADVISORY.value,
            "probability_fluid": number(probability_fluid),
        }


def tyre_rows(
    gathered: TyreHistories, found: TyreAssessments, settings: Settings, states: Sequence[Row]
) -> list[Row]:
    """Return the standing of each tyre, by the names of `TyreStanding`; ``states`` as of `tyre_states`."""
    ids = [gathered.reading_ids[int(row)] for row in _rows_shown(gathered.histories, found.drift)]
    common = _common_rows(gathered.histories, found.drift, settings, ids)
    own = _as_rows(
        pressure_psig=numbers(found.pressure_now_psig),
        rate_percent_per_day=numbers(-found.loss_percent_per_day),
        rate_low=numbers(-found.loss_high),
        rate_high=numbers(-found.loss_low),
    )
    last_cold = _last_cold_days(gathered.histories).tolist()
    for index, (row, values, state) in enumerate(zip(common, own, states, strict=True)):
        row |= values
        row["last_reading_at"] = _moment(last_cold[index])
        row |= {name: state[name] for name in ("band", "landings_to_wear_limit")}
        row["evidence"] |= {name: state[name] for name in ("pressure_check", "tread")}
        row["evidence"]["fast"] = bool(found.fast[index])
        if found.fast[index]:
            # Two readings decide, and waiting for more could end flat.
            tomorrow = row["last_reading_at"].date() + timedelta(days=1)
            row["evidence"] |= {"check_first": CheckFirst.READ_AGAIN.value, "read_again_on": tomorrow.isoformat()}
    return common


def number(value: float, digits: int = 6) -> float | None:
    """Return a number that JSON and the database can hold, or None."""
    return round(float(value), digits) if math.isfinite(value) else None


def numbers(values: npt.NDArray[np.float64], digits: int = 6) -> list[float | None]:
    """Return numbers that JSON and the database can hold, or None, of many values."""
    rounded: list[float] = np.round(values, digits).tolist()
    return [value if math.isfinite(value) else None for value in rounded]


def _as_rows(**columns: Sequence[Any]) -> list[Row]:
    return [dict(zip(columns, values, strict=True)) for values in zip(*columns.values(), strict=True)]


def _common_rows(histories: Histories, found: Assessments, settings: Settings, ids: Sequence[uuid.UUID]) -> list[Row]:
    shown = _shown(histories, found)
    by_series: list[list[Row]] = [[] for _ in range(histories.count)]
    for reading_id, at in zip(ids, shown, strict=True):
        reason = DISPOSITIONS[found.disposition[at]]
        by_series[int(histories.readings.series[at])].append({"reading": str(reading_id), "reason": reason.value})
    last_day = _last_days(histories)
    by_chance = np.where(found.losing, false_alarm_rate_at(found.evidence, settings), np.nan)
    standing = _as_rows(
        finding=[_FINDINGS[number] for number in found.finding.tolist()],
        level=[_LEVELS[number] for number in found.level.tolist()],
        false_alarm_rate=numbers(by_chance),
        last_reading_at=[_moment(day) for day in last_day.tolist()],
        changes_on=[_date(math.ceil(day)) if math.isfinite(day) else None for day in found.changes_day.tolist()],
        breach_on=[_date(day) for day in found.breach_day.tolist()],
        breach_low=[_date(day) for day in found.breach_low_day.tolist()],
        breach_high=[_date(day) for day in found.breach_high_day.tolist()],
    )
    evidence = _as_rows(
        check_first=[look.value for look in found.check_first],
        service_now=found.service_now.tolist(),
        losing_since=[_iso(_date(day)) for day in found.onset_day.tolist()],
        strength=numbers(found.evidence, 3),
        strength_needed=numbers(found.evidence_needed, 3),
        readings_used=found.readings_used.tolist(),
        readings_set_aside=found.readings_set_aside.tolist(),
        set_aside=by_series,
        suspect_last_reading=found.suspect_last_reading.tolist(),
    )
    return [row | {"evidence": why} for row, why in zip(standing, evidence, strict=True)]


def _shown(histories: Histories, found: Assessments) -> npt.NDArray[np.int64]:
    """Return the places, in histories order, of readings that were set aside."""
    aside = np.isin(found.disposition, [number for number, name in enumerate(DISPOSITIONS) if name in SET_ASIDE])
    return np.flatnonzero(aside)


def _rows_shown(histories: Histories, found: Assessments) -> npt.NDArray[np.int64]:
    return np.asarray(histories.source_row[_shown(histories, found)])


def _last_days(histories: Histories) -> npt.NDArray[np.float64]:
    ends = histories.offsets[1:]
    some = ends > histories.offsets[:-1]
    days = np.full(histories.count, np.nan)
    days[some] = histories.readings.day[ends[some] - 1]
    return days


def _last_cold_days(histories: Histories) -> npt.NDArray[np.float64]:
    """Return when each tyre was last read cold; one only ever read hot waits for that since its first reading."""
    begins, ends = histories.offsets[:-1], histories.offsets[1:]
    some = ends > begins
    cold = histories.readings.exercised
    last = np.maximum.accumulate(np.where(cold, np.arange(len(cold)), -1))[ends[some] - 1]
    days = np.full(histories.count, np.nan)
    days[some] = histories.readings.day[np.maximum(last, begins[some])]
    return days


def _date(day: float) -> date | None:
    return _EPOCH + timedelta(days=math.floor(day)) if math.isfinite(day) else None


def _moment(day: float) -> datetime | None:
    return datetime.fromtimestamp(round(day * 86400), UTC) if math.isfinite(day) else None


def _iso(day: date | None) -> str | None:
    return day.isoformat() if day else None
