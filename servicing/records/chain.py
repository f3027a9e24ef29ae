"""Completed entries are linked: each holds the digest of the one before, so that an altered one shows."""

import hashlib
import json
import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any, Final

from fleet.audit.models import AuditEntry
from fleet.operators.models import Operator
from servicing.records.models import RecordEntry

COMPLETED: Final = "record entry completed"
FIRST: Final = "0" * 64  # what the first entry has before it
NOT_DIGESTED: Final = frozenset({"digest", "version"})  # the version only counts edits of the draft


@dataclass(frozen=True, slots=True)
class ChainFault:
    """One entry that is not as it was completed."""

    number: int
    entry_id: str
    code: str
    message: str


@dataclass(frozen=True, slots=True)
class ChainReport:
    """What looking at every completed entry showed."""

    entries: int
    head_digest: str
    faults: tuple[ChainFault, ...]


def digest_of(entry: RecordEntry) -> str:
    """Return the SHA-256 of everything that an entry says, in hexadecimal."""
    content = {
        field.attname: _plain(getattr(entry, field.attname))
        for field in RecordEntry._meta.concrete_fields
        if field.attname not in NOT_DIGESTED
    }
    text = json.dumps(content, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def last_link(operator_id: uuid.UUID) -> tuple[int, str]:
    """Return number and digest of the last completed entry; hold the operator's row while you add one."""
    last = (
        RecordEntry.objects.of(operator_id)
        .filter(completed_at__isnull=False)
        .order_by("-number")
        .values_list("number", "digest")
        .first()
    )
    return last or (0, FIRST)  # type: ignore[return-value]  # completed entries have a number, by constraint


def check_chain(operator: Operator) -> ChainReport:
    """Look at every completed entry of an operator, and at the audit trail's own note of each."""
    entries = list(RecordEntry.objects.of(operator).filter(completed_at__isnull=False).order_by("number"))
    faults: list[ChainFault] = []
    before = FIRST
    for expected_number, entry in enumerate(entries, start=1):
        number = entry.number or 0
        if number != expected_number:
            faults.append(_fault(entry, "missing_before", f"expected number {expected_number}: one is missing"))
            break
        if entry.previous_digest != before:
            faults.append(_fault(entry, "unlinked", "does not hold the digest of the entry before it"))
        if digest_of(entry) != entry.digest:
            faults.append(_fault(entry, "altered", "its content is not what was completed"))
        before = entry.digest
    faults.extend(_against_audit(operator, entries))
    return ChainReport(len(entries), before, tuple(faults))


def _against_audit(operator: Operator, entries: Sequence[RecordEntry]) -> list[ChainFault]:
    """Find entries re-digested, cut off at the end or put there: the audit trail noted number and digest of each."""
    present = {entry.number: entry for entry in entries}
    noted = list(AuditEntry.objects.of(operator).filter(action=COMPLETED).values_list("subject_id", "after"))
    known = {entry_id for entry_id, _ in noted}
    faults = [
        _fault(entry, "not_noted", "the audit trail knows of no completion of it")
        for entry in entries
        if entry.id not in known
    ]
    for entry_id, after in noted:
        after = after or {}
        entry = present.get(after.get("number"))
        if entry is None or entry.id != entry_id:
            faults.append(ChainFault(after.get("number", 0), str(entry_id), "gone", "was completed and is gone"))
        elif entry.digest != after.get("digest"):
            faults.append(_fault(entry, "digest_changed", "its digest is not the one noted at completion"))
    return faults


def _fault(entry: RecordEntry, code: str, message: str) -> ChainFault:
    return ChainFault(entry.number or 0, str(entry.id), code, message)


def _plain(value: Any) -> Any:
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat(timespec="microseconds")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, uuid.UUID):
        return str(value)
    return value
