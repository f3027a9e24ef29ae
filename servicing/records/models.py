"""Entries for the maintenance record: drafted, completed, then never changed."""

from django.db import models
from django.db.models import F, Q

from fleet.tenancy import Owned


class Operation(models.TextChoices):
    """What the aircraft is used for, as far as the rules tell it apart."""

    PRIVATE = "private", "by its owner"
    RENTAL = "rental", "rented out or used by a club or school"
    AIR_CARRIER = "air_carrier", "for an air carrier"


class RecordEntry(Owned):
    """One entry. A completed one is frozen by the database and linked to the one before it by its digest."""

    aircraft = models.ForeignKey("fleet.Aircraft", on_delete=models.PROTECT, related_name="+")
    leg = models.ForeignKey("fleet.Leg", on_delete=models.PROTECT, null=True, related_name="+")
    servicing = models.ForeignKey("servicing.Servicing", on_delete=models.PROTECT, null=True, related_name="+")
    top_up = models.ForeignKey("servicing.TopUp", on_delete=models.PROTECT, null=True, related_name="+")
    created_at = models.DateTimeField()
    created_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, null=True, related_name="+")

    tasks = models.JSONField(default=list)  # words of `servicing.work.models.Work`
    description = models.TextField(blank=True)
    data_reference = models.CharField(max_length=200, blank=True)
    parts = models.CharField(max_length=300, blank=True)  # part and serial numbers
    location = models.CharField(max_length=120, blank=True)
    work_completed_on = models.DateField(null=True, blank=True)
    performed_by = models.CharField(max_length=120, blank=True)
    approver_name = models.CharField(max_length=120, blank=True)
    certificate_kind = models.CharField(max_length=40, blank=True)
    certificate_number = models.CharField(max_length=40, blank=True)
    signature = models.CharField(max_length=120, blank=True)  # as typed by the one who approves
    operation = models.CharField(max_length=12, choices=Operation, default=Operation.RENTAL)
    declaration = models.CharField(max_length=300, blank=True)
    total_time_hours = models.FloatField(null=True, blank=True)
    total_landings = models.PositiveIntegerField(null=True, blank=True)
    jurisdiction = models.CharField(max_length=8)

    amends = models.ForeignKey("self", on_delete=models.PROTECT, null=True, related_name="amendments")
    amendment_reason = models.CharField(max_length=200, blank=True)
    discarded_at = models.DateTimeField(null=True, blank=True)
    completed_at = models.DateTimeField(null=True, blank=True)
    completed_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, null=True, related_name="+")
    advice = models.JSONField(default=list)  # as it was given at completion
    number = models.PositiveIntegerField(null=True, blank=True)
    previous_digest = models.CharField(max_length=64, blank=True)
    digest = models.CharField(max_length=64, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        db_table = "servicing_record_entry"
        indexes = [
            models.Index(fields=["operator", "-created_at", "-id"], name="record_entry_recent"),
            models.Index(fields=["aircraft", "-created_at"], name="record_entry_aircraft"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["operator", "number"], name="servicing_record_entry_number"),
            models.UniqueConstraint(
                fields=["operator", "previous_digest"],
                name="servicing_record_entry_no_fork",
                condition=Q(completed_at__isnull=False),
            ),
            models.CheckConstraint(
                name="servicing_record_entry_completed_whole",
                condition=Q(completed_at__isnull=True, number__isnull=True, digest="")
                | Q(completed_at__isnull=False, number__isnull=False, discarded_at__isnull=True) & ~Q(digest=""),
            ),
            models.CheckConstraint(
                name="servicing_record_entry_amends_another",
                condition=Q(amends__isnull=True) | ~Q(amends=F("id")),
            ),
        ]
