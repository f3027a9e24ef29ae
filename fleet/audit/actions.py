"""Writing the audit trail, in the transaction of the change itself."""

import uuid
from collections.abc import Iterable
from datetime import datetime
from typing import Any

from fleet.audit.models import AuditEntry
from fleet.people.actor import Actor


def record_change(
    *,
    actor: Actor,
    action: str,
    subject_kind: str,
    subject_id: uuid.UUID,
    now: datetime,
    before: dict[str, Any] | None = None,
    after: dict[str, Any] | None = None,
) -> AuditEntry:
    """Append one entry; values must be JSON-ready and free of secrets."""
    entry = _entry(actor, action, subject_kind, subject_id, now, before, after)
    entry.save(force_insert=True)
    return entry


def record_additions(
    *, actor: Actor, action: str, subject_kind: str, now: datetime, rows: Iterable[tuple[uuid.UUID, dict[str, Any]]]
) -> None:
    """Append an entry for each of many rows (id, values) that were added together."""
    entries = [_entry(actor, action, subject_kind, subject_id, now, None, after) for subject_id, after in rows]
    AuditEntry.objects.bulk_create(entries, batch_size=1000)


def _entry(
    actor: Actor,
    action: str,
    subject_kind: str,
    subject_id: uuid.UUID,
    now: datetime,
    before: dict[str, Any] | None,
    after: dict[str, Any] | None,
) -> AuditEntry:
    return AuditEntry(
        operator_id=actor.operator_id,
        at=now,
        person_id=actor.person_id,
        token_id=actor.token_id,
        action=action,
        subject_kind=subject_kind,
        subject_id=subject_id,
        before=before,
        after=after,
    )
