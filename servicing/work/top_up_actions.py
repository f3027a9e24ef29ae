"""Guided top-ups: started, dosed, looked at, paused and finished. Each step is a row, so that nothing is lost."""

import uuid
from dataclasses import replace
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import F

from fleet.audit.actions import record_change
from fleet.equipment.models import EquipmentKind
from fleet.people.actor import Actor
from fleet.people.models import Role, Scope
from fleet.refusals import Clash, FieldFault, Missing, Refused, Stale
from servicing.nudge import nudge
from servicing.work.models import Counted, Outcome, TopUp, TopUpStep
from servicing.work.segments import progress_of
from servicing.work.sittings import record_sittings
from servicing.work.top_up_checks import (
    COUNTED_BY_KIND,
    USUAL_OVERSHOOT_CHANCE,
    filling_equipment,
    gathered,
    known_leg,
    refuse_second,
    refuse_unfit,
    strut_on_leg,
    target_within_limits,
)
from servicing.work.top_up_rows import StepRow, row_as_json, same_step, step_from


@transaction.atomic
def start_top_up(
    *,
    actor: Actor,
    now: datetime,
    leg_id: uuid.UUID,
    look: StepRow,
    equipment_id: uuid.UUID | None = None,
    target_in: float | None = None,
    tolerance_in: float | None = None,
    overshoot_chance: float = USUAL_OVERSHOOT_CHANCE,
    hose_filled_first: bool = False,
    top_up_id: uuid.UUID | None = None,
) -> tuple[TopUp, bool]:
    """Begin a top-up with a look at the strut; return it, and whether it is new."""
    actor.require(Role.MECHANIC, Scope.WORK)
    before = TopUp.objects.of(actor.operator_id).filter(pk=top_up_id).first() if top_up_id else None
    if before is not None:
        if before.leg_id != leg_id:
            raise Clash("this id belongs to another top-up")
        return before, False
    faults: list[FieldFault] = []
    with gathered(faults):
        refuse_unfit(actor.operator_id, equipment_id)
    with gathered(faults):
        fleet, leg = known_leg(actor.operator_id, leg_id)
        with gathered(faults):
            target, tolerance = target_within_limits(leg, target_in, tolerance_in)
        with gathered(faults, "look."):
            step = step_from(look, fleet=fleet, leg=leg, before=None, now=now)
        strut_id = strut_on_leg(leg, look.at)
    if faults:
        what = faults[0].message if len(faults) == 1 else "this top-up cannot begin so"
        raise Refused(what, code="top_up_refused", faults=faults)
    refuse_second(actor.operator_id, strut_id, leg_id)
    top_up = TopUp.objects.create(
        id=top_up_id or uuid.uuid4(),
        operator_id=actor.operator_id,
        leg_id=leg_id,
        strut_id=strut_id,
        equipment_id=equipment_id,
        started_at=look.at,
        started_by_id=actor.person_id,
        target_in=target,
        tolerance_in=tolerance,
        overshoot_chance=overshoot_chance,
        hose_filled_first=hose_filled_first,
    )
    append_step(actor, top_up, step)
    audit(actor, now, "top-up started", top_up.id, after={"leg": str(leg_id), "target_in": target})
    return top_up, True


@transaction.atomic
def add_step(
    *, actor: Actor, now: datetime, top_up_id: uuid.UUID, row: StepRow, version: int | None = None
) -> tuple[TopUp, TopUpStep, bool]:
    """Record a dose or a look; return top-up, step, and whether it is new.

    A step sent again is known by its id, or without one by its moment and figures. With ``version``
    it is refused when someone else was at the strut meanwhile.
    """
    actor.require(Role.MECHANIC, Scope.WORK)
    top_up = lock_top_up(actor.operator_id, top_up_id)
    known = _known_step(top_up, row)
    if known is not None:
        return top_up, known, False
    if version is not None and version != top_up.version:
        raise Stale("someone else was at this strut since you read the plan: read the plan again, then the strut")
    if top_up.finished_at is not None:
        raise Clash("this top-up is finished: start a new one, or record the work as a servicing")
    step = new_step(top_up, row, before=last_step(top_up, row.at), now=now)
    append_step(actor, top_up, step)
    TopUp.objects.of(actor.operator_id).filter(pk=top_up.pk).update(version=F("version") + 1, paused_at=None)
    audit(actor, now, "dose recorded" if step.amount else "look recorded", top_up.id, after=row_as_json(row))
    top_up.refresh_from_db()
    return top_up, step, True


@transaction.atomic
def pause_top_up(*, actor: Actor, now: datetime, top_up_id: uuid.UUID, version: int) -> TopUp:
    """Put a top-up aside, for minutes or days; what was done so far becomes part of the history now."""
    actor.require(Role.MECHANIC, Scope.WORK)
    top_up = _claim(actor.operator_id, top_up_id, version, paused_at=now)
    record_sittings(actor=actor, now=now, top_up=top_up)
    audit(actor, now, "top-up paused", top_up.id)
    return top_up


