"""Putting installations right that were entered wrongly."""

import uuid
from datetime import datetime
from typing import Any

from django.db import transaction

from fleet.aircraft.outdated import mark_readings_outdated
from fleet.audit.actions import record_change
from fleet.changes import change_row
from fleet.gear.installing import as_recorded, lock_places, refuse_future
from fleet.gear.kinds import PartKind
from fleet.gear.occupation import refuse_overlap
from fleet.people.actor import Actor
from fleet.people.models import Role, Scope
from fleet.refusals import Missing, Stale


@transaction.atomic
def correct_installation(
    *,
    actor: Actor,
    now: datetime,
    kind: PartKind,
    installation_id: uuid.UUID,
    version: int,
    changes: dict[str, Any],
) -> Any:
    """Put the moments or the reason of an installation right."""
    actor.require(Role.MECHANIC, Scope.WORK)
    row = _locked(actor, kind, installation_id)
    refuse_future(now, **{name: changes.get(name) for name in ("installed_at", "removed_at")})
    wanted = kind.installation(
        pk=row.pk,
        operator_id=row.operator_id,
        leg_id=row.leg_id,
        installed_at=changes.get("installed_at", row.installed_at),
        removed_at=changes.get("removed_at", row.removed_at),
        **{f"{kind.noun}_id": getattr(row, f"{kind.noun}_id")},
    )
    refuse_overlap(kind, wanted)
    changed = change_row(
        kind.installations(actor.operator_id),
        row,
        actor=actor,
        now=now,
        version=version,
        changes=changes,
        kind=f"{kind.noun} installation",
    )
    if changed:
        mark_readings_outdated(operator_id=actor.operator_id, leg_ids=[row.leg_id], now=now)
    return row


@transaction.atomic
def withdraw_installation(
    *, actor: Actor, now: datetime, kind: PartKind, installation_id: uuid.UUID, version: int
) -> None:
    """Take back an installation that never was; the audit trail keeps what it said."""
    actor.require(Role.MECHANIC, Scope.WORK)
    row = _locked(actor, kind, installation_id)
    deleted, _ = kind.installations(actor.operator_id).filter(pk=row.pk, version=version).delete()
    if not deleted:
        raise Stale("this installation has changed since you read it; read it again")
    record_change(
        actor=actor,
        action=f"{kind.noun} installation withdrawn",
        subject_kind=f"{kind.noun} installation",
        subject_id=installation_id,
        now=now,
        before=as_recorded(kind, row),
    )
    mark_readings_outdated(operator_id=actor.operator_id, leg_ids=[row.leg_id], now=now)


def _locked(actor: Actor, kind: PartKind, installation_id: uuid.UUID) -> Any:
    row = kind.installations(actor.operator_id).filter(pk=installation_id).first()
    if row is None:
        raise Missing("no such installation")
    lock_places(actor, kind, [row.leg_id], [getattr(row, f"{kind.noun}_id")])
    return row
