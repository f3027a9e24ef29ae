"""Parts going on legs and coming off them. Nothing ever overlaps, whatever date is given."""

import uuid
from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction

from fleet.aircraft.models import Leg
from fleet.aircraft.outdated import mark_readings_outdated
from fleet.audit.actions import record_change
from fleet.changes import audit_value
from fleet.gear.kinds import PartKind
from fleet.gear.occupation import refuse_overlap
from fleet.people.actor import Actor
from fleet.people.models import Role, Scope
from fleet.refusals import Clash, FieldFault, Missing, Refused

CLOCK_AHEAD = timedelta(minutes=10)  # a phone's clock may run ahead by so much


@transaction.atomic
def install_part(
    *,
    actor: Actor,
    now: datetime,
    kind: PartKind,
    part_id: uuid.UUID,
    leg_id: uuid.UUID,
    installed_at: datetime,
    removed_at: datetime | None = None,
    removal_reason: str = "",
    installation_id: uuid.UUID | None = None,
) -> Any:
    """Put a part on a leg from a moment on, or for a time that is over already."""
    actor.require(Role.MECHANIC, Scope.WORK)
    refuse_future(now, installed_at=installed_at, removed_at=removed_at)
    lock_places(actor, kind, [leg_id], [part_id])
    row = kind.installation(
        id=installation_id or uuid.uuid4(),
        operator_id=actor.operator_id,
        leg_id=leg_id,
        installed_at=installed_at,
        removed_at=removed_at,
        removal_reason=removal_reason,
        **{f"{kind.noun}_id": part_id},
    )
    refuse_overlap(kind, row)
    row.save(force_insert=True)
    _record(actor, now, kind, row, "installed", after=as_recorded(kind, row))
    mark_readings_outdated(operator_id=actor.operator_id, leg_ids=[leg_id], now=now)
    return row


@transaction.atomic
def remove_part(
    *, actor: Actor, now: datetime, kind: PartKind, part_id: uuid.UUID, removed_at: datetime, reason: str
) -> Any:
    """Take a part off the leg that it is on."""
    actor.require(Role.MECHANIC, Scope.WORK)
    refuse_future(now, removed_at=removed_at)
    return _take_off(actor, now, kind, part_id, removed_at, reason, "removed_at")


@transaction.atomic
def move_part(
    *,
    actor: Actor,
    now: datetime,
    kind: PartKind,
    part_id: uuid.UUID,
    leg_id: uuid.UUID,
    moved_at: datetime,
    reason: str,
) -> Any:
    """Take a part from its leg to another, which must be empty from then on; return where it is now."""
    actor.require(Role.MECHANIC, Scope.WORK)
    refuse_future(now, moved_at=moved_at)
    here = _current(actor, kind, part_id)
    lock_places(actor, kind, [here.leg_id, leg_id], [part_id])
    _take_off(actor, now, kind, part_id, moved_at, reason, "moved_at")
    return install_part(actor=actor, now=now, kind=kind, part_id=part_id, leg_id=leg_id, installed_at=moved_at)


@transaction.atomic
def swap_parts(
    *,
    actor: Actor,
    now: datetime,
    kind: PartKind,
    part_id: uuid.UUID,
    other_id: uuid.UUID,
    swapped_at: datetime,
    reason: str,
) -> tuple[Any, Any]:
    """Let two installed parts change places; return where each is now."""
    actor.require(Role.MECHANIC, Scope.WORK)
    refuse_future(now, swapped_at=swapped_at)
    if part_id == other_id:
        raise _fault("other", "same_part", f"name another {kind.noun}")
    here, there = _current(actor, kind, part_id), _current(actor, kind, other_id)
    lock_places(actor, kind, [here.leg_id, there.leg_id], [part_id, other_id])
    for each in (part_id, other_id):
        _take_off(actor, now, kind, each, swapped_at, reason, "swapped_at")
    one, other = (
        install_part(actor=actor, now=now, kind=kind, part_id=each, leg_id=place, installed_at=swapped_at)
        for each, place in ((part_id, there.leg_id), (other_id, here.leg_id))
    )
    return one, other


