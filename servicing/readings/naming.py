"""Legs and gauges as callers name them: by registration and position, by name, or by id."""

from __future__ import annotations

import uuid
from collections.abc import Collection, Mapping
from typing import Final

from django.db.models import F, Q

from fleet.aircraft.models import Aircraft
from fleet.equipment.models import Equipment
from fleet.refusals import FieldFault

# Stand for what is not there; the action names the fault among the others.
NOBODY: Final = uuid.UUID(int=0)
NO_AIRCRAFT: Final = uuid.UUID(int=1)

LegName = tuple[str, str]  # aircraft (registration or id, or empty) and leg (position or id)


def legs_named(operator_id: uuid.UUID, names: Collection[LegName]) -> dict[LegName, uuid.UUID]:
    """Return the id of each leg; `NOBODY` where there is none, `NO_AIRCRAFT` where the aircraft is not there."""
    aircraft = {aircraft.strip() for aircraft, _ in names}
    ids = {one for one in map(as_id, aircraft) if one}
    leg_ids = {one for one in (as_id(leg) for _, leg in names) if one}
    wanted = Q(legs__id__in=leg_ids) | Q(id__in=ids)
    for registration in aircraft - {""}:
        wanted |= Q(registration__iexact=registration)
    planes, found = {""}, {}
    rows = Aircraft.objects.of(operator_id).filter(wanted)
    for plane_id, registration, leg_id, position in rows.values_list(
        "id", "registration", "legs__id", "legs__position"
    ):
        for plane in (registration.upper(), str(plane_id).upper()):
            planes.add(plane)
            found[plane, str(position)] = found[plane, str(leg_id)] = leg_id
        found["", str(leg_id)] = leg_id
    return {name: _leg_or_stand_in(name, found, planes) for name in names}


def unknown_leg(leg_id: uuid.UUID) -> FieldFault:
    """Return the fault of a leg that is not there, told of the aircraft where that is what is not there."""
    if leg_id == NO_AIRCRAFT:
        return FieldFault("aircraft", "unknown_aircraft", "no such aircraft: give its registration or id")
    return FieldFault("leg", "unknown_leg", "no such leg: give aircraft and position, or the leg's id")


def gauges_named(operator_id: uuid.UUID, names: Collection[str]) -> dict[str, uuid.UUID]:
    """Return the id of each gauge; `NOBODY` where there is none."""
    if not names:
        return {}
    found: dict[str, uuid.UUID] = {}
    # One in use wins over a retired namesake; the databases differ in where they put what has no date.
    for gauge in Equipment.objects.of(operator_id).order_by(F("retired_at").asc(nulls_first=True)):
        found.setdefault(gauge.name.strip().lower(), gauge.id)
        found[str(gauge.id)] = gauge.id
    return {name: found.get(name.strip().lower(), NOBODY) for name in names}


def _leg_or_stand_in(name: LegName, found: Mapping[LegName, uuid.UUID], planes: Collection[str]) -> uuid.UUID:
    plane, leg = name[0].strip().upper(), name[1].strip().lower()
    return found.get((plane, leg), NOBODY if plane in planes else NO_AIRCRAFT)


def as_id(text: str) -> uuid.UUID | None:
    """Return the id that a text is, or None."""
    try:
        return uuid.UUID(text.strip())
    except ValueError:
        return None
