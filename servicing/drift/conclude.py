"""Assessments as plain values, one row per part, ready to be stored and compared."""

from __future__ import annotations

import math
import uuid
from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from calculations.drift import (
    DISPOSITIONS,
    FINDINGS,
    LOSSES,
    Assessments,
    CheckFirst,
    Disposition,
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
from servicing.drift.top_ups import Repeated, repeated_top_ups

SET_ASIDE_SHOWN: Final = 10
_LEVELS: Final = {Grade.NONE: Level.NONE, Grade.ADVISORY: Level.ADVISORY, Grade.CAUTION: Level.CAUTION,
                  Grade.WARNING: Level.WARNING}  # fmt: skip
_EPOCH: Final = date(1970, 1, 1)
_LOSING: Final = frozenset(finding.value for finding in LOSSES)
_ASIDE: Final = frozenset({Disposition.LONE_OUTLIER, Disposition.IMPOSSIBLE})

Row = dict[str, Any]


def strut_rows(gathered: StrutHistories, found: Assessments, settings: Settings, *, now_day: float) -> list[Row]:
    """Return the standing of each strut, by the names of `StrutStanding`."""
    histories = gathered.histories
    ids = [gathered.columns.id_of(int(row)) for row in _rows_shown(histories, found)]
    common = _common_rows(histories, found, settings, ids)
    own = {
        "extension_in": found.level_in,
        "extension_low_in": found.level_low_in,
        "extension_high_in": found.level_high_in,
        "rate_in_per_month": -found.loss_in_per_month,
        "rate_low": -found.loss_high,
        "rate_high": -found.loss_low,
        "probability_fluid": np.where(found.losing, found.fluid_probability, np.nan),
    }
    for index, row in enumerate(common):
        row.update({name: number(values[index]) for name, values in own.items()})
        row["evidence"] |= {
            "temperature_slope_in_per_f": number(found.temperature_slope_in_per_f[index], 5),
            "load_slope_in_per_lbf": number(found.load_slope_in_per_lbf[index], 5),
            "noise_exercised": number(found.noise_factor_exercised[index], 3),
            "noise_resting": number(found.noise_factor_resting[index], 3),
        }
    for index, pair in repeated_top_ups(gathered.done, histories.seen, now_day=now_day).items():
        _suspect_leak(common[index], pair, float(found.fluid_probability[index]))
    return common


def _suspect_leak(row: Row, pair: Repeated, probability_fluid: float) -> None:
    """Let repeated top-ups speak, where nothing worse is known already."""
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
    own = {
        "pressure_psig": found.pressure_now_psig,
        "rate_percent_per_day": -found.loss_percent_per_day,
        "rate_low": -found.loss_high,
        "rate_high": -found.loss_low,
    }
    for index, row in enumerate(common):
        row.update({name: number(values[index]) for name, values in own.items()})
        state = states[index]
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


def _common_rows(histories: Histories, found: Assessments, settings: Settings, ids: Sequence[uuid.UUID]) -> list[Row]:
    shown = _shown(histories, found)
    by_series: list[list[Row]] = [[] for _ in range(histories.count)]
    for reading_id, at in zip(ids, shown, strict=True):
        reason = DISPOSITIONS[found.disposition[at]]
        by_series[int(histories.readings.series[at])].append({"reading": str(reading_id), "reason": reason.value})
    by_chance = false_alarm_rate_at(found.evidence, settings)
    last_day = _last_days(histories)
    return [
        {
            "finding": FINDINGS[found.finding[index]].value,
            "level": _LEVELS[Grade(int(found.level[index]))].value,
            "false_alarm_rate": number(by_chance[index]) if found.losing[index] else None,
            "last_reading_at": _moment(last_day[index]),
            "breach_on": _date(found.breach_day[index]),
            "breach_low": _date(found.breach_low_day[index]),
            "breach_high": _date(found.breach_high_day[index]),
            "evidence": {
                "check_first": found.check_first[index].value,
                "service_now": bool(found.service_now[index]),
                "losing_since": _iso(_date(found.onset_day[index])),
                "strength": number(found.evidence[index], 3),
                "strength_needed": number(found.evidence_needed[index], 3),
                "readings_used": int(found.readings_used[index]),
                "readings_set_aside": int(found.readings_set_aside[index]),
                "set_aside": by_series[index][-SET_ASIDE_SHOWN:],
                "suspect_last_reading": bool(found.suspect_last_reading[index]),
            },
        }
        for index in range(histories.count)
    ]


def _shown(histories: Histories, found: Assessments) -> npt.NDArray[np.int64]:
    """Return the places, in histories order, of readings that were set aside."""
    aside = np.isin(found.disposition, [number for number, name in enumerate(DISPOSITIONS) if name in _ASIDE])
    return np.flatnonzero(aside)


def _rows_shown(histories: Histories, found: Assessments) -> npt.NDArray[np.int64]:
    return np.asarray(histories.source_row[_shown(histories, found)])


def _last_days(histories: Histories) -> npt.NDArray[np.float64]:
    ends = histories.offsets[1:]
    some = ends > histories.offsets[:-1]
    days = np.full(histories.count, np.nan)
    days[some] = histories.readings.day[ends[some] - 1]
    return days


def _date(day: float) -> date | None:
    return _EPOCH + timedelta(days=math.floor(day)) if math.isfinite(day) else None


def _moment(day: float) -> datetime | None:
    return datetime.fromtimestamp(round(day * 86400), UTC) if math.isfinite(day) else None


def _iso(day: date | None) -> str | None:
    return day.isoformat() if day else None
