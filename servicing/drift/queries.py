"""One part's history as the drift computation sees it, computed anew: for charts, trends and explanations."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

import numpy as np
import numpy.typing as npt

from calculations.drift import DISPOSITIONS, Assessments, Histories, Part, assess, assess_tyres
from servicing.drift.conclude import number, strut_rows, tyre_rows
from servicing.drift.flown import not_yet_flown
from servicing.drift.gather import gather_struts
from servicing.drift.gather_tyres import gather_tyres
from servicing.drift.places import Place
from servicing.drift.settings import settings_of
from servicing.drift.tyre_state import tyre_states
from servicing.drift.work_done import day_of


@dataclass(frozen=True, slots=True)
class TrendPoint:
    """One reading: as read, at the sheet's conditions, what became of it, and the level known then with its sd.

    Lengths in inches for a strut. For a tyre ``raw`` and ``corrected`` are percent of the charge that gives
    service pressure.
    """

    reading_id: uuid.UUID
    at: datetime
    raw: float
    corrected: float
    disposition: str
    fitted: float | None
    fitted_sd: float | None


@dataclass(frozen=True, slots=True)
class Trend:
    """One part's readings in order of time, where it is, and its standing (names as on the standing row)."""

    place: Place
    points: tuple[TrendPoint, ...]
    standing: dict[str, Any]


def strut_trend(operator_id: uuid.UUID, strut_id: uuid.UUID, *, now: datetime) -> Trend | None:
    """Return a strut's trend, or None if it was never on a leg of this operator."""
    gathered = gather_struts(operator_id, [strut_id])
    if not gathered.places:
        return None
    settings = settings_of(operator_id)
    found = assess(gathered.histories, now_day=day_of(now), settings=settings)
    ids = [gathered.columns.id_of(int(row)) for row in gathered.histories.source_row]
    # As the chart and the row show it: a reading taken on another leg is told in that leg's own inches.
    points = _points(gathered.histories, found, ids, gathered.raised_in[gathered.histories.source_row])
    unflown = not_yet_flown(operator_id, gathered.places, gathered.done, now=now)
    row = strut_rows(gathered, found, settings, unflown, now_day=day_of(now))[0]
    return Trend(gathered.places[0], points, row)


def tyre_trend(operator_id: uuid.UUID, tyre_id: uuid.UUID, *, now: datetime) -> Trend | None:
    """Return a tyre's trend, or None if it was never on a leg or its sheet has no service pressure."""
    gathered = gather_tyres(operator_id, [tyre_id])
    if not gathered.places:
        return None
    settings = settings_of(operator_id, Part.TYRE)
    found = assess_tyres(
        gathered.histories, gathered.tyres, now_day=day_of(now), settings=settings, after_work=gathered.after_work
    )
    ids = [gathered.reading_ids[int(row)] for row in gathered.histories.source_row]
    points = _points(gathered.histories, found.drift, ids, np.zeros(len(ids)))
    states = tyre_states(operator_id, gathered, now=now)
    return Trend(gathered.places[0], points, tyre_rows(gathered, found, settings, states)[0])


def _points(
    histories: Histories, found: Assessments, ids: list[uuid.UUID], raised: npt.NDArray[np.float64]
) -> tuple[TrendPoint, ...]:
    readings = histories.readings
    return tuple(
        TrendPoint(
            reading_id=ids[row],
            at=datetime.fromtimestamp(readings.day[row] * 86400, UTC),
            raw=float(readings.raw_in[row] - raised[row]),
            corrected=float(readings.corrected_in[row] - raised[row]),
            disposition=DISPOSITIONS[found.disposition[row]].value,
            fitted=number(found.fitted_in[row] - raised[row]),
            fitted_sd=number(found.fitted_sd_in[row]),
        )
        for row in range(len(readings.day))
    )
