"""Findings that someone must see: openings, changes and closings are rows."""

from django.db import models
from django.db.models import Q

from fleet.tenancy import Owned
from servicing.drift.models import Level


class AlertStep(models.TextChoices):
    """What happened to an alert."""

    OPENED = "opened", "opened"
    RAISED = "raised", "raised to a higher level"
    LOWERED = "lowered", "lowered to a lower level"
    CHANGED = "changed", "another finding at the same level"
    ACKNOWLEDGED = "acknowledged", "acknowledged"
    PUT_OFF = "put off", "put off"
    CLOSED = "closed", "closed"


class Alert(Owned):
    """A finding on one strut or tyre that must be seen; at most one is open per part."""

    leg = models.ForeignKey("fleet.Leg", on_delete=models.PROTECT, related_name="+")
    strut = models.ForeignKey("fleet.Strut", on_delete=models.PROTECT, null=True, related_name="+")
    tyre = models.ForeignKey("fleet.Tyre", on_delete=models.PROTECT, null=True, related_name="+")
    finding = models.CharField(max_length=32)
    level = models.CharField(max_length=10, choices=Level)
    opened_at = models.DateTimeField()
    acknowledged_at = models.DateTimeField(null=True, blank=True)
    put_off_until = models.DateField(null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        db_table = "servicing_alert"
        indexes = [models.Index(fields=["operator", "-opened_at", "-id"], name="alert_recent")]
        constraints = [
            models.UniqueConstraint(
                fields=["strut"], name="servicing_alert_one_open_strut", condition=Q(closed_at__isnull=True)
            ),
            models.UniqueConstraint(
                fields=["tyre"], name="servicing_alert_one_open_tyre", condition=Q(closed_at__isnull=True)
            ),
            models.CheckConstraint(
                name="servicing_alert_one_part",
                condition=Q(strut__isnull=False, tyre__isnull=True) | Q(strut__isnull=True, tyre__isnull=False),
            ),
        ]


class AlertEvent(Owned):
    """One step in the life of an alert, caused by a finding change or a person."""

    alert = models.ForeignKey(Alert, on_delete=models.PROTECT, related_name="events")
    at = models.DateTimeField()
    step = models.CharField(max_length=12, choices=AlertStep)
    finding = models.CharField(max_length=32)
    level = models.CharField(max_length=10, choices=Level)
    change = models.OneToOneField("servicing.FindingChange", on_delete=models.PROTECT, null=True, related_name="+")
    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, null=True, related_name="+")
    reason = models.CharField(max_length=200, blank=True)
    put_off_until = models.DateField(null=True, blank=True)

    class Meta:
        db_table = "servicing_alert_event"
        indexes = [models.Index(fields=["alert", "at"], name="alert_event_history")]
