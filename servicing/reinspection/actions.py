"""Looks that findings and people ask for, put off or close."""

import uuid
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import F

from fleet.aircraft.models import Leg
from fleet.audit.actions import record_change
from fleet.operators.local_day import today_at
from fleet.operators.models import Operator
from fleet.people.actor import Actor
from fleet.people.models import Role, Scope
from fleet.refusals import Clash, FieldFault, Missing, Refused, Stale
from servicing.drift.models import FindingChange
from servicing.reinspection.closing import STILL_ASKED, close_look
from servicing.reinspection.models import PutOff, Reason, Reinspection
from servicing.reinspection.parts import installed_parts

PUT_OFF_AT_MOST_DAYS = 90


def open_look_for_finding(
    *, change: FindingChange, operator: Operator, leg_id: uuid.UUID, reason: Reason, look_for: str, due_on: date
) -> Reinspection:
    """Open the look that a finding asks for; earlier ones for the same part give way, their earlier date stays."""
    earlier = _open_looks_for_findings(operator, change)
    due_on = min([due_on, *(look.due_on for look in earlier)])
    for look in earlier:
        close_look(operator=operator, look=look, now=change.at, reason="covered by the look for a newer finding")
    return Reinspection.objects.create(
        operator=operator,
        leg_id=leg_id,
        strut_id=change.strut_id,
        tyre_id=change.tyre_id,
        reason=reason,
        look_for=look_for[:300],
        opened_at=change.at,
        counts_from=change.at,
        cause_id=change.id,
        due_on=due_on,
    )


def close_looks_for_finding(*, change: FindingChange, operator: Operator) -> None:
    """Close what findings asked for: the part is found to be right again."""
    gone = change.finding_before.replace("_", " ")
    for look in _open_looks_for_findings(operator, change):
        close_look(operator=operator, look=look, now=change.at, reason=f"no longer found: {gone}")


def _open_looks_for_findings(operator: Operator, change: FindingChange) -> list[Reinspection]:
    of_part = {"strut": change.strut_id} if change.strut_id else {"tyre": change.tyre_id}
    asked_by_findings = [Reason.DRIFT, Reason.SUSPECT]
    return list(Reinspection.objects.of(operator).filter(STILL_ASKED, **of_part, reason__in=asked_by_findings))


@transaction.atomic
def request_reinspection(
    *,
    actor: Actor,
    now: datetime,
    leg_id: uuid.UUID,
    part: str,
    look_for: str,
    due_on: date,
    due_landings: int | None = None,
    due_hours: float | None = None,
    reinspection_id: uuid.UUID | None = None,
) -> Reinspection:
    """Ask for a look at the ``"strut"`` or ``"tyre"`` of a leg."""
    actor.require(Role.MECHANIC, Scope.WORK)
    leg = Leg.objects.of(actor.operator_id).select_related("operator").filter(pk=leg_id).first()
    if leg is None:
        raise Missing("no such leg")
    there = [p for p in installed_parts(leg.operator).values() if p.leg_id == leg.id and getattr(p, f"{part}_id")]
    if not there:
        raise Clash(f"no {part} is installed on this leg", code="nothing_installed")
    look_id = reinspection_id or uuid.uuid4()
    known = Reinspection.objects.of(actor.operator_id).filter(pk=look_id, reason=Reason.REQUESTED).first()
    if known:
        return known
    look = Reinspection.objects.create(
        id=look_id,
        operator_id=actor.operator_id,
        leg=leg,
        strut_id=there[0].strut_id,
        tyre_id=there[0].tyre_id,
        reason=Reason.REQUESTED,
        look_for=look_for,
        opened_at=now,
        counts_from=now,
        cause_id=look_id,
        due_on=due_on,
        due_landings=due_landings,
        due_hours=due_hours,
        asked_landings=due_landings,
        asked_hours=due_hours,
    )
    _record(actor, "reinspection requested", look, now, None, {"due_on": due_on.isoformat(), "look_for": look_for})
    return look


@transaction.atomic
def put_off_reinspection(
    *, actor: Actor, now: datetime, reinspection_id: uuid.UUID, version: int, due_on: date, reason: str
) -> Reinspection:
    """Move the due date of an open look to a later day, with a reason that stays on record."""
    actor.require(Role.MECHANIC, Scope.WORK)
    look = _open_look(actor, reinspection_id)
    latest = today_at(look.operator.time_zone, now) + timedelta(days=PUT_OFF_AT_MOST_DAYS)
    if not look.due_on < due_on <= latest:
        message = f"later than {look.due_on.isoformat()}, when it is due now, and at most {latest.isoformat()}"
        raise Refused(
            f"cannot be put off to then: {message}",
            code="put_off_date",
            faults=[FieldFault("due_on", "out_of_range", message)],
        )
    _set(actor, look, version, due_on=due_on, due_landings=None, due_hours=None)
    PutOff.objects.create(
        operator_id=actor.operator_id,
        reinspection=look,
        at=now,
        person_id=actor.person_id,
        due_before=look.due_on,
        due_on=due_on,
        reason=reason,
    )
    before, after = {"due_on": look.due_on.isoformat()}, {"due_on": due_on.isoformat(), "reason": reason}
    _record(actor, "reinspection put off", look, now, before, after)
    return _reread(actor, look)


@transaction.atomic
def close_reinspection(
    *, actor: Actor, now: datetime, reinspection_id: uuid.UUID, version: int, reason: str
) -> Reinspection:
    """Close an open look without a reading, with a reason that stays on record."""
    actor.require(Role.COORDINATOR, Scope.WORK)
    look = _open_look(actor, reinspection_id)
    _set(actor, look, version, done_at=now, closed_reason=reason)
    _record(actor, "reinspection closed", look, now, None, {"reason": reason})
    return _reread(actor, look)


def _open_look(actor: Actor, reinspection_id: uuid.UUID) -> Reinspection:
    look = Reinspection.objects.of(actor.operator_id).select_related("operator").filter(pk=reinspection_id).first()
    if look is None:
        raise Missing("no such reinspection")
    if look.done_at is not None:
        raise Clash("this reinspection is done", code="already_done")
    return look


def _set(actor: Actor, look: Reinspection, version: int, **values: object) -> None:
    rows = Reinspection.objects.of(actor.operator_id).filter(pk=look.pk, version=version, done_at__isnull=True)
    if not rows.update(**values, version=F("version") + 1):
        raise Stale("this reinspection has changed since you read it; read it again")


def _reread(actor: Actor, look: Reinspection) -> Reinspection:
    return Reinspection.objects.of(actor.operator_id).select_related("leg__aircraft").get(pk=look.pk)


def _record(
    actor: Actor,
    action: str,
    look: Reinspection,
    now: datetime,
    before: dict[str, Any] | None,
    after: dict[str, Any],
) -> None:
    record_change(
        actor=actor,
        action=action,
        subject_kind="reinspection",
        subject_id=look.id,
        now=now,
        before=before,
        after=after,
    )
