"""What qualifies a standing without changing it: a single step that fits better, and the newest pressure at rest."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from math import floor
from typing import Any, Final

import numpy as np

from calculations.drift import LOSSES, Assessments, CheckFirst, Finding
from calculations.drift.ageing import last_work
from calculations.drift.model import STRUT_MODEL
from calculations.drift.step_down import find_steps
from calculations.strut_pressure import DISAGREEING
from servicing.drift.gather import StrutHistories
from servicing.drift.gauged import Gauged

Row = dict[str, Any]

_OWN_LOOK_FIRST: Final = frozenset({*LOSSES, Finding.SETTLING})
_ROUNDED: Final = 1e-6  # days; the databases' own arithmetic differs from ours in the last place
_EPOCH: Final = date(1970, 1, 1)


def qualify(rows: Sequence[Row], gathered: StrutHistories, found: Assessments) -> None:
    """Add to the evidence of standings, in place, and say what to look at first where that is another thing now."""
    _by_steps(rows, gathered, found)
    worked = last_work(gathered.histories, STRUT_MODEL)
    for index, newest in _newest(gathered.gauged).items():
        if newest.day > worked[index] and _read_after(gathered, index, newest.day) < STRUT_MODEL.rules.few_readings:
            _by_pressure(rows[index], newest)


def _by_steps(rows: Sequence[Row], gathered: StrutHistories, found: Assessments) -> None:
    steps = find_steps(gathered.histories, found)
    for index in np.flatnonzero(np.isfinite(steps.day)).tolist():
        row = rows[index]
        row["evidence"]["single_step"] = {
            "on": _iso(steps.day[index]),
            "earliest": _iso(steps.earliest_day[index]),
            "latest": _iso(steps.latest_day[index]),
            "down_in": round(float(steps.down_in[index]), 3),
        }
        if row["finding"] == Finding.LOSING_CHARGE:  # what was seen of gas or fluid tells more
            row["evidence"]["check_first"] = CheckFirst.ASK_WHO_WORKED.value


def _newest(gauged: Sequence[Gauged]) -> dict[int, Gauged]:
    return {one.series: one for one in gauged}


def _read_after(gathered: StrutHistories, index: int, day: float) -> int:
    own = slice(*gathered.histories.offsets[index : index + 2])
    return int((gathered.histories.readings.day[own] > day + _ROUNDED).sum())


def _by_pressure(row: Row, newest: Gauged) -> None:
    found = newest.found
    row["evidence"]["pressure_check"] = {
        "reading": str(newest.reading_id),
        "verdict": found.verdict.value,
        "pressure_psig": round(found.pressure_psig, 3),
        "carried_lbf": round(found.carried_lbf, 3),
        "load_lbf": round(found.load_lbf, 3),
        "excess": round(found.excess, 5),
        "excess_sd": round(found.excess_sd, 5),
    }
    if found.verdict in DISAGREEING and row["finding"] not in _OWN_LOOK_FIRST:
        row["evidence"]["check_first"] = CheckFirst.CHECK_LOAD_AND_FRICTION.value


def _iso(day: float) -> str:
    return (_EPOCH + timedelta(days=floor(day))).isoformat()
