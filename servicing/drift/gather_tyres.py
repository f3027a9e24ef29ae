"""Rows to arrays for tyres. One whose sheet gives no service pressure is judged by its tread alone."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from calculations.atmosphere import standard_pressure_psia
from calculations.drift import Histories, TyreReadings, Tyres, arrange_tyres
from calculations.tyre import LOADED_OVER_UNLOADED
from fleet.among import among
from servicing.drift.places import Place, tyre_places
from servicing.drift.work_done import Done, day_of, work_done, work_events
from servicing.readings.conditions import READ_TEMPERATURE_SD_F
from servicing.readings.models import TyreReading
from servicing.readings.tyre_correction import (
    GAUGE_SD_PSI,
    REFERENCE_TEMPERATURE_F,
    UNKNOWN_TEMPERATURE_SD_F,
)

LOW_FRACTION: Final = 0.95  # of service pressure: below it the cause is looked for (AC 20-97B, see calculations.tyre)
HIGH_FRACTION: Final = 1.05
_NO_SERVICE_PSIG: Final = 30.0  # stands in where there is none: no pressure is compared with it


class TyreRow(NamedTuple):
    """One live reading of a tyre."""

    tyre_id: uuid.UUID
    id: uuid.UUID
    taken_at: datetime
    pressure_psig: float | None
    temperature_f: float | None
    hot: bool
    loaded: bool
    tread_in: float | None


@dataclass(frozen=True, slots=True)
class TyreHistories:
    """Tyres that were ever on a leg, with their histories in the same order.

    ``reading_ids`` are those of the pressures, in the order given to the drift computation; ``rows`` are all
    live readings of each tyre, oldest first; ``after_work`` are pressures written down with inflations.
    """

    places: list[Place]
    reading_ids: list[uuid.UUID]
    rows: list[list[TyreRow]]
    reference_f: list[float]
    done: list[Done]
    tyres: Tyres
    histories: Histories
    after_work: TyreReadings


def gather_tyres(operator_id: uuid.UUID, tyre_ids: Sequence[uuid.UUID]) -> TyreHistories:
    """Fetch the histories of an operator's tyres."""
    places = tyre_places(operator_id, tyre_ids)
    service = np.array([place.leg.sheet.tyre_service_pressure_psig or _NO_SERVICE_PSIG for place in places], float)
    reference = [_reference_f(place) for place in places]
    tyres = Tyres(service, LOW_FRACTION * service, HIGH_FRACTION * service, np.array(reference, float))
    rows = _rows(operator_id, places)
    judged = [place.leg.sheet.tyre_service_pressure_psig is not None for place in places]
    pressures = [
        (number, row)
        for number, own in enumerate(rows)
        if judged[number]
        for row in own
        if row.pressure_psig is not None
    ]
    done = work_done(operator_id, places, "tyre_id")
    histories = arrange_tyres(_pressures(pressures, places, tyres), tyres, work_events(done))
    after_work = _after_work([one for one in done if judged[one.series]], places, tyres)
    ids = [row.id for _, row in pressures]
    return TyreHistories(places, ids, rows, reference, done, tyres, histories, after_work)


def _reference_f(place: Place) -> float:
    stated = place.leg.sheet.reference_temperature_f
    return REFERENCE_TEMPERATURE_F if stated is None else stated


def _rows(operator_id: uuid.UUID, places: Sequence[Place]) -> list[list[TyreRow]]:
    own: dict[uuid.UUID, list[TyreRow]] = {place.part_id: [] for place in places}
    rows = TyreReading.objects.of(operator_id).filter(among("tyre_id", own), superseded=False, withdrawn=False)
    for values in rows.order_by("taken_at", "id").values_list(*TyreRow._fields):
        own[values[0]].append(TyreRow(*values))
    return [own[place.part_id] for place in places]


def _pressures(rows: Sequence[tuple[int, TyreRow]], places: Sequence[Place], tyres: Tyres) -> TyreReadings:
    return _as_read(
        places,
        tyres,
        series=np.array([number for number, _ in rows], np.int64),
        day=np.array([day_of(row.taken_at) for _, row in rows], np.float64),
        shown_psig=np.array([row.pressure_psig for _, row in rows], np.float64),
        air_f=np.array([row.temperature_f for _, row in rows], np.float64),
        hot=np.array([row.hot for _, row in rows], np.bool_),
        loaded=np.array([row.loaded for _, row in rows], np.bool_),
    )


def _after_work(done: Sequence[Done], places: Sequence[Place], tyres: Tyres) -> TyreReadings:
    """Return the pressures after inflations, of wheels that stand on the ground as in readings that do not say."""
    read = [one for one in done if one.pressure_after_psig is not None]
    return _as_read(
        places,
        tyres,
        series=np.array([one.series for one in read], np.int64),
        day=np.array([one.day for one in read], np.float64),
        shown_psig=np.array([one.pressure_after_psig for one in read], np.float64),
        air_f=np.array([one.temperature_f for one in read], np.float64),
        hot=np.zeros(len(read), np.bool_),
        loaded=np.ones(len(read), np.bool_),
    )


def _as_read(
    places: Sequence[Place],
    tyres: Tyres,
    *,
    series: npt.NDArray[np.int64],
    day: npt.NDArray[np.float64],
    shown_psig: npt.NDArray[np.float64],
    air_f: npt.NDArray[np.float64],
    hot: npt.NDArray[np.bool_],
    loaded: npt.NDArray[np.bool_],
) -> TyreReadings:
    known = np.isfinite(air_f)
    outside = standard_pressure_psia(np.array([place.leg.home_elevation_ft or 0.0 for place in places], np.float64))
    return TyreReadings(
        series=series,
        day=day,
        pressure_psig=np.where(loaded, shown_psig / LOADED_OVER_UNLOADED, shown_psig),
        temperature_f=np.where(known, air_f, tyres.reference_temperature_f[series]),
        cold=~hot,
        gauge_sd_psi=np.full(len(series), GAUGE_SD_PSI),
        temperature_sd_f=np.where(known, READ_TEMPERATURE_SD_F, UNKNOWN_TEMPERATURE_SD_F),
        atmosphere_psia=np.asarray(outside, np.float64)[series],
    )
