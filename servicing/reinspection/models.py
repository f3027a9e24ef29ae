"""Looks that are due by date, landings or hours, whichever comes first."""

import uuid

from django.db import models
from django.db.models import Q

from fleet.tenancy import Owned


class Reason(models.TextChoices):
    """Why a look is due."""

    DRIFT = "drift", "a finding of drift"
    AFTER_TOP_UP = "after top-up", "late settling after a top-up"
    NEW_SEALS = "new seals", "new seals"
    NEW_TYRE = "new tyre", "stretch of a new tyre"
    HARD_LANDING = "hard landing", "a hard landing"
    OVERDUE = "reading overdue", "no reading for too long"
    SUSPECT = "suspect reading", "a reading to be repeated"
    OPEN_TOP_UP = "open top-up", "a top-up that was not finished"
    REQUESTED = "requested", "asked for by a person"


class Reinspection(Owned):
    """One look that is due. Done by a reading that satisfies it, or closed with a reason."""

    leg = models.ForeignKey("fleet.Leg", on_delete=models.PROTECT, related_name="+")
    strut = models.ForeignKey("fleet.Strut", on_delete=models.PROTECT, null=True, related_name="+")
    tyre = models.ForeignKey("fleet.Tyre", on_delete=models.PROTECT, null=True, related_name="+")
    reason = models.CharField(max_length=16, choices=Reason)
    look_for = models.CharField(max_length=300)
    opened_at = models.DateTimeField()
    counts_from = models.DateTimeField()  # a reading taken earlier does not satisfy it: too soon to show anything
    cause_id = models.UUIDField()  # the servicing, finding change, usage or reading that asked for it
    due_on = models.DateField()  # always there: a look due by landings must not be lost with an idle aircraft
    due_landings = models.PositiveIntegerField(null=True, blank=True)  # of the aircraft that the part is on, in total
    due_hours = models.FloatField(null=True, blank=True)  # of the aircraft that the part is on, in total
    # As a person asked, in totals of the aircraft that the part was on then; it may have moved since.
    asked_landings = models.PositiveIntegerField(null=True, blank=True)
    asked_hours = models.FloatField(null=True, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)
    done_by_reading = models.UUIDField(null=True, blank=True)
    closed_reason = models.CharField(max_length=200, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        db_table = "servicing_reinspection"
        indexes = [
            models.Index(fields=["operator", "due_on"], name="reinspection_open", condition=Q(done_at__isnull=True)),
            models.Index(fields=["leg"], name="reinspection_open_leg", condition=Q(done_at__isnull=True)),
        ]
        constraints = [
            models.UniqueConstraint(fields=["cause_id", "reason", "strut"], name="servicing_reinspection_once"),
            models.UniqueConstraint(fields=["cause_id", "reason", "tyre"], name="servicing_reinspection_once_tyre"),
            models.CheckConstraint(
                name="servicing_reinspection_done_somehow",
                condition=Q(done_at__isnull=True) | Q(done_by_reading__isnull=False) | ~Q(closed_reason=""),
            ),
        ]

    @property
    def part_id(self) -> uuid.UUID:
        """The strut's or tyre's id."""
        return self.strut_id or self.tyre_id  # type: ignore[return-value]  # one of the two is set


class PutOff(Owned):
    """A reinspection was put off, by whom and why."""

    reinspection = models.ForeignKey(Reinspection, on_delete=models.PROTECT, related_name="put_offs")
    at = models.DateTimeField()
    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, null=True, related_name="+")
    due_before = models.DateField()
    due_on = models.DateField()
    reason = models.CharField(max_length=200)

    class Meta:
        db_table = "servicing_put_off"
