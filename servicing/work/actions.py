"""Recording work on struts and tyres; the same rows sent again change nothing."""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from django.db import transaction

from fleet.audit.actions import record_additions, record_change
from fleet.people.actor import Actor
from fleet.people.models import Role, Scope
from fleet.refusals import Clash, Missing, Refused, require_reason
from servicing.news.actions import mark_news
from servicing.nudge import nudge
from servicing.row_faults import placed
from servicing.work.models import Servicing
from servicing.work.rows import (
    PreparedServicings,
    ServicingRow,
    prepare_servicings,
    servicing_as_json,
)


@dataclass(frozen=True, slots=True)
class RecordedServicings:
    """What became of the rows sent, in their order."""

    rows: tuple[Servicing, ...]
    saved: int
    known: int


@transaction.atomic
def add_servicings(
    *, actor: Actor, now: datetime, rows: Sequence[ServicingRow], list_name: str | None = "servicings"
) -> RecordedServicings:
    """Record several servicings: all of them or, with faults, none. Late ones re-open the history."""
    actor.require(Role.MECHANIC, Scope.WORK)
    prepared = prepare_servicings(operator_id=actor.operator_id, now=now, rows=rows)
    if prepared.faults:
        raise Refused(
            "nothing was recorded: some rows cannot be right",
            code="servicings_refused",
            faults=placed(prepared.faults, list_name),
        )
    return save_servicings(actor=actor, now=now, prepared=prepared)


@transaction.atomic
def save_servicings(*, actor: Actor, now: datetime, prepared: PreparedServicings) -> RecordedServicings:
    """Write rows that were checked; those known already are left as they are."""
    actor.require(Role.MECHANIC, Scope.WORK)
    Servicing.objects.bulk_create(prepared.new, batch_size=1000)
    record_additions(
        actor=actor,
        action="servicing recorded",
        subject_kind="servicing",
        now=now,
        rows=((servicing.id, servicing_as_json(servicing)) for servicing in prepared.new),
    )
    tell_news(prepared.new)
    return RecordedServicings(prepared.in_order, len(prepared.new), len(prepared.in_order) - len(prepared.new))


@transaction.atomic
def correct_servicing(
    *,
    actor: Actor,
    now: datetime,
    servicing_id: uuid.UUID,
    row: ServicingRow | None,
    reason: str,
    correction_id: uuid.UUID | None = None,
) -> Servicing:
    """Put a servicing right by a new row that points at it; without a row it is taken back."""
    actor.require(Role.MECHANIC, Scope.WORK)
    require_reason(reason, "say why the servicing is corrected")
    servicings = Servicing.objects.of(actor.operator_id)
    wrong = servicings.filter(pk=servicing_id).first()
    if wrong is None:
        raise Missing("no such servicing")
    known = servicings.filter(pk=correction_id, corrects=wrong).first() if correction_id else None
    if known is not None:
        return known
    # Compare-and-set: of two people who correct the same row at once, one is told.
    if not servicings.filter(pk=servicing_id, superseded=False).update(superseded=True):
        raise Clash("this servicing has been corrected already: correct the newest row")
    right = _right_row(actor, now, wrong, row, correction_id or uuid.uuid4())
    right.corrects, right.correction_reason = wrong, reason
    right.save(force_insert=True)
    record_change(
        actor=actor,
        action="servicing withdrawn" if row is None else "servicing corrected",
        subject_kind="servicing",
        subject_id=right.id,
        now=now,
        before=servicing_as_json(wrong),
        after={**servicing_as_json(right), "reason": reason, "withdrawn": row is None},
    )
    tell_news([wrong, right])
    return right


def tell_news(servicings: Sequence[Servicing]) -> None:
    """Let drift look again at every part that was worked on."""
    if not servicings:
        return
    strut_ids = {servicing.strut_id for servicing in servicings if servicing.strut_id}
    tyre_ids = {servicing.tyre_id for servicing in servicings if servicing.tyre_id}
    mark_news(operator_id=servicings[0].operator_id, strut_ids=strut_ids, tyre_ids=tyre_ids)
    nudge("assess_parts", strut_ids, tyre_ids)


def _right_row(
    actor: Actor, now: datetime, wrong: Servicing, row: ServicingRow | None, new_id: uuid.UUID
) -> Servicing:
    if row is None:
        values = {field.attname: getattr(wrong, field.attname) for field in Servicing._meta.concrete_fields}
        return Servicing(**{**values, "id": new_id, "received_at": now, "withdrawn": True, "superseded": False})
    prepared = prepare_servicings(operator_id=actor.operator_id, now=now, rows=[replace(row, id=new_id)])
    if prepared.faults:
        raise Refused(
            "the correction cannot be right", code="servicings_refused", faults=placed(prepared.faults, None)
        )
    right = prepared.in_order[0]
    right.top_up_id = right.top_up_id or wrong.top_up_id
    return right
