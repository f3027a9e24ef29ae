"""Adding aircraft and legs, and changing them."""

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import F

from fleet.aircraft.models import Aircraft, Leg, Position, SheetPosition, TypeSheet
from fleet.aircraft.outdated import mark_readings_outdated
from fleet.aircraft.queries import one_aircraft_of, type_sheet_of
from fleet.audit.actions import record_change
from fleet.changes import audit_value, change_row, no_clash
from fleet.people.actor import Actor
from fleet.people.models import Role, Scope
from fleet.refusals import FieldFault, Missing, Refused, Stale

REGISTRATION_TAKEN = "an aircraft with this registration is in the fleet already"
SHEET_FOR = {
    Position.NOSE: SheetPosition.NOSE,
    Position.LEFT_MAIN: SheetPosition.MAIN,
    Position.RIGHT_MAIN: SheetPosition.MAIN,
    Position.TAIL: SheetPosition.TAIL,
}


@transaction.atomic
def add_aircraft(
    *, actor: Actor, now: datetime, values: Mapping[str, Any], aircraft_id: uuid.UUID | None = None
) -> Aircraft:
    """Add an aircraft without legs."""
    actor.require(Role.COORDINATOR, Scope.MANAGE)
    with no_clash("registration", REGISTRATION_TAKEN):
        aircraft = Aircraft.objects.create(
            id=aircraft_id or uuid.uuid4(), operator_id=actor.operator_id, created_at=now, **values
        )
    _record(actor, now, "aircraft added", aircraft.pk, dict(values))
    return aircraft


@transaction.atomic
def change_aircraft(
    *,
    actor: Actor,
    now: datetime,
    aircraft_id: uuid.UUID,
    version: int,
    changes: Mapping[str, Any],
    retired: bool | None = None,
) -> Aircraft:
    """Change an aircraft, retire it or take it back into the fleet."""
    actor.require(Role.COORDINATOR, Scope.MANAGE)
    aircraft = one_aircraft_of(actor.operator_id, aircraft_id)
    values = dict(changes)
    if retired is not None:
        values["retired_at"] = (aircraft.retired_at or now) if retired else None
    elevation_ft = aircraft.home_elevation_ft
    with no_clash("registration", REGISTRATION_TAKEN):
        rows = Aircraft.objects.of(actor.operator_id)
        change_row(rows, aircraft, actor=actor, now=now, version=version, changes=values, kind="aircraft")
    if aircraft.home_elevation_ft != elevation_ft:
        mark_readings_outdated(
            operator_id=actor.operator_id, leg_ids=[leg.pk for leg in aircraft.legs.all()], now=now
        )
    return aircraft


@transaction.atomic
def add_leg(
    *,
    actor: Actor,
    now: datetime,
    aircraft: Aircraft,
    position: str,
    sheet_id: uuid.UUID,
    leg_id: uuid.UUID | None = None,
) -> Leg:
    """Add a leg with the sheet that holds for it; the caller sees to the aircraft's version."""
    actor.require(Role.COORDINATOR, Scope.MANAGE)
    sheet = _sheet_for(actor.operator_id, position, sheet_id)
    with no_clash("position", f"the aircraft has a {position} leg already"):
        leg = Leg.objects.create(
            id=leg_id or uuid.uuid4(),
            operator_id=actor.operator_id,
            aircraft=aircraft,
            position=position,
            sheet=sheet,
        )
    _record(actor, now, "leg added", leg.pk, {"aircraft": audit_value(aircraft), "position": position}, kind="leg")
    return leg


@transaction.atomic
def change_leg(
    *,
    actor: Actor,
    now: datetime,
    aircraft_id: uuid.UUID,
    leg_id: uuid.UUID,
    version: int,
    sheet_id: uuid.UUID,
) -> Aircraft:
    """Put another sheet on a leg; ``version`` is the aircraft's."""
    actor.require(Role.COORDINATOR, Scope.MANAGE)
    aircraft = one_aircraft_of(actor.operator_id, aircraft_id)
    leg = next((row for row in aircraft.legs.all() if row.pk == leg_id), None)
    if leg is None:
        raise Missing("this aircraft has no such leg")
    sheet = _sheet_for(actor.operator_id, leg.position, sheet_id)
    raise_version(aircraft, version=version)
    if leg.sheet_id != sheet.pk:
        before = {"sheet_id": str(leg.sheet_id)}
        Leg.objects.of(actor.operator_id).filter(pk=leg.pk).update(sheet=sheet)
        mark_readings_outdated(operator_id=actor.operator_id, leg_ids=[leg.pk], now=now)
        _record(actor, now, "leg changed", leg.pk, {"sheet_id": str(sheet.pk)}, kind="leg", before=before)
    return one_aircraft_of(actor.operator_id, aircraft_id)


def raise_version(aircraft: Aircraft, *, version: int) -> None:
    """Count a change of the aircraft's legs as one of the aircraft, whose tag callers hold."""
    rows = Aircraft.objects.of(aircraft.operator_id).filter(pk=aircraft.pk, version=version)
    if not rows.update(version=F("version") + 1):
        raise Stale("this aircraft has changed since you read it; read it again, then change it")
    aircraft.version = version + 1


def _sheet_for(operator_id: uuid.UUID, position: str, sheet_id: uuid.UUID) -> TypeSheet:
    sheet = type_sheet_of(operator_id, sheet_id)
    if sheet.position != SHEET_FOR[Position(position)]:
        message = f"this sheet describes a {sheet.position} leg, not the {position}"
        raise Refused(message, code="sheet_of_other_position", faults=[FieldFault("type_sheet", "other", message)])
    return sheet


def _record(
    actor: Actor,
    now: datetime,
    action: str,
    subject_id: uuid.UUID,
    after: dict[str, Any],
    kind: str = "aircraft",
    before: dict[str, Any] | None = None,
) -> None:
    record_change(
        actor=actor, action=action, subject_kind=kind, subject_id=subject_id, now=now, before=before, after=after
    )
