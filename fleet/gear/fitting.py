"""An aircraft taken into the fleet together with its legs, struts and tyres."""

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from fleet.aircraft.actions import add_aircraft, add_leg, raise_version
from fleet.aircraft.models import Aircraft
from fleet.aircraft.queries import one_aircraft_of
from fleet.changes import row_with_id
from fleet.gear.actions import add_part
from fleet.gear.installing import install_part
from fleet.gear.kinds import STRUT, TYRE, PartKind
from fleet.people.actor import Actor


@dataclass(frozen=True, slots=True)
class FirstPart:
    """A strut or tyre that comes with its leg; an id names one that exists or is chosen for a new one."""

    values: Mapping[str, Any]
    part_id: uuid.UUID | None = None


@dataclass(frozen=True, slots=True)
class NewLeg:
    """A leg to be added, with what is on it."""

    position: str
    sheet_id: uuid.UUID
    installed_at: datetime
    leg_id: uuid.UUID | None = None
    strut: FirstPart | None = None
    tyre: FirstPart | None = None


@transaction.atomic
def add_aircraft_with_gear(
    *,
    actor: Actor,
    now: datetime,
    values: Mapping[str, Any],
    legs: Sequence[NewLeg],
    aircraft_id: uuid.UUID | None = None,
) -> tuple[Aircraft, bool]:
    """Add an aircraft with legs, struts and tyres, all or nothing; return it, and whether it is new."""
    if known := row_with_id(Aircraft, actor, aircraft_id, values):
        return one_aircraft_of(actor.operator_id, known.pk), False
    aircraft = add_aircraft(actor=actor, now=now, values=values, aircraft_id=aircraft_id)
    for leg in legs:
        _add(actor, now, aircraft, leg)
    return one_aircraft_of(actor.operator_id, aircraft.pk), True


@transaction.atomic
def add_leg_with_gear(*, actor: Actor, now: datetime, aircraft_id: uuid.UUID, version: int, leg: NewLeg) -> Aircraft:
    """Add one leg to an aircraft that is in the fleet already; ``version`` is the aircraft's."""
    aircraft = one_aircraft_of(actor.operator_id, aircraft_id)
    raise_version(aircraft, version=version)
    _add(actor, now, aircraft, leg)
    return one_aircraft_of(actor.operator_id, aircraft_id)


def _add(actor: Actor, now: datetime, aircraft: Aircraft, new: NewLeg) -> None:
    leg = add_leg(
        actor=actor,
        now=now,
        aircraft=aircraft,
        position=new.position,
        sheet_id=new.sheet_id,
        leg_id=new.leg_id,
    )
    given: list[tuple[PartKind, FirstPart | None]] = [(STRUT, new.strut), (TYRE, new.tyre)]
    for kind, first in given:
        if first is None:
            continue
        part, _ = add_part(actor=actor, now=now, kind=kind, values=first.values, part_id=first.part_id)
        install_part(actor=actor, now=now, kind=kind, part_id=part.pk, leg_id=leg.pk, installed_at=new.installed_at)
