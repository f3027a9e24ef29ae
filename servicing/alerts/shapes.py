"""How alerts look in requests and answers."""

from typing import Any

from rest_framework import serializers

from calculations.drift import Finding
from fleet.web.shapes import InputSerializer
from servicing.alerts.models import Alert, AlertEvent, AlertStep
from servicing.alerts.wording import ADVICE, cautions_of, checks_of, wording_of
from servicing.drift.models import Level

FINDINGS = [finding.value for finding in Finding]


class AlertFilters(serializers.Serializer[Any]):
    """Which alerts to list."""

    open = serializers.BooleanField(required=False, allow_null=True, default=None, help_text="Only open, or closed.")
    aircraft = serializers.UUIDField(required=False)
    leg = serializers.UUIDField(required=False)
    strut = serializers.UUIDField(required=False)
    tyre = serializers.UUIDField(required=False)
    level = serializers.ChoiceField(Level.values[1:], required=False)
    finding = serializers.ChoiceField(FINDINGS, required=False)


class PutOffAlertInput(InputSerializer):
    """An alert rests until a day."""

    until = serializers.DateField()
    reason = serializers.CharField(max_length=200)


class AlertAnswer(serializers.Serializer[Any]):
    """One alert, with what its finding means and what to check first."""

    id = serializers.UUIDField()
    aircraft = serializers.UUIDField()
    registration = serializers.CharField()
    leg = serializers.UUIDField()
    position = serializers.CharField()
    strut = serializers.UUIDField(allow_null=True)
    tyre = serializers.UUIDField(allow_null=True)
    finding = serializers.ChoiceField(FINDINGS)
    level = serializers.ChoiceField(Level.choices)
    meaning = serializers.CharField()
    check_first = serializers.ListField(child=serializers.CharField())
    cautions = serializers.ListField(child=serializers.CharField())
    advice = serializers.CharField()
    opened_at = serializers.DateTimeField()
    acknowledged_at = serializers.DateTimeField(allow_null=True)
    put_off_until = serializers.DateField(allow_null=True)
    closed_at = serializers.DateTimeField(allow_null=True)
    version = serializers.IntegerField()


class AlertEventAnswer(serializers.Serializer[Any]):
    """One step in the life of an alert."""

    id = serializers.UUIDField()
    at = serializers.DateTimeField()
    step = serializers.ChoiceField(AlertStep.choices)
    finding = serializers.ChoiceField(FINDINGS)
    level = serializers.ChoiceField(Level.choices)
    person = serializers.CharField(allow_null=True)
    reason = serializers.CharField(allow_blank=True)
    put_off_until = serializers.DateField(allow_null=True)


def alert_answer(alert: Alert) -> dict[str, Any]:
    """Return an alert as it is answered."""
    of_strut = alert.strut_id is not None
    return {
        "id": alert.id,
        "aircraft": alert.leg.aircraft_id,
        "registration": alert.leg.aircraft.registration,
        "leg": alert.leg_id,
        "position": alert.leg.position,
        "strut": alert.strut_id,
        "tyre": alert.tyre_id,
        "finding": alert.finding,
        "level": alert.level,
        "meaning": wording_of(alert.finding).meaning,
        "check_first": checks_of(alert.finding, None, tyre=not of_strut),
        "cautions": cautions_of(alert.finding, None, tyre=not of_strut),
        "advice": ADVICE,
        "opened_at": alert.opened_at,
        "acknowledged_at": alert.acknowledged_at,
        "put_off_until": alert.put_off_until,
        "closed_at": alert.closed_at,
        "version": alert.version,
    }


def event_answer(event: AlertEvent) -> dict[str, Any]:
    """Return one step as it is answered."""
    return {
        "id": event.id,
        "at": event.at,
        "step": event.step,
        "finding": event.finding,
        "level": event.level,
        "person": event.person.name if event.person else None,
        "reason": event.reason,
        "put_off_until": event.put_off_until,
    }
