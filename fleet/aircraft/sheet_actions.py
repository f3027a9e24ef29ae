"""Adding type sheets, and changing them as the manual is revised."""

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from fleet.aircraft.models import Leg, TypeSheet
from fleet.aircraft.outdated import mark_readings_outdated
from fleet.aircraft.queries import type_sheet_of
from fleet.aircraft.sheet_figures import faults_of_sheet
from fleet.audit.actions import record_change
from fleet.changes import change_row, no_clash, row_with_id
from fleet.people.actor import Actor
from fleet.people.models import Role, Scope
from fleet.refusals import Refused

NAME_TAKEN = "there is a sheet of this name for this position already"


@transaction.atomic
def add_type_sheet(
    *, actor: Actor, now: datetime, values: Mapping[str, Any], sheet_id: uuid.UUID | None = None
) -> tuple[TypeSheet, bool]:
    """Add a sheet with the manual's figures; return it, and whether it is new."""
    actor.require(Role.COORDINATOR, Scope.MANAGE)
    if known := row_with_id(TypeSheet, actor, sheet_id, values):
        return known, False
    _refuse_faults(values)
    with no_clash("name", NAME_TAKEN):
        sheet = TypeSheet.objects.create(id=sheet_id or uuid.uuid4(), operator_id=actor.operator_id, **values)
    record_change(
        actor=actor,
        action="type sheet added",
        subject_kind="type sheet",
        subject_id=sheet.pk,
        now=now,
        after=dict(values),
    )
    return sheet, True


@transaction.atomic
def change_type_sheet(
    *, actor: Actor, now: datetime, sheet_id: uuid.UUID, version: int, changes: Mapping[str, Any]
) -> TypeSheet:
    """Change figures; readings of the legs that it holds for will be corrected anew."""
    actor.require(Role.COORDINATOR, Scope.MANAGE)
    sheet = type_sheet_of(actor.operator_id, sheet_id)
    figures = ("low_limit_in", "target_extension_in", "high_limit_in", "full_extension_in")
    _refuse_faults({name: changes.get(name, getattr(sheet, name)) for name in figures})
    rows = TypeSheet.objects.of(actor.operator_id)
    with no_clash("name", NAME_TAKEN):
        changed = change_row(rows, sheet, actor=actor, now=now, version=version, changes=changes, kind="type sheet")
    if changed:
        leg_ids = list(Leg.objects.of(actor.operator_id).filter(sheet=sheet).values_list("pk", flat=True))
        mark_readings_outdated(operator_id=actor.operator_id, leg_ids=leg_ids, now=now)
    return sheet


def _refuse_faults(values: Mapping[str, Any]) -> None:
    if faults := faults_of_sheet(values):
        raise Refused("the figures contradict each other", code="sheet_refused", faults=faults)