@transaction.atomic
def replace_part(
    *,
    actor: Actor,
    now: datetime,
    kind: PartKind,
    part_id: uuid.UUID,
    by_id: uuid.UUID,
    replaced_at: datetime,
    reason: str,
) -> Any:
    """Put one part in another's place; return the new one's installation."""
    actor.require(Role.MECHANIC, Scope.WORK)
    refuse_future(now, replaced_at=replaced_at)
    here = _current(actor, kind, part_id)
    lock_places(actor, kind, [here.leg_id], [part_id, by_id])
    _take_off(actor, now, kind, part_id, replaced_at, reason, "replaced_at")
    return install_part(actor=actor, now=now, kind=kind, part_id=by_id, leg_id=here.leg_id, installed_at=replaced_at)


def lock_places(actor: Actor, kind: PartKind, leg_ids: Iterable[uuid.UUID], part_ids: Iterable[uuid.UUID]) -> None:
    """Refuse what is not the operator's; hold the rest, always in the same order, until the change is done."""
    legs, parts = set(leg_ids), set(part_ids)
    found = Leg.objects.of(actor.operator_id).filter(pk__in=legs).order_by("pk").select_for_update(no_key=True)
    if len(found) < len(legs):
        raise Missing("no such leg")
    rows = kind.parts(actor.operator_id).filter(pk__in=parts).order_by("pk").select_for_update(no_key=True)
    if len(rows) < len(parts):
        raise Missing(f"no such {kind.noun}")


def as_recorded(kind: PartKind, row: Any) -> dict[str, Any]:
    """Return an installation as the audit trail keeps it."""
    names = (f"{kind.noun}_id", "leg_id", "installed_at", "removed_at", "removal_reason")
    return {name: audit_value(getattr(row, name)) for name in names}


def _current(actor: Actor, kind: PartKind, part_id: uuid.UUID) -> Any:
    kind.part_of(actor.operator_id, part_id)
    row = kind.installations(actor.operator_id).filter(**{kind.noun: part_id}, removed_at__isnull=True).first()
    if row is None:
        raise Clash(f"this {kind.noun} is on no leg", code="not_installed")
    return row


def _take_off(
    actor: Actor, now: datetime, kind: PartKind, part_id: uuid.UUID, at: datetime, reason: str, field: str
) -> Any:
    row = _current(actor, kind, part_id)
    if at <= row.installed_at:
        raise _fault(field, "before_installation", f"must lie after {row.installed_at.isoformat()}, when it went on")
    rows = kind.installations(actor.operator_id).filter(pk=row.pk, version=row.version, removed_at__isnull=True)
    if not rows.update(removed_at=at, removal_reason=reason, version=row.version + 1):
        raise Clash(f"this {kind.noun} has just been taken off by someone else", code="not_installed")
    before = as_recorded(kind, row)
    row.removed_at, row.removal_reason, row.version = at, reason, row.version + 1
    _record(actor, now, kind, row, "removed", before=before, after=as_recorded(kind, row))
    mark_readings_outdated(operator_id=actor.operator_id, leg_ids=[row.leg_id], now=now)
    return row


def refuse_future(now: datetime, **moments: datetime | None) -> None:
    """Refuse moments that have not come yet, all at once."""
    late = [name for name, moment in moments.items() if moment is not None and moment > now + CLOCK_AHEAD]
    if late:
        message = f"must not lie ahead of {now.isoformat()}"
        raise Refused(
            message, code="in_the_future", faults=[FieldFault(name, "in_the_future", message) for name in late]
        )


def _fault(field: str, code: str, message: str) -> Refused:
    return Refused(message, code=code, faults=[FieldFault(field, code, message)])


def _record(actor: Actor, now: datetime, kind: PartKind, row: Any, deed: str, **values: Any) -> None:
    record_change(
        actor=actor,
        action=f"{kind.noun} {deed}",
        subject_kind=kind.noun,
        subject_id=getattr(row, f"{kind.noun}_id"),
        now=now,
        **values,
    )
