"""What people do with alerts: acknowledge them, or put them off for a time with a reason."""

import uuid
from datetime import date, datetime, timedelta
from typing import Any, Final

from django.db import transaction
from django.db.models import F

from fleet.audit.actions import record_change
from fleet.operators.local_day import today_at
from fleet.people.actor import Actor
from fleet.people.models import Role, Scope
from fleet.refusals import Clash, FieldFault, Missing, Refused, Stale
from servicing.alerts.models import Alert, AlertEvent, AlertStep
from servicing.drift.models import Level

PUT_OFF_AT_MOST_DAYS: Final = 90


@transaction.atomic
def acknowledge_alert(*, actor: Actor, now: datetime, alert_id: uuid.UUID, version: int) -> Alert:
    """Say that the alert was seen and is being looked after; it stays open. Saying it again changes nothing."""
    actor.require(Role.MECHANIC, Scope.WORK)
    alert = _open_alert(actor, alert_id)
    if alert.acknowledged_at is None:
        _change(actor, alert, version, acknowledged_at=now)
        _record(actor, alert, now, AlertStep.ACKNOWLEDGED, "", None)
    return _reread(actor, alert)


@transaction.atomic
def put_off_alert(
    *, actor: Actor, now: datetime, alert_id: uuid.UUID, version: int, until: date, reason: str
) -> Alert:
    """Let an alert rest until a day. A warning is not put off, and a caution not beyond its earliest breach."""
    actor.require(Role.COORDINATOR, Scope.WORK)
    alert = _open_alert(actor, alert_id)
    if alert.level == Level.WARNING:
        raise Clash("a warning is not put off: have it looked at before the next flight", code="warning_not_put_off")
    today = today_at(alert.operator.time_zone, now)
    latest = min(filter(None, [today + timedelta(days=PUT_OFF_AT_MOST_DAYS), _earliest_breach(alert)]))
    if not today < until <= latest:
        message = f"a day after {today.isoformat()} and at most {latest.isoformat()}"
        raise Refused(
            f"cannot be put off to then: {message}",
            code="put_off_date",
            faults=[FieldFault("until", "out_of_range", message)],
        )
    _change(actor, alert, version, put_off_until=until)
    _record(actor, alert, now, AlertStep.PUT_OFF, reason, until)
    return _reread(actor, alert)


def _earliest_breach(alert: Alert) -> date | None:
    last = AlertEvent.objects.of(alert.operator_id).filter(alert=alert, change__isnull=False)
    event = last.select_related("change").order_by("-at", "-id").first()
    earliest = event.change.evidence.get("breach_low") if event and event.change else None
    return date.fromisoformat(earliest) if earliest else None


def _open_alert(actor: Actor, alert_id: uuid.UUID) -> Alert:
    alert = Alert.objects.of(actor.operator_id).select_related("operator").filter(pk=alert_id).first()
    if alert is None:
        raise Missing("no such alert")
    if alert.closed_at is not None:
        raise Clash("this alert is closed", code="already_closed")
    return alert


def _change(actor: Actor, alert: Alert, version: int, **values: Any) -> None:
    rows = Alert.objects.of(actor.operator_id).filter(pk=alert.pk, version=version, closed_at__isnull=True)
    if not rows.update(**values, version=F("version") + 1):
        raise Stale("this alert has changed since you read it; read it again")


def _record(actor: Actor, alert: Alert, now: datetime, step: AlertStep, reason: str, until: date | None) -> None:
    AlertEvent.objects.create(
        operator_id=actor.operator_id,
        alert=alert,
        at=now,
        step=step,
        finding=alert.finding,
        level=alert.level,
        person_id=actor.person_id,
        reason=reason,
        put_off_until=until,
    )
    record_change(
        actor=actor,
        action=f"alert {step}",
        subject_kind="alert",
        subject_id=alert.id,
        now=now,
        after={"reason": reason, "until": until.isoformat()} if until else None,
    )


def _reread(actor: Actor, alert: Alert) -> Alert:
    return Alert.objects.of(actor.operator_id).select_related("leg__aircraft").get(pk=alert.pk)
