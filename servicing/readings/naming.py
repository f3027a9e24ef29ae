"""Legs and gauges as callers name them: by registration and position, by name, or by id."""

from __future__ import annotations

import uuid
from collections.abc import Collection
from typing import Final

from django.db.models import Q

from fleet.aircraft.models import Leg
from fleet.equipment.models import Equipment

NOBODY: Final = uuid.UUID(int=0)  # stands for what is not there; the action names the fault among the others

LegName = tuple[str, str]  # aircraft (registration or id, or empty) and leg (position or id)


def legs_named(operator_id: uuid.UUID, names: Collection[LegName]) -> dict[LegName, uuid.UUID]:
    """Return the id of each leg; `NOBODY` where there is none."""
    aircraft = {aircraft.strip() for aircraft, _ in names}
    ids = {one for one in map(as_id, aircraft) if one}
    leg_ids = {one for one in (as_id(leg) for _, leg in names) if one}
    by_registration = Q()
    for registration in aircraft - {""}:
        by_registration |= Q(aircraft__registration__iexact=registration)
    wanted = Q(id__in=leg_ids) | Q(aircraft_id__in=ids) | (by_registration or Q(pk__in=[]))
    found = {}
    for leg in Leg.objects.of(operator_id).filter(wanted).select_related("aircraft"):
        for plane in (leg.aircraft.registration.upper(), str(leg.aircraft_id).upper()):
            found[plane, str(leg.position)] = found[plane, str(leg.id)] = leg.id
        found["", str(leg.id)] = leg.id
    return {name: found.get((name[0].strip().upper(), name[1].strip().lower()), NOBODY) for name in names}


def gauges_named(operator_id: uuid.UUID, names: Collection[str]) -> dict[str, uuid.UUID]:
    """Return the id of each gauge; `NOBODY` where there is none."""
    if not names:
        return {}
    found: dict[str, uuid.UUID] = {}
    for gauge in Equipment.objects.of(operator_id).order_by("retired_at"):
        found.setdefault(gauge.name.strip().lower(), gauge.id)
        found[str(gauge.id)] = gauge.id
    return {name: found.get(name.strip().lower(), NOBODY) for name in names}


def as_id(text: str) -> uuid.UUID | None:
    """Return the id that a text is, or None."""
    try:
        return uuid.UUID(text.strip())
    except ValueError:
        return None
