"""Rows to arrays: all that is known of many struts, in the form that the drift computation takes."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

import numpy as np

from calculations.drift import Events, Histories, Readings, Seen, Struts, arrange
from calculations.drift import Work as Baseline
from calculations.strut import sensitivities
from servicing.drift.places import Place, strut_places
from servicing.readings.figures import SheetFigures, sheet_figures
from servicing.readings.history import LOOKS, SECONDS_PER_DAY, StrutColumns, fetch_struts
from servicing.readings.models import FluidLevel, FluidSeen, Observation
from servicing.work.models import Servicing, Work

BASELINES: Final = {
    Work.GAS_ADDED: Baseline.GAS_ADDED,
    Work.GAS_RELEASED: Baseline.GAS_RELEASED,
    Work.FLUID_ADDED: Baseline.FLUID_ADDED,
    Work.FLUID_CHANGED: Baseline.FLUID_CHANGED,
    Work.VALVE_CORE: Baseline.VALVE_CORE,
    Work.SEALS: Baseline.SEALS,
    Work.CLEANED: Baseline.CLEANING,
    Work.OVERHAULED: Baseline.OVERHAUL,
    Work.TYRE_INFLATED: Baseline.INFLATED,
    Work.TYRE_TURNED: Baseline.INFLATED,
    Work.TYRE_CHANGED: Baseline.INSTALLED,
    Work.BEARING_SEEN: Baseline.OTHER,
}
_SEEN: Final[dict[str, Seen]] = {
    FluidSeen.WET: Seen.FLUID_WET,
    FluidSeen.DRY: Seen.FLUID_DRY,
    FluidLevel.LOW: Seen.FLUID_LEVEL_LOW,
    FluidLevel.CORRECT: Seen.FLUID_LEVEL_OK,
    Observation.VALVE_BUBBLES: Seen.BUBBLES_AT_VALVE,
    Observation.HOLDS_ON_JACKS: Seen.HOLDS_PRESSURE_ON_JACKS,
    Observation.BOTTOMS_IN_TAXI: Seen.BOTTOMS_AT_NORMAL_EXTENSION,
}
# How far the sheet's own sensitivities may be off where its gas column or fluid volume is an estimate.
_TEMPERATURE_SLOPE_SD, _LOAD_SLOPE_SD = 0.0020, 0.0012


@dataclass(frozen=True, slots=True)
class StrutHistories:
    """Struts that were ever on a leg, with their histories in the same order."""

    places: list[Place]
    columns: StrutColumns
    histories: Histories


def gather_struts(operator_id: uuid.UUID, strut_ids: Sequence[uuid.UUID]) -> StrutHistories:
    """Fetch the histories of an operator's struts."""
    places = strut_places(operator_id, strut_ids)
    figures = sheet_figures([place.leg for place in places])
    columns = fetch_struts([place.part_id for place in places])
    return StrutHistories(
        places,
        columns,
        arrange(
            _readings(columns, figures),
            _struts(figures),
            work_events(operator_id, places, "strut_id"),
            _looks(columns),
        ),
    )


def day_of(moment: datetime) -> float:
    """Return a moment as days since 1970-01-01 UTC."""
    return moment.timestamp() / SECONDS_PER_DAY


def work_events(operator_id: uuid.UUID, places: Sequence[Place], part: str) -> Events:
    """Return what was done to the parts, and each installation after the first."""
    number = {place.part_id: index for index, place in enumerate(places)}
    rows = Servicing.objects.of(operator_id).filter(superseded=False, withdrawn=False)
    done = [
        (number[part_id], day_of(at), BASELINES[Work(work)])
        for part_id, at, work in rows.filter(**{f"{part}__in": list(number)}).values_list(part, "done_at", "work")
    ]
    moved = [
        (index, day_of(at), Baseline.INSTALLED) for index, place in enumerate(places) for at in place.installed_at[1:]
    ]
    return _events([*done, *moved])


def _events(rows: Iterable[tuple[int, float, int]]) -> Events:
    found = list(rows)
    if not found:
        return Events.none()
    series, day, kind = zip(*found, strict=True)
    return Events(np.array(series, np.int64), np.array(day, np.float64), np.array(kind, np.int64))


def _readings(columns: StrutColumns, figures: SheetFigures) -> Readings:
    return Readings(
        series=columns.series,
        day=columns.day,
        corrected_in=columns.corrected_in,
        raw_in=columns.extension_in,
        temperature_offset_f=columns.temperature_used_f - figures.reference_temperature_f[columns.series],
        load_offset_lbf=columns.load_lbf - figures.reference_load_lbf[columns.series],
        exercised=columns.exercised,
        temperature_sd_f=columns.temperature_sd_f,
        load_sd_lbf=columns.load_sd_lbf,
        scale_in=columns.scale_in,
    )


def _struts(figures: SheetFigures) -> Struts:
    everyone = np.arange(len(figures.target_in))
    full = figures.full_extension_in
    slopes = sensitivities(
        np.minimum(figures.target_in, full),
        figures.reference_temperature_f,
        figures.reference_load_lbf,
        figures.strut_figures(everyone),
    )
    return Struts(
        target_in=figures.target_in,
        low_limit_in=figures.low_limit_in,
        high_limit_in=figures.high_limit_in,
        full_extension_in=full + 2.9 * figures.full_extension_sd_in,
        temperature_slope_in_per_f=slopes.total_in_per_f,
        load_slope_in_per_lbf=slopes.load_in_per_lbf,
        temperature_slope_sd=np.full(len(everyone), _TEMPERATURE_SLOPE_SD),
        load_slope_sd=np.full(len(everyone), _LOAD_SLOPE_SD),
    )


def _looks(columns: StrutColumns) -> Events:
    some = np.flatnonzero(columns.looks)
    return _events(
        (int(columns.series[row]), float(columns.day[row]), _SEEN[value])
        for row in some
        for bit, (_, value) in enumerate(LOOKS)
        if columns.looks[row] >> bit & 1
    )
