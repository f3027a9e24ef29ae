"""Rows to arrays for tyres. A tyre whose sheet gives no service pressure cannot be judged and is left out."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from calculations.atmosphere import standard_pressure_psia
from calculations.drift import Histories, TyreReadings, Tyres, arrange_tyres
from calculations.tyre import LOADED_OVER_UNLOADED
from servicing.drift.gather import day_of, work_events
from servicing.drift.places import Place, tyre_places
from servicing.readings.conditions import READ_TEMPERATURE_SD_F
from servicing.readings.models import TyreReading
from servicing.readings.tyre_correction import (
    GAUGE_SD_PSI,
    REFERENCE_TEMPERATURE_F,
    UNKNOWN_TEMPERATURE_SD_F,
)

LOW_FRACTION: Final = 0.95  # of service pressure: below it the cause is looked for (AC 20-97B, see calculations.tyre)
HIGH_FRACTION: Final = 1.05


@dataclass(frozen=True, slots=True)
class TyreHistories:
    """Tyres that can be judged, with their histories in the same order."""

    places: list[Place]
    reading_ids: list[uuid.UUID]
    tyres: Tyres
    histories: Histories


def gather_tyres(operator_id: uuid.UUID, tyre_ids: Sequence[uuid.UUID]) -> TyreHistories:
    """Fetch the histories of an operator's tyres."""
    places = [
        place
        for place in tyre_places(operator_id, tyre_ids)
        if place.leg.sheet.tyre_service_pressure_psig is not None
    ]
    service = np.array([place.leg.sheet.tyre_service_pressure_psig for place in places], np.float64)
    reference = np.array([_reference_f(place) for place in places], np.float64)
    tyres = Tyres(service, LOW_FRACTION * service, HIGH_FRACTION * service, reference)
    reading_ids, readings = _readings(operator_id, places, reference)
    histories = arrange_tyres(readings, tyres, work_events(operator_id, places, "tyre_id"))
    return TyreHistories(places, reading_ids, tyres, histories)


def _reference_f(place: Place) -> float:
    stated = place.leg.sheet.reference_temperature_f
    return REFERENCE_TEMPERATURE_F if stated is None else stated


def _readings(
    operator_id: uuid.UUID, places: Sequence[Place], reference_f: np.ndarray[tuple[int], np.dtype[np.float64]]
) -> tuple[list[uuid.UUID], TyreReadings]:
    number = {place.part_id: index for index, place in enumerate(places)}
    rows = list(
        TyreReading.objects.of(operator_id)
        .filter(tyre_id__in=list(number), superseded=False, withdrawn=False, pressure_psig__isnull=False)
        .values_list("tyre_id", "id", "taken_at", "pressure_psig", "temperature_f", "hot", "loaded")
    )
    series = np.array([number[row[0]] for row in rows], np.int64)
    read_f = np.array([row[4] for row in rows], np.float64)
    known = np.isfinite(read_f)
    loaded = np.array([row[6] for row in rows], np.bool_)
    pressure = np.array([row[3] for row in rows], np.float64)
    air = standard_pressure_psia(np.array([place.leg.home_elevation_ft or 0.0 for place in places], np.float64))
    return [row[1] for row in rows], TyreReadings(
        series=series,
        day=np.array([day_of(row[2]) for row in rows], np.float64),
        pressure_psig=np.where(loaded, pressure / LOADED_OVER_UNLOADED, pressure),
        temperature_f=np.where(known, read_f, reference_f[series]),
        cold=~np.array([row[5] for row in rows], np.bool_),
        gauge_sd_psi=np.full(len(rows), GAUGE_SD_PSI),
        temperature_sd_f=np.where(known, READ_TEMPERATURE_SD_F, UNKNOWN_TEMPERATURE_SD_F),
        atmosphere_psia=np.asarray(air, np.float64)[series],
    )
