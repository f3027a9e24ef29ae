"""A mistaken step of a running top-up is put right by a new row that points at it, or taken back."""

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from itertools import pairwise
from typing import Any, Final

from django.db import transaction
from django.db.models import F

from fleet.people.actor import Actor
from fleet.people.models import Role, Scope
from fleet.refusals import Clash, FieldFault, Missing, Refused, require_reason
from servicing.readings.models import StrutReading
from servicing.work.models import Servicing, TopUp, TopUpStep
from servicing.work.sittings import MORE_DOSES, length_id
from servicing.work.top_up_actions import append_step, audit, last_step, lock_top_up, new_step
from servicing.work.top_up_rows import CONDITIONS, StepRow, completed_from, row_as_json, row_of, same_step

FOLLOWS: Final = "the step before it was put right"


@transaction.atomic
def correct_step(
    *,
    actor: Actor,
    now: datetime,
    step_id: uuid.UUID,
    row: StepRow | None,
    reason: str,
    correction_id: uuid.UUID | None = None,
) -> tuple[TopUp, bool]:
    """Put a dose or look right; without a row it is taken back. Return the top-up, and whether this was new.

    Later steps that took temperature, fuel or hose from it follow. What a pause has written into the history already
    is put right there.
    """
    actor.require(Role.MECHANIC, Scope.WORK)
    require_reason(reason, "say why the step is corrected")
    steps = TopUpStep.objects.of(actor.operator_id)
    wrong = steps.filter(pk=step_id).first()
    if wrong is None:
        raise Missing("no such step")
    top_up = lock_top_up(actor.operator_id, wrong.top_up_id)
    known = steps.filter(pk=correction_id, corrects=wrong).first() if correction_id else None
    if known is not None:
        if known.withdrawn != (row is None) or (row is not None and not same_step(known, row)):
            raise Clash("this id was recorded with other figures")
        return top_up, False
    _refuse_ended(top_up, wrong)
    told = _told(list(top_up.live_steps))
    # Compare-and-set: of two people who correct the same step at once, one is told.
    if not steps.filter(pk=step_id, superseded=False, withdrawn=False).update(superseded=True):
        raise Clash("this step has been corrected already: correct the newest one")
    right = _right_step(top_up, wrong, row, now)
    right.id, right.corrects, right.correction_reason = correction_id or uuid.uuid4(), wrong, reason
    append_step(actor, top_up, right)
    _follow(actor, now, top_up, told)
    TopUp.objects.of(actor.operator_id).filter(pk=top_up.pk).update(version=F("version") + 1)
    audit(
        actor,
        now,
        "step taken back" if row is None else "step corrected",
        top_up.id,
        before=row_as_json(row_of(wrong)),
        after={**row_as_json(row or row_of(wrong)), "reason": reason, "withdrawn": row is None},
    )
    top_up.refresh_from_db()
    return top_up, True


def _refuse_ended(top_up: TopUp, wrong: TopUpStep) -> None:
    if top_up.finished_at is not None:
        raise Clash("this top-up is finished: correct the servicing and the reading that it left")
    if _is_in_history(top_up, wrong):
        raise Clash("a pause has written this step into the history: correct the servicing and the reading there")


def _is_in_history(top_up: TopUp, step: TopUpStep) -> bool:
    servicings = Servicing.objects.of(top_up.operator_id).filter(
        top_up=top_up, received_at__gte=step.received_at, correction_reason__in=["", MORE_DOSES]
    )
    lengths = StrutReading.objects.of(top_up.operator_id).filter(pk=length_id(top_up, step))
    return servicings.exists() or lengths.exists()


def _right_step(top_up: TopUp, wrong: TopUpStep, row: StepRow | None, now: datetime) -> TopUpStep:
    first = wrong.sequence == 1
    if row is None:
        if first:
            raise _fault("step", "first_look", "a top-up begins with a look: put it right instead")
        values = {field.attname: getattr(wrong, field.attname) for field in TopUpStep._meta.concrete_fields}
        return TopUpStep(**{**values, "received_at": now, "withdrawn": True, "superseded": False})
    if first and (row.amount or row.at != top_up.started_at):
        raise _fault(
            "step", "first_look", f"must stay a look at {top_up.started_at.isoformat()}: the top-up begins with it"
        )
    row = replace(row, equipment_id=row.equipment_id or wrong.equipment_id)
    return new_step(top_up, row, before=None if first else last_step(top_up, row.at), now=now)


def _told(steps: Sequence[TopUpStep]) -> dict[uuid.UUID, StepRow]:
    """Return what was said of each step, without what it took from the one before it."""
    told = {steps[0].id: row_of(steps[0])}
    for before, step in pairwise(steps):
        unsaid: dict[str, Any] = {
            name: None
            for given, name in CONDITIONS.items()
            if given not in step.as_read and getattr(step, name) == getattr(before, name)
        }
        row = replace(row_of(step), hose_connected=None, **unsaid)
        as_usual = completed_from(before, row).hose_connected == step.hose_connected
        told[step.id] = row if as_usual else replace(row, hose_connected=step.hose_connected)
    return told


def _follow(actor: Actor, now: datetime, top_up: TopUp, told: Mapping[uuid.UUID, StepRow]) -> None:
    """Replace the steps that would have taken other conditions, or another hose, from the step before them."""
    before = None
    for step in list(top_up.live_steps):
        row = completed_from(before, told[step.id]) if step.id in told else row_of(step)
        if row != row_of(step) and not _is_in_history(top_up, step):
            top_up.steps.filter(pk=step.pk).update(superseded=True)
            renewed = new_step(top_up, row, before=before, now=now)
            renewed.id, renewed.corrects, renewed.correction_reason = uuid.uuid4(), step, FOLLOWS
            append_step(actor, top_up, renewed)
            step = renewed  # what comes next follows the new one
        before = step


def _fault(field: str, code: str, message: str) -> Refused:
    return Refused(message, code="step_refused", faults=[FieldFault(field, code, message)])
