"""Rows to arrays: all that is known of many struts, in the form that the drift computation takes."""

from __future__ import annotations

import math
import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import chain
from typing import Final

import numpy as np
import numpy.typing as npt

from calculations.drift import Histories, Readings, Seen, Struts, arrange
from calculations.strut import sensitivities
from fleet.beside import beside
from servicing.drift.gauged import Gauged, fetch_gauged, on_the_stop
from servicing.drift.places import Place, strut_places
from servicing.drift.work_done import Done, day_of, events_of, work_done, work_events
from servicing.readings.figures import SheetFigures, sheet_figures
from servicing.readings.history import LOOKS, StrutColumns, fetch_struts
from servicing.readings.known_fleet import KnownLeg
from servicing.readings.models import FluidLevel, FluidSeen, Observation

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
    """Struts that were ever on a leg, with their histories in the same order.

    ``raised_in`` is what was added to the extensions of each row of ``columns``: readings from another leg than
    the latest are counted from that leg's target to this leg's. ``gauged`` are the pressures at rest, oldest first.
    """

    places: list[Place]
    columns: StrutColumns
    raised_in: npt.NDArray[np.float64]
    done: list[Done]
    gauged: list[Gauged]
    histories: Histories


def gather_struts(operator_id: uuid.UUID, strut_ids: Sequence[uuid.UUID], *, connections: int = 0) -> StrutHistories:
    """Fetch the histories of an operator's struts, the readings on so many more connections at the same time."""
    size = math.ceil(len(strut_ids) / max(connections, 1)) or 1
    shares = [
        partial(fetch_struts, strut_ids[at : at + size], first=at) for at in range(0, len(strut_ids) or 1, size)
    ]
    with beside(shares, connections) as fetched:
        places = strut_places(operator_id, strut_ids)
        sheets = _Sheets(places)
        done = work_done(operator_id, places, "strut_id")
        gauged = fetch_gauged(operator_id, places)
        columns = _placed(StrutColumns.joined(fetched()), strut_ids, places)
    sheet_then = sheets.of_readings(columns)
    raised = sheets.figures.target_in[sheets.latest[columns.series]] - sheets.figures.target_in[sheet_then]
    seen = events_of(chain(_looks(columns), on_the_stop(gauged, columns)))
    readings = _readings(columns, sheets.figures, sheet_then, raised)
    return StrutHistories(
        places, columns, raised, done, gauged, arrange(readings, sheets.struts(), work_events(done), seen)
    )


def _placed(columns: StrutColumns, strut_ids: Sequence[uuid.UUID], places: Sequence[Place]) -> StrutColumns:
    """Return columns whose series count as the places do, without struts that have none."""
    if len(places) == len(strut_ids):
        return columns
    number = {place.part_id: index for index, place in enumerate(places)}
    series = np.array([number.get(strut_id, -1) for strut_id in strut_ids], np.int64)[columns.series]
    return replace(columns, series=series).only(series >= 0)


def struts_at(places: Sequence[Place]) -> Struts:
    """Return what holds for struts at their places."""
    return _Sheets(places).struts()


class _Sheets:
    """The figures of the sheets that hold or held for some struts, each sheet computed once."""

    def __init__(self, places: Sequence[Place]) -> None:
        self._number: dict[tuple[uuid.UUID, str, float | None], int] = {}
        legs: list[KnownLeg] = []
        for leg in (stay.leg for place in places for stay in place.stays):
            if self._number.setdefault(sheet_key(leg), len(legs)) == len(legs):
                legs.append(leg)
        self.figures: SheetFigures = sheet_figures(legs)
        self.latest = np.array([self._number[sheet_key(place.leg)] for place in places], np.int64)
        self._moved = [
            (index, place)
            for index, place in enumerate(places)
            if len({self._number[sheet_key(stay.leg)] for stay in place.stays}) > 1
        ]

    def of_readings(self, columns: StrutColumns) -> npt.NDArray[np.int64]:
        """Return the number of the sheet that held for each reading when it was taken."""
        numbers = self.latest[columns.series]
        for index, place in self._moved:
            rows = np.flatnonzero(columns.series == index)
            begins = np.array([day_of(stay.since) for stay in place.stays])
            stay = np.searchsorted(begins, columns.day[rows], side="right") - 1
            own = np.array([self._number[sheet_key(one.leg)] for one in place.stays])
            numbers[rows] = own[np.maximum(stay, 0)]
        return numbers

    def struts(self) -> Struts:
        """Return what holds for each strut where it is now."""
        figures, latest = self.figures, self.latest
        full = figures.full_extension_in
        slopes = sensitivities(
            np.minimum(figures.target_in, full),
            figures.reference_temperature_f,
            figures.reference_load_lbf,
            figures.strut_figures(np.arange(len(full))),
        )
        room = full + 2.9 * figures.full_extension_sd_in - figures.target_in
        longest = room[latest]
        for index, place in self._moved:  # a possible reading stays possible wherever the strut goes
            longest[index] = max(room[self._number[sheet_key(stay.leg)]] for stay in place.stays)
        return Struts(
            target_in=figures.target_in[latest],
            low_limit_in=figures.low_limit_in[latest],
            high_limit_in=figures.high_limit_in[latest],
            full_extension_in=figures.target_in[latest] + longest,
            temperature_slope_in_per_f=np.asarray(slopes.total_in_per_f)[latest],
            load_slope_in_per_lbf=np.asarray(slopes.load_in_per_lbf)[latest],
            temperature_slope_sd=np.full(len(latest), _TEMPERATURE_SLOPE_SD),
            load_slope_sd=np.full(len(latest), _LOAD_SLOPE_SD),
        )


def sheet_key(leg: KnownLeg) -> tuple[uuid.UUID, str, float | None]:
    """Return what tells legs apart whose figures may differ."""
    return leg.sheet.pk, leg.position, leg.home_elevation_ft


def _readings(
    columns: StrutColumns,
    figures: SheetFigures,
    sheet_then: npt.NDArray[np.int64],
    raised_in: npt.NDArray[np.float64],
) -> Readings:
    # A strut is emptied before it comes off a leg and filled anew on the next: of the old leg's length nothing
    # carries over but how far from target it was.
    return Readings(
        series=columns.series,
        day=columns.day,
        corrected_in=columns.corrected_in + raised_in,
        raw_in=np.where(columns.extension_in > 0.0, columns.extension_in + raised_in, 0.0),
        temperature_offset_f=columns.temperature_used_f - figures.reference_temperature_f[sheet_then],
        load_offset_lbf=columns.load_lbf - figures.reference_load_lbf[sheet_then],
        exercised=columns.exercised,
        temperature_sd_f=columns.temperature_sd_f,
        load_sd_lbf=columns.load_sd_lbf,
        scale_in=columns.scale_in,
    )


def _looks(columns: StrutColumns) -> Iterator[tuple[int, float, int]]:
    some = np.flatnonzero(columns.looks)
    return (
        (int(columns.series[row]), float(columns.day[row]), _SEEN[value])
        for row in some
        for bit, (_, value) in enumerate(LOOKS)
        if columns.looks[row] >> bit & 1
    )
