"""Keeping the equipment: added, changed, retired, and cylinder pressures logged."""

import uuid
from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Any, Final

from django.db import IntegrityError, transaction
from django.db.models import F

from fleet.audit.actions import record_change
from fleet.equipment.calibration import faults_of_calibration, renewals_with
from fleet.equipment.figures import ALL_FIGURES, faults_of_figures
from fleet.equipment.models import CylinderPressure, Equipment, EquipmentKind
from fleet.operators.local_day import today_at
from fleet.operators.models import Operator
from fleet.people.actor import Actor
from fleet.people.models import Role, Scope
from fleet.refusals import Clash, FieldFault, Missing, Refused, Stale

CLOCK_AHEAD: Final = timedelta(minutes=10)  # a phone's clock may run ahead by so much


@transaction.atomic
def add_equipment(
    *,
    actor: Actor,
    now: datetime,
    name: str,
    kind: str,
    figures: Mapping[str, Any],
    equipment_id: uuid.UUID | None = None,
) -> tuple[Equipment, bool]:
    """Add one piece with the figures of its kind; return it, and whether it is new."""
    actor.require(Role.COORDINATOR, Scope.MANAGE)
    _refuse_faults(actor, now, kind, figures)
    before = Equipment.objects.of(actor.operator_id).filter(pk=equipment_id).first() if equipment_id else None
    if before is not None:
        if (before.name, before.kind) != (name, kind):
            raise Clash("this id belongs to another piece of equipment")
        return before, False
    try:
        with transaction.atomic():
            equipment = Equipment.objects.create(
                id=equipment_id or uuid.uuid4(), operator_id=actor.operator_id, name=name, kind=kind, **figures
            )
    except IntegrityError as error:
        raise Clash(f"{name!r} is in use for another piece of equipment") from error
    _audit(actor, now, "equipment added", equipment.id, after=equipment_as_json(equipment))
    return equipment, True


@transaction.atomic
def change_equipment(
    *,
    actor: Actor,
    now: datetime,
    equipment_id: uuid.UUID,
    version: int,
    changes: Mapping[str, Any],
    retired: bool | None = None,
) -> Equipment:
    """Change name or figures, retire a piece or take it back into use."""
    actor.require(Role.COORDINATOR, Scope.MANAGE)
    before = equipment_of(actor.operator_id, equipment_id)
    figures = {name: changes.get(name, getattr(before, name)) for name in ALL_FIGURES}
    _refuse_faults(actor, now, before.kind, figures)
    values = {**changes, "calibration_renewals": renewals_with(before, changes)}
    if retired is not None:
        values["retired_at"] = (before.retired_at or now) if retired else None
    try:
        with transaction.atomic():
            changed = (
                Equipment.objects.of(actor.operator_id)
                .filter(pk=equipment_id, version=version)
                .update(**values, version=F("version") + 1)
            )
    except IntegrityError as error:
        raise Clash("this name is in use for another piece of equipment") from error
    if not changed:
        raise Stale("this equipment has changed since you read it")
    after = equipment_of(actor.operator_id, equipment_id)
    _audit(
        actor,
        now,
        "equipment changed",
        equipment_id,
        before=equipment_as_json(before),
        after=equipment_as_json(after),
    )
    return after


@transaction.atomic
def log_cylinder_pressure(
    *,
    actor: Actor,
    now: datetime,
    equipment_id: uuid.UUID,
    taken_at: datetime,
    pressure_psig: float,
    temperature_f: float | None,
    as_read: Mapping[str, Any],
    reading_id: uuid.UUID | None = None,
) -> tuple[CylinderPressure, bool]:
    """Log what a cylinder's gauge showed; return it, and whether it is new."""
    actor.require(Role.MEMBER, Scope.REPORT)
    cylinder = equipment_of(actor.operator_id, equipment_id)
    if cylinder.kind != EquipmentKind.CYLINDER:
        raise Refused("only a cylinder has a pressure to log", code="not_a_cylinder")
    if taken_at > now + CLOCK_AHEAD:
        fault = FieldFault("taken_at", "in_the_future", f"must not lie ahead of {now.isoformat()}")
        raise Refused(fault.message, code="pressure_refused", faults=[fault])
    rows = CylinderPressure.objects.of(actor.operator_id)
    before = (
        rows.filter(pk=reading_id).first()
        if reading_id
        else rows.filter(equipment=cylinder, taken_at=taken_at).first()
    )
    if before is not None:
        if (before.equipment_id, before.taken_at) != (cylinder.id, taken_at) or before.pressure_psig != pressure_psig:
            raise Clash("another pressure was logged under this id or moment")
        return before, False
    reading = CylinderPressure.objects.create(
        id=reading_id or uuid.uuid4(),
        operator_id=actor.operator_id,
        equipment=cylinder,
        taken_at=taken_at,
        received_at=now,
        as_read=dict(as_read),
        pressure_psig=pressure_psig,
        temperature_f=temperature_f,
        person_id=actor.person_id,
    )
    _audit(
        actor,
        now,
        "cylinder pressure logged",
        cylinder.id,
        after={"pressure_psig": pressure_psig, "taken_at": taken_at.isoformat()},
    )
    return reading, True


def equipment_of(operator_id: uuid.UUID, equipment_id: uuid.UUID) -> Equipment:
    """Return one piece of the operator's equipment, or refuse."""
    equipment = Equipment.objects.of(operator_id).filter(pk=equipment_id).first()
    if equipment is None:
        raise Missing("no such equipment")
    return equipment


def equipment_as_json(equipment: Equipment) -> dict[str, Any]:
    """Return a piece of equipment, JSON-ready, for the audit trail."""
    figures = {name: getattr(equipment, name) for name in sorted(ALL_FIGURES)}
    return {
        "name": equipment.name,
        "kind": str(equipment.kind),
        "retired": equipment.retired_at is not None,
        **{name: value.isoformat() if isinstance(value, date) else value for name, value in figures.items()},
        "calibration_renewals": equipment.calibration_renewals,
    }


def _refuse_faults(actor: Actor, now: datetime, kind: str, figures: Mapping[str, Any]) -> None:
    time_zone = Operator.objects.values_list("time_zone", flat=True).get(pk=actor.operator_id)
    faults = faults_of_figures(kind, figures) + faults_of_calibration(figures, today_at(time_zone, now))
    if faults:
        raise Refused("these figures do not fit the kind of equipment", code="equipment_refused", faults=faults)


def _audit(actor: Actor, now: datetime, action: str, subject_id: uuid.UUID, **values: Any) -> None:
    record_change(actor=actor, action=action, subject_kind="equipment", subject_id=subject_id, now=now, **values)
