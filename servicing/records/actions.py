"""Entries drafted, changed, completed once, and amended by new ones."""

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from django.db import transaction
from django.db.models import F, Q

from fleet.audit.actions import record_change
from fleet.operators.local_day import today_at
from fleet.operators.models import Operator
from fleet.people.actor import Actor
from fleet.people.models import Person, Role, Scope
from fleet.refusals import Clash, FieldFault, Missing, Refused, Stale
from servicing.records.advice import Advice, advise, as_json, field_of
from servicing.records.chain import COMPLETED, digest_of, last_link
from servicing.records.drafting import Source, draft_from
from servicing.records.entered import not_entered
from servicing.records.models import RecordEntry
from servicing.records.queries import entries_of

# What a person may write into a draft.
EDITABLE: Final = (
    "description",
    "data_reference",
    "parts",
    "location",
    "work_completed_on",
    "performed_by",
    "approver_name",
    "certificate_kind",
    "certificate_number",
    "declaration",
    "operation",
    "total_time_hours",
    "total_landings",
)


@dataclass(frozen=True, slots=True)
class Signature:
    """What whoever approves types: it is the signature of the entry."""

    text: str
    certificate_kind: str | None = None
    certificate_number: str | None = None
    approver_name: str | None = None
    advice_read: bool = False


@transaction.atomic
def draft_entry(
    *, actor: Actor, now: datetime, source: Source, entry_id: uuid.UUID | None = None
) -> tuple[RecordEntry, bool]:
    """Draft an entry from work; return it, and whether it is new. The same work is drafted once."""
    actor.require(Role.MECHANIC, Scope.WORK)
    operator = Operator.objects.get(pk=actor.operator_id)
    _wait_for_others(operator.id)  # two people who draft the same work at once get one draft
    known = _known_draft(actor.operator_id, source, entry_id)
    if known is not None:
        return known, False
    source = not_entered(source)
    person = Person.objects.of(operator).filter(pk=actor.person_id).first() if actor.person_id else None
    entry = draft_from(operator, source, by=person, now=now)
    entry.id = entry_id or uuid.uuid4()
    entry.save(force_insert=True)
    _audit(actor, now, "record entry drafted", entry, after={"tasks": entry.tasks})
    return entry, True


@transaction.atomic
def change_draft(
    *, actor: Actor, now: datetime, entry_id: uuid.UUID, version: int, changes: Mapping[str, Any]
) -> RecordEntry:
    """Change what a draft says."""
    actor.require(Role.MECHANIC, Scope.WORK)
    before = open_draft(actor.operator_id, entry_id)
    if (
        not _drafts(actor.operator_id)
        .filter(pk=entry_id, version=version)
        .update(**changes, version=F("version") + 1)
    ):
        raise Stale("this draft has changed since you read it")
    after = RecordEntry.objects.of(actor.operator_id).get(pk=entry_id)
    _audit(actor, now, "record entry changed", after, before=_said(before, changes), after=_said(after, changes))
    return after


@transaction.atomic
def discard_draft(*, actor: Actor, now: datetime, entry_id: uuid.UUID, version: int) -> RecordEntry:
    """Put a draft away; it stays to be seen."""
    actor.require(Role.MECHANIC, Scope.WORK)
    open_draft(actor.operator_id, entry_id)
    drafts = _drafts(actor.operator_id).filter(pk=entry_id, version=version)
    if not drafts.update(discarded_at=now, version=F("version") + 1):
        raise Stale("this draft has changed since you read it")
    entry = RecordEntry.objects.of(actor.operator_id).get(pk=entry_id)
    _audit(actor, now, "record entry discarded", entry)
    return entry


@transaction.atomic
def complete_entry(
    *, actor: Actor, now: datetime, entry_id: uuid.UUID, version: int, signature: Signature
) -> RecordEntry:
    """Sign and complete an entry: from here on the database lets nobody change it."""
    actor.require(Role.MECHANIC, Scope.WORK)
    _wait_for_others(actor.operator_id)  # the chain has one end
    entry = open_draft(actor.operator_id, entry_id)
    if entry.version != version:
        raise Stale("this draft has changed since you read it")
    _refuse_not_done_yet(entry, now)
    _sign(entry, signature)
    advice = advise(entry)
    _refuse_incomplete(advice, signature)
    number, previous = last_link(actor.operator_id)
    entry.completed_at = now
    entry.completed_by_id = actor.person_id
    entry.advice = [as_json(finding) for finding in advice.findings]
    entry.number, entry.previous_digest = number + 1, previous
    entry.version = version + 1
    entry.digest = digest_of(entry)
    entry.save(force_update=True)
    _audit(actor, now, COMPLETED, entry, after={"number": entry.number, "digest": entry.digest})
    return entry


