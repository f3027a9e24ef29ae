"""Logging what an aircraft did; the same rows sent again change nothing."""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from django.db import transaction

from fleet.audit.actions import record_additions, record_change
from fleet.gear.models import StrutInstallation, TyreInstallation
from fleet.people.actor import Actor
from fleet.people.models import Role, Scope
from fleet.refusals import Clash, Missing, Refused, require_reason
from servicing.news.actions import mark_news
from servicing.nudge import nudge
from servicing.row_faults import placed
from servicing.usage.models import Usage
from servicing.usage.queries import Stretch
from servicing.usage.rows import PreparedUsage, UsageRow, figures_of, prepare_usage


@dataclass(frozen=True, slots=True)
class LoggedUsage:
    """What became of the rows sent, in their order."""

    rows: tuple[Usage, ...]
    saved: int
    known: int


@transaction.atomic
def add_usages(
    *, actor: Actor, now: datetime, rows: Sequence[UsageRow], list_name: str | None = "usage"
) -> LoggedUsage:
    """Log several uses of aircraft: all of them or, with faults, none."""
    actor.require(Role.MEMBER, Scope.REPORT)
    prepared = prepare_usage(operator_id=actor.operator_id, now=now, rows=rows)
    if prepared.faults:
        raise Refused(
            "nothing was logged: some rows cannot be right",
            code="usage_refused",
            faults=placed(prepared.faults, list_name),
        )
    return save_usage(actor=actor, now=now, prepared=prepared)


@transaction.atomic
def save_usage(*, actor: Actor, now: datetime, prepared: PreparedUsage) -> LoggedUsage:
    """Write rows that were checked; those known already are left as they are."""
    actor.require(Role.MEMBER, Scope.REPORT)
    Usage.objects.bulk_create(prepared.new, batch_size=1000)
    record_additions(
        actor=actor,
        action="usage logged",
        subject_kind="usage",
        now=now,
        rows=((usage.id, figures_of(usage)) for usage in prepared.new),
    )
    _tell_hard_landings(actor.operator_id, prepared.new)
    return LoggedUsage(prepared.in_order, len(prepared.new), len(prepared.in_order) - len(prepared.new))


@transaction.atomic
def correct_usage(*, actor: Actor, now: datetime, usage_id: uuid.UUID, row: UsageRow, reason: str) -> Usage:
    """Put a row right by a new one that points at it; sent twice, the second changes nothing."""
    actor.require(Role.MEMBER, Scope.REPORT)
    require_reason(reason, "say why the row is corrected")
    wrong = Usage.objects.of(actor.operator_id).filter(pk=usage_id).first()
    if wrong is None:
        raise Missing("no such usage")
    known = Usage.objects.of(actor.operator_id).filter(pk=row.id).first() if row.id else None
    if known is not None and known.corrects_id == wrong.id:
        return known
    # Compare-and-set: of two people who correct the same row at once, one is told.
    if not Usage.objects.of(actor.operator_id).filter(pk=usage_id, superseded=False).update(superseded=True):
        raise Clash("this row has been corrected already: correct the newest one")
    prepared = prepare_usage(operator_id=actor.operator_id, now=now, rows=[replace(row, id=row.id or uuid.uuid4())])
    if prepared.faults:
        raise Refused("the correction cannot be right", code="usage_refused", faults=placed(prepared.faults, None))
    right = prepared.in_order[0]
    right.corrects_id = wrong.id
    right.correction_reason = reason
    right.save(force_insert=True)
    _tell_hard_landings(actor.operator_id, [wrong, right])
    _tell_parts_of(actor.operator_id, {wrong.aircraft_id, right.aircraft_id})
    record_change(
        actor=actor,
        action="usage corrected",
        subject_kind="usage",
        subject_id=right.id,
        now=now,
        before=figures_of(wrong),
        after={**figures_of(right), "reason": reason},
    )
    return right


def _tell_parts_of(operator_id: uuid.UUID, aircraft_ids: set[uuid.UUID]) -> None:
    """Let the looks of all parts that were ever on some aircraft be worked out anew: landings were put right."""
    struts = StrutInstallation.objects.of(operator_id).filter(leg__aircraft_id__in=aircraft_ids)
    tyres = TyreInstallation.objects.of(operator_id).filter(leg__aircraft_id__in=aircraft_ids)
    nudge(
        "assess_parts",
        set(struts.values_list("strut_id", flat=True)),
        set(tyres.values_list("tyre_id", flat=True)),
    )


def _tell_hard_landings(operator_id: uuid.UUID, usages: Sequence[Usage]) -> None:
    """Let every strut be looked at that was on an aircraft when it landed hard, wherever the strut is now."""
    hard = [usage for usage in usages if usage.hard_landing]
    if not hard:
        return
    installed = StrutInstallation.objects.of(operator_id).filter(
        leg__aircraft_id__in={usage.aircraft_id for usage in hard}
    )
    rows = installed.values_list("strut_id", "leg__aircraft_id", "installed_at", "removed_at")
    strut_ids = {
        strut_id
        for strut_id, aircraft_id, since, until in rows
        if any(Stretch(aircraft_id, since, until).holds(usage.aircraft_id, usage.ended_at) for usage in hard)
    }
    mark_news(operator_id=operator_id, strut_ids=strut_ids)
    nudge("assess_parts", strut_ids, ())