@transaction.atomic
def finish_top_up(*, actor: Actor, now: datetime, top_up_id: uuid.UUID, version: int, note: str = "") -> TopUp:
    """End a top-up; a strut outside its limits, or not exercised since the last dose, needs a note that says why."""
    actor.require(Role.MECHANIC, Scope.WORK)
    top_up = lock_top_up(actor.operator_id, top_up_id)
    if top_up.finished_at is not None:
        return top_up
    _, leg = known_leg(actor.operator_id, top_up.leg_id)
    last = last_step(top_up)
    within = leg.sheet.low_limit_in <= last.corrected_in <= leg.sheet.high_limit_in
    shown = progress_of(list(top_up.live_steps)).pending is None
    if not (within and shown) and not note.strip():
        what = "the strut was not exercised since gas went in or out" if within else "the strut is outside its limits"
        fault = FieldFault("note", "required", f"{what}: say why it is left as it is")
        raise Refused(fault.message, code="outside_limits" if not within else "not_exercised", faults=[fault])
    outcome = Outcome.WITHIN_LIMITS if within and shown else Outcome.LEFT_AS_IS
    top_up = _claim(
        actor.operator_id, top_up_id, version, finished_at=now, paused_at=None, outcome=outcome, note=note
    )
    record_sittings(actor=actor, now=now, top_up=top_up)
    nudge("assess_parts", [top_up.strut_id], [])  # also where a pause has left no news: a look may wait for the end
    audit(actor, now, "top-up finished", top_up.id, after={"outcome": str(outcome), "note": note})
    return top_up


@transaction.atomic
def change_equipment_of_top_up(
    *, actor: Actor, now: datetime, top_up_id: uuid.UUID, version: int, equipment_id: uuid.UUID | None
) -> TopUp:
    """Go on with other equipment."""
    actor.require(Role.MECHANIC, Scope.WORK)
    refuse_unfit(actor.operator_id, equipment_id)
    top_up = _claim(actor.operator_id, top_up_id, version, equipment_id=equipment_id)
    audit(actor, now, "top-up equipment changed", top_up.id, after={"equipment": str(equipment_id)})
    return top_up


def lock_top_up(operator_id: uuid.UUID, top_up_id: uuid.UUID) -> TopUp:
    """Return a top-up that nobody else can add to until this transaction ends."""
    rows = TopUp.objects.of(operator_id).filter(pk=top_up_id)
    # An update takes the row's lock on PostgreSQL; SQLite's transaction holds the only writer's lock anyway.
    if not rows.update(version=F("version")):
        raise Missing("no such top-up")
    return rows.get()


def last_step(top_up: TopUp, at: datetime | None = None) -> TopUpStep:
    """Return the step before a moment, or the last of all; the first look where none is earlier."""
    steps = list(top_up.live_steps)
    earlier = [step for step in steps if at is None or step.at <= at]
    return earlier[-1] if earlier else steps[0]


def new_step(top_up: TopUp, row: StepRow, *, before: TopUpStep | None, now: datetime) -> TopUpStep:
    """Return the unsaved step of a running top-up, or refuse it."""
    if row.at < top_up.started_at:
        fault = FieldFault(
            "at", "before_start", f"must not lie before the first look, {top_up.started_at.isoformat()}"
        )
        raise Refused(fault.message, code="step_refused", faults=[fault])
    fleet, leg = known_leg(top_up.operator_id, top_up.leg_id)
    if leg.strut_at(row.at) != top_up.strut_id:
        raise Clash("the strut of this top-up is no longer on this leg: finish it, and start one where the strut is")
    return step_from(_with_supply(top_up, row), fleet=fleet, leg=leg, before=before, now=now)


def append_step(actor: Actor, top_up: TopUp, step: TopUpStep) -> None:
    """Write a step: behind those that came in before it, or in the place and by the hand of the one it corrects."""
    if step.corrects:
        step.sequence, step.person_id = step.corrects.sequence, step.corrects.person_id
    else:
        step.sequence, step.person_id = top_up.steps.filter(superseded=False).count() + 1, actor.person_id
    step.top_up = top_up
    step.save(force_insert=True)


def _known_step(top_up: TopUp, row: StepRow) -> TopUpStep | None:
    if row.id is None:
        return next((step for step in top_up.steps.filter(at=row.at) if same_step(step, row)), None)
    step = TopUpStep.objects.of(top_up.operator_id).filter(pk=row.id).first()
    if step is None:
        return None
    if step.top_up_id != top_up.id or not same_step(step, row):
        raise Clash("this id was recorded with other figures")
    return step


def _with_supply(top_up: TopUp, row: StepRow) -> StepRow:
    """Return a row with what the gas came from, and in what that is counted."""
    if not row.amount:
        return replace(row, equipment_id=None, counted="")
    named = row.equipment_id or top_up.equipment_id
    # Gas goes out by the strut's own valve.
    equipment = None if row.released else filling_equipment(top_up.operator_id, named)
    counted = COUNTED_BY_KIND[EquipmentKind(equipment.kind)] if equipment else None
    usual = Counted.SECONDS if row.released else counted
    if usual and row.counted not in ("", usual):
        fault = FieldFault("counted", "other_unit", f"this gas is counted in {usual}, not in {row.counted}")
        raise Refused(fault.message, code="step_refused", faults=[fault])
    return replace(
        row,
        equipment_id=equipment.id if equipment else None,
        counted=row.counted or usual or Counted.STROKES,
    )


def _claim(operator_id: uuid.UUID, top_up_id: uuid.UUID, version: int, **values: Any) -> TopUp:
    """Change a top-up that is as the caller read it."""
    rows = TopUp.objects.of(operator_id).filter(pk=top_up_id)
    if rows.filter(version=version, finished_at__isnull=True).update(version=F("version") + 1, **values):
        return rows.get()
    top_up = rows.first()
    if top_up is None:
        raise Missing("no such top-up")
    if top_up.finished_at is not None:
        raise Clash("this top-up is finished")
    raise Stale("this top-up has changed since you read it")


def audit(actor: Actor, now: datetime, action: str, subject_id: uuid.UUID, **values: Any) -> None:
    """Record a change of a top-up."""
    record_change(actor=actor, action=action, subject_kind="top-up", subject_id=subject_id, now=now, **values)