@transaction.atomic
def amend_entry(
    *, actor: Actor, now: datetime, entry_id: uuid.UUID, reason: str, amendment_id: uuid.UUID | None = None
) -> tuple[RecordEntry, bool]:
    """Begin a new entry that amends a completed one; return it, and whether it is new."""
    actor.require(Role.MECHANIC, Scope.WORK)
    entry = entry_of(actor.operator_id, entry_id)
    if entry.completed_at is None:
        raise Clash("only a completed entry is amended: change the draft instead")
    amendments = RecordEntry.objects.of(actor.operator_id).filter(amends=entry)
    known = amendments.filter(pk=amendment_id).first() if amendment_id else None
    if known is not None:
        return known, False
    kept = ("aircraft_id", "leg_id", "servicing_id", "top_up_id", "tasks", "jurisdiction", *EDITABLE)
    amendment = RecordEntry(
        id=amendment_id or uuid.uuid4(),
        operator_id=actor.operator_id,
        created_at=now,
        created_by_id=actor.person_id,
        amends=entry,
        amendment_reason=reason,
        **{name: getattr(entry, name) for name in kept},
    )
    amendment.save(force_insert=True)
    _audit(actor, now, "record entry amendment drafted", amendment, after={"amends": entry.number, "reason": reason})
    return amendment, True


def entry_of(operator_id: uuid.UUID, entry_id: uuid.UUID) -> RecordEntry:
    """Return one entry, or refuse."""
    entry = entries_of(operator_id).filter(pk=entry_id).first()
    if entry is None:
        raise Missing("no such record entry")
    return entry


def open_draft(operator_id: uuid.UUID, entry_id: uuid.UUID) -> RecordEntry:
    """Return an entry that may still change, or refuse."""
    entry = entry_of(operator_id, entry_id)
    if entry.completed_at is not None:
        raise Clash("this entry is completed and never changes: amend it by a new one", code="entry_completed")
    if entry.discarded_at is not None:
        raise Clash("this draft was discarded", code="entry_discarded")
    return entry


def _wait_for_others(operator_id: uuid.UUID) -> None:
    # Takes the row's lock on PostgreSQL; SQLite's transaction holds the only writer's lock anyway.
    Operator.objects.filter(pk=operator_id).update(version=F("version"))


def _drafts(operator_id: uuid.UUID) -> Any:
    return RecordEntry.objects.of(operator_id).filter(completed_at__isnull=True, discarded_at__isnull=True)


def _known_draft(operator_id: uuid.UUID, source: Source, entry_id: uuid.UUID | None) -> RecordEntry | None:
    entries = RecordEntry.objects.of(operator_id)
    servicing = source.servicings[-1]
    same_work = Q(top_up=source.top_up) if source.top_up else Q(servicing=servicing, top_up=None)
    of_work = entries.filter(same_work, amends__isnull=True)
    if entry_id and (named := entries.filter(pk=entry_id).first()):
        if not of_work.filter(pk=named.pk).exists():
            raise Clash("this id belongs to an entry of other work")
        return named
    drafted = of_work.filter(discarded_at__isnull=True).first()
    if drafted is None and source.top_up is None and servicing.top_up_id:
        # The entry of the whole top-up has this gas in it.
        whole = entries.filter(top_up=servicing.top_up_id, amends__isnull=True, discarded_at__isnull=True)
        return whole.first()
    return drafted


def _sign(entry: RecordEntry, signature: Signature) -> None:
    entry.signature = signature.text.strip()
    for name in ("certificate_kind", "certificate_number", "approver_name"):
        typed = getattr(signature, name)
        if typed is not None:
            setattr(entry, name, typed)


def _refuse_not_done_yet(entry: RecordEntry, now: datetime) -> None:
    today = today_at(entry.operator.time_zone, now)
    if entry.work_completed_on is not None and entry.work_completed_on > today:
        fault = FieldFault("work_completed_on", "in_the_future", f"must not lie ahead of today, {today.isoformat()}")
        raise Refused(fault.message, code="entry_ahead_of_work", faults=[fault])


def _refuse_incomplete(advice: Advice, signature: Signature) -> None:
    if advice.missing:
        raise Refused(
            "the entry lacks required elements",
            code="entry_incomplete",
            faults=[
                FieldFault(field_of(finding), finding.code, f"{finding.message} ({finding.rule.reference})")
                for finding in advice.missing
            ],
        )
    if advice.grave and not signature.advice_read:
        raise Refused(
            "the published rules raise doubts; read them, then send advice_read: true if you still sign",
            code="advice_not_read",
            faults=[
                FieldFault("advice_read", finding.code, f"{finding.message} ({finding.rule.reference})")
                for finding in advice.grave
            ],
        )


def _said(entry: RecordEntry, changes: Mapping[str, Any]) -> dict[str, Any]:
    values = {name: getattr(entry, name) for name in changes}
    return {
        name: value if isinstance(value, str | int | float | None) else str(value) for name, value in values.items()
    }


def _audit(actor: Actor, now: datetime, action: str, entry: RecordEntry, **values: Any) -> None:
    record_change(actor=actor, action=action, subject_kind="record entry", subject_id=entry.id, now=now, **values)
