"""Adding struts and tyres, and putting their particulars right."""

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from fleet.audit.actions import record_change
from fleet.changes import change_row, no_clash, row_with_id
from fleet.gear.kinds import PartKind
from fleet.people.actor import Actor
from fleet.people.models import Role, Scope


@transaction.atomic
def add_part(
    *, actor: Actor, now: datetime, kind: PartKind, values: Mapping[str, Any], part_id: uuid.UUID | None = None
) -> tuple[Any, bool]:
    """Add a strut or tyre that is on no leg yet; return it, and whether it is new."""
    actor.require(Role.MECHANIC, Scope.WORK)
    if known := row_with_id(kind.part, actor, part_id, values):
        return known, False
    with no_clash("serial_number", _taken(kind)):
        part = kind.part.objects.create(id=part_id or uuid.uuid4(), operator_id=actor.operator_id, **values)
    record_change(
        actor=actor,
        action=f"{kind.noun} added",
        subject_kind=kind.noun,
        subject_id=part.pk,
        now=now,
        after=dict(values),
    )
    return part, True


@transaction.atomic
def change_part(
    *,
    actor: Actor,
    now: datetime,
    kind: PartKind,
    part_id: uuid.UUID,
    version: int,
    changes: Mapping[str, Any],
) -> Any:
    """Put the particulars of a strut or tyre right."""
    actor.require(Role.MECHANIC, Scope.WORK)
    part = kind.part_of(actor.operator_id, part_id)
    with no_clash("serial_number", _taken(kind)):
        change_row(
            kind.parts(actor.operator_id),
            part,
            actor=actor,
            now=now,
            version=version,
            changes=changes,
            kind=kind.noun,
        )
    return part


def _taken(kind: PartKind) -> str:
    return f"another {kind.noun} has this serial number"
