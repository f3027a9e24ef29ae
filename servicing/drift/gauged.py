"""Struts' pressures at rest, and which readings they show on the upper stop."""

from __future__ import annotations

import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from calculations.drift import Seen
from calculations.strut_pressure import PressureVerdict
from fleet.among import among
from servicing.drift.places import Place
from servicing.drift.work_done import day_of
from servicing.readings.history import StrutColumns
from servicing.readings.models import StrutReading
from servicing.readings.pressures import PressureAtRest, at_rest, pressures_at_rest


@dataclass(frozen=True, slots=True)
class Gauged:
    """One strut's pressure at rest; ``series`` counts as the places do."""

    series: int
    reading_id: uuid.UUID
    day: float
    found: PressureAtRest


def fetch_gauged(operator_id: uuid.UUID, places: Sequence[Place]) -> list[Gauged]:
    """Return what the live gauge readings of struts tell, oldest first."""
    number = {place.part_id: index for index, place in enumerate(places)}
    live = StrutReading.objects.of(operator_id).filter(superseded=False, withdrawn=False)
    rows = live.filter(among("strut_id", number), pressure_psig__isnull=False).select_related("gauge")
    readings = [row for row in rows.order_by("taken_at", "id") if at_rest(row)]
    legs = [places[number[row.strut_id]].leg_at(row.taken_at) for row in readings]
    return [
        Gauged(number[row.strut_id], row.id, day_of(row.taken_at), found)
        for row, found in zip(readings, pressures_at_rest(readings, legs), strict=True)
    ]


def on_the_stop(gauged: Sequence[Gauged], columns: StrutColumns) -> Iterator[tuple[int, float, int]]:
    """Return the readings on the upper stop as rows of things seen."""
    stopped = {one.reading_id for one in gauged if one.found.verdict is PressureVerdict.TOPPED_OUT}
    if not stopped:
        return
    series = sorted({one.series for one in gauged if one.reading_id in stopped})
    for row in np.flatnonzero(np.isin(columns.series, series)).tolist():
        if columns.id_of(row) in stopped:
            yield int(columns.series[row]), float(columns.day[row]), Seen.TOPPED_OUT
