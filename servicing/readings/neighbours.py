"""The readings from which missing conditions are estimated, and those whose estimates they move."""

from __future__ import annotations

import uuid
from collections.abc import Collection
from datetime import datetime, timedelta
from typing import Final

import numpy as np
from django.db.models import Q

from fleet.tenancy import OwnedQuerySet
from servicing.readings.conditions import FUEL_REACH_DAYS, TEMPERATURE_REACH_DAYS, Noted, days_of
from servicing.readings.correction import Joined, aircraft_number, needs_estimates
from servicing.readings.models import StrutReading

_REACH: Final = timedelta(days=max(FUEL_REACH_DAYS, TEMPERATURE_REACH_DAYS))


def neighbours_of(
    operator_id: uuid.UUID, joined: Joined, aircraft_ids: Collection[uuid.UUID], since: datetime, until: datetime
) -> Noted:
    """Return what the stored live readings of the aircraft noted around a time; nothing where nobody asks."""
    if not needs_estimates(joined):
        return Noted.nothing()
    rows = list(
        live_readings(operator_id)
        .filter(leg__aircraft_id__in=aircraft_ids, taken_at__range=(since - _REACH, until + _REACH))
        .exclude(temperature_f=None, fuel_lb=None)
        .values_list("leg__aircraft_id", "taken_at", "temperature_f", "fuel_lb")
    )
    if not rows:
        return Noted.nothing()
    aircraft, taken, temperature, fuel = zip(*rows, strict=True)
    return Noted(
        np.array([aircraft_number(one) for one in aircraft], np.int64),
        days_of(taken),
        np.array(temperature, np.float64),
        np.array(fuel, np.float64),
    )


def readings_estimated_near(
    operator_id: uuid.UUID,
    aircraft_ids: Collection[uuid.UUID],
    since: datetime,
    until: datetime,
    except_ids: Collection[uuid.UUID],
) -> list[StrutReading]:
    """Return the live readings of the aircraft whose estimates an arrival or correction in that time moves."""
    by_fuel = Q(fuel_lb=None, leg_load_lbf=None, taken_at__range=_around(since, until, FUEL_REACH_DAYS))
    by_temperature = Q(temperature_f=None, taken_at__range=_around(since, until, TEMPERATURE_REACH_DAYS))
    rows = (
        live_readings(operator_id)
        .filter(Q(temperature_f=None) | Q(fuel_lb=None), leg__aircraft_id__in=aircraft_ids)
        .filter(by_fuel | by_temperature)
    )
    skipped = set(except_ids)
    return [row for row in rows if row.id not in skipped]


def live_readings(operator_id: uuid.UUID) -> OwnedQuerySet[StrutReading]:
    """Return the strut readings that count: neither corrected nor taken back."""
    return StrutReading.objects.of(operator_id).filter(superseded=False, withdrawn=False)


def _around(since: datetime, until: datetime, days: float) -> tuple[datetime, datetime]:
    return since - timedelta(days=days), until + timedelta(days=days)
