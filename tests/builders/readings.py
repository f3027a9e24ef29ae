"""Readings for tests: entries with fixed dates, and legs with a strut and a tyre on them."""

import uuid
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from fleet.aircraft.models import Aircraft, Leg, Position, TypeSheet
from fleet.gear.models import Strut, Tyre
from fleet.operators.models import Operator
from fleet.people.actor import Actor
from servicing.readings.actions import add_strut_readings, add_tyre_readings
from servicing.readings.entries import StrutEntry, TyreEntry
from servicing.readings.models import StrutReading, TyreReading
from tests.builders.fleet import (
    NOW,
    a_leg,
    a_strut,
    a_type_sheet,
    a_tyre,
    an_actor,
    an_aircraft,
    an_operator,
    next_id,
)


@dataclass(frozen=True, slots=True)
class Stand:
    """One leg of one aircraft with all that belongs to it."""

    operator: Operator
    actor: Actor
    aircraft: Aircraft
    leg: Leg
    sheet: TypeSheet
    strut: Strut
    tyre: Tyre


def a_stand(operator: Operator | None = None, position: str = Position.LEFT_MAIN, **sheet_values: Any) -> Stand:
    """Return a leg whose strut and tyre may be read."""
    club = operator or an_operator()
    figures = {
        "reference_fuel_lb": 200.0,
        "reference_occupants_lb": 0.0,
        "load_per_fuel": 0.41,
        "load_per_occupant": 0.33,
        **sheet_values,
    }
    sheet = a_type_sheet(club, "main" if "main" in position else position, **figures)
    leg = a_leg(club, position, aircraft=an_aircraft(club), sheet=sheet)
    return Stand(club, an_actor(club), leg.aircraft, leg, sheet, a_strut(club, leg), a_tyre(club, leg))


def another_leg(stand: Stand, position: str) -> Leg:
    """Return one more leg of the stand's aircraft, with a strut and a tyre on it."""
    leg = a_leg(
        stand.operator,
        position,
        aircraft=stand.aircraft,
        sheet=stand.sheet if "main" in position else a_type_sheet(stand.operator, position),
    )
    a_strut(stand.operator, leg)
    a_tyre(stand.operator, leg)
    return leg


def a_strut_entry(leg: Leg, extension_in: float = 4.5, **values: Any) -> StrutEntry:
    """Return an entry at reference conditions, taken an hour before `NOW`."""
    return StrutEntry(
        **{
            "id": next_id(),
            "leg_id": leg.id,
            "taken_at": NOW - timedelta(hours=1),
            "extension_in": extension_in,
            "as_read": {"extension": {"value": extension_in, "unit": "in"}},
            "temperature_f": 70.0,
            "fuel_lb": 200.0,
            "exercised": True,
            **values,
        }
    )


def a_tyre_entry(leg: Leg, pressure_psig: float | None = 31.2, **values: Any) -> TyreEntry:
    """Return an entry of a cold, loaded tyre, taken an hour before `NOW`."""
    return TyreEntry(
        **{
            "id": next_id(),
            "leg_id": leg.id,
            "taken_at": NOW - timedelta(hours=1),
            "as_read": {} if pressure_psig is None else {"pressure": {"value": pressure_psig, "unit": "psi"}},
            "pressure_psig": pressure_psig,
            "temperature_f": 70.0,
            **values,
        }
    )


def a_strut_reading(stand: Stand, extension_in: float = 4.5, **values: Any) -> StrutReading:
    """Return a stored reading, taken in by the action itself."""
    return strut_readings(stand, [a_strut_entry(stand.leg, extension_in, **values)])[0]


def strut_readings(stand: Stand, entries: list[StrutEntry], now: datetime = NOW) -> list[StrutReading]:
    """Store entries and return their rows in the same order."""
    added = add_strut_readings(actor=stand.actor, now=now, entries=entries)
    return [stored_strut(stand, one) for one in added.ids]


def a_tyre_reading(stand: Stand, pressure_psig: float | None = 31.2, **values: Any) -> TyreReading:
    """Return a stored reading of the tyre."""
    entry = a_tyre_entry(stand.leg, pressure_psig, **values)
    add_tyre_readings(actor=stand.actor, now=NOW, entries=[entry])
    return TyreReading.objects.of(stand.operator).get(pk=entry.id)


def stored_strut(stand: Stand, reading_id: uuid.UUID) -> StrutReading:
    """Return a strut's reading as it stands now."""
    return StrutReading.objects.of(stand.operator).get(pk=reading_id)
