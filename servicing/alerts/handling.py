"""From a change of finding to alert, look and mail: one transaction for each change, done twice is done once."""

import uuid
from datetime import date, datetime
from itertools import pairwise

from django.db import transaction
from django.db.models import F, Q

from fleet.gear.models import StrutInstallation, TyreInstallation
from fleet.operators.local_day import today_at
from fleet.operators.models import Operator
from fleet.people.models import Person, Role
from fleet.tenancy import OwnedQuerySet
from servicing.alerts.letters import Occasion, draw_chart, write_letter
from servicing.alerts.models import Alert, AlertEvent, AlertStep
from servicing.alerts.steps import BACK_WITHIN, MAILED, SEEN_ANEW, next_step
from servicing.alerts.wording import plain_words, wording_of
from servicing.drift.models import FindingChange
from servicing.nudge import nudge
from servicing.outbox.actions import write_mail
from servicing.reinspection.actions import close_looks_for_finding, open_look_for_finding
from servicing.reinspection.models import Reinspection
from servicing.reinspection.rules import due_after_finding


def handle_change(*, change_id: uuid.UUID, now: datetime) -> int:
    """Handle a change and those of the same part that came before it; return how many this call handled."""
    change = FindingChange.objects.across_operators().filter(pk=change_id).first()
    if change is None:
        return 0
    waiting = (
        FindingChange.objects.of(change.operator_id)
        .filter(Q(strut=change.strut_id) if change.strut_id else Q(tyre=change.tyre_id))
        .filter(handled_at__isnull=True, at__lte=change.at)
        .select_related("operator")
        .order_by("at", "id")
    )
    return sum(_handle(one, now) for one in waiting)


def handle_waiting_changes(*, now: datetime) -> int:
    """Handle every change that nobody has handled yet, oldest first; return how many this call handled."""
    waiting = FindingChange.objects.across_operators().filter(handled_at__isnull=True).order_by("at", "id")
    return sum(handle_change(change_id=change_id, now=now) for change_id in waiting.values_list("id", flat=True))


def _handle(change: FindingChange, now: datetime) -> bool:
    readers = list(_readers(change.operator)) if _in_service(change) else []
    # Drawn before the transaction: SQLite lets one writer in at a time, and drawing takes longest.
    chart_png = draw_chart(change, now) if readers else b""
    with transaction.atomic():
        mine = FindingChange.objects.of(change.operator_id).filter(pk=change.pk, handled_at__isnull=True)
        if not mine.update(handled_at=now):
            return False
        event = _move_alert(change)
        if event is not None:
            look = _ask_for_look(change, event)
            if event.step in MAILED and not (event.step in SEEN_ANEW and _is_back(event.alert, change)):
                occasion = Occasion(change, event, look, change.operator, now)
                for person in readers:
                    letter = write_letter(occasion, person, chart_png)
                    write_mail(event_id=event.id, person=person, letter=letter, now=now)
                nudge("send_waiting_mail")
    return True


def _readers(operator: Operator) -> OwnedQuerySet[Person]:
    people = Person.objects.of(operator).filter(role=Role.COORDINATOR, active=True, wants_mail=True)
    return people.exclude(email="").order_by("id")


def _move_alert(change: FindingChange) -> AlertEvent | None:
    of_part = Q(strut=change.strut_id) if change.strut_id else Q(tyre=change.tyre_id)
    alert = Alert.objects.of(change.operator_id).filter(of_part, closed_at__isnull=True).first()
    step = next_step((alert.finding, alert.level) if alert else None, change.finding, change.level)
    leg_id = change.leg_id or (alert.leg_id if alert else _last_leg(change))
    if step is None or leg_id is None:
        return None
    if alert is None:
        alert = _open_alert(change, leg_id)
    else:
        _change_alert(alert, change, step, leg_id)
    return AlertEvent.objects.create(
        operator_id=change.operator_id,
        alert=alert,
        at=change.at,
        step=step,
        finding=change.finding,
        level=change.level,
        change=change,
    )


def _is_back(alert: Alert, change: FindingChange) -> bool:
    """Say whether an open alert stood like this until a while ago."""
    events = AlertEvent.objects.of(change.operator_id).filter(alert=alert, change__isnull=False)
    stood = events.exclude(change=change).order_by("at", "id").values_list("at", "finding", "level")
    return any(
        (finding, level) == (change.finding, change.level) and change.at - until < BACK_WITHIN
        for (_, finding, level), (until, *_) in pairwise(stood)
    )


def _open_alert(change: FindingChange, leg_id: uuid.UUID) -> Alert:
    return Alert.objects.create(
        operator_id=change.operator_id,
        leg_id=leg_id,
        strut_id=change.strut_id,
        tyre_id=change.tyre_id,
        finding=change.finding,
        level=change.level,
        opened_at=change.at,
    )


def _change_alert(alert: Alert, change: FindingChange, step: AlertStep, leg_id: uuid.UUID) -> None:
    rows = Alert.objects.of(change.operator_id).filter(pk=alert.pk)
    if step == AlertStep.CLOSED:
        rows.update(closed_at=change.at, version=F("version") + 1)
        return
    rows.update(finding=change.finding, level=change.level, leg_id=leg_id, version=F("version") + 1)
    if step in SEEN_ANEW:
        rows.update(put_off_until=None)
        if not _is_back(alert, change):  # what was acknowledged was something else
            rows.update(acknowledged_at=None)


def _last_leg(change: FindingChange) -> uuid.UUID | None:
    return _installations(change).order_by("-installed_at").values_list("leg_id", flat=True).first()


def _installations(change: FindingChange) -> OwnedQuerySet[StrutInstallation] | OwnedQuerySet[TyreInstallation]:
    if change.strut_id:
        return StrutInstallation.objects.of(change.operator_id).filter(strut=change.strut_id)
    return TyreInstallation.objects.of(change.operator_id).filter(tyre=change.tyre_id)


def _in_service(change: FindingChange) -> bool:
    """Say whether anybody may fly with the part; of one on a shelf only the calendar has news."""
    return _installations(change).filter(removed_at__isnull=True, leg__aircraft__retired_at__isnull=True).exists()


def _breach_on(change: FindingChange) -> date | None:
    earliest = change.evidence.get("breach_low") or change.evidence.get("breach_on")
    return date.fromisoformat(earliest) if earliest else None


def _ask_for_look(change: FindingChange, event: AlertEvent) -> Reinspection | None:
    operator = change.operator
    if event.step == AlertStep.CLOSED:
        close_looks_for_finding(change=change, operator=operator)
        return None
    if event.step == AlertStep.LOWERED:
        return None
    words = wording_of(change.finding)
    due_on = due_after_finding(
        change.level,
        today_at(operator.time_zone, change.at),
        breach_on=_breach_on(change),
        notice_days=operator.notice_days,
    )
    return open_look_for_finding(
        change=change,
        operator=operator,
        leg_id=event.alert.leg_id,
        reason=words.reason,
        look_for=f"{plain_words(change.finding).capitalize()}. {words.look_for}",
        due_on=due_on,
    )
