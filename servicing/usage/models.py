"""Flights, landings and hours of each aircraft."""

from django.db import models
from django.db.models import Q

from fleet.tenancy import Owned


class Usage(Owned):
    """Use of one aircraft up to a moment; a mistake is corrected by a new row."""

    aircraft = models.ForeignKey("fleet.Aircraft", on_delete=models.PROTECT, related_name="+")
    ended_at = models.DateTimeField()
    received_at = models.DateTimeField()
    flights = models.PositiveIntegerField(default=1)
    landings = models.PositiveIntegerField(default=1)
    hours = models.FloatField(default=0)
    brought_forward = models.BooleanField(default=False)  # the total that the aircraft came with
    hard_landing = models.BooleanField(default=False)
    note = models.CharField(max_length=500, blank=True)
    corrects = models.OneToOneField("self", on_delete=models.PROTECT, null=True, related_name="corrected_by")
    correction_reason = models.CharField(max_length=200, blank=True)
    superseded = models.BooleanField(default=False)

    class Meta:
        db_table = "servicing_usage"
        indexes = [models.Index(fields=["aircraft", "ended_at"], name="usage_history")]
        constraints = [
            models.CheckConstraint(
                name="servicing_usage_hours",
                condition=Q(hours__gte=0) & (Q(hours__lte=2000) | Q(brought_forward=True)),
            ),
        ]
