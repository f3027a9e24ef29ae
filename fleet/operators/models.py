"""Operators: the clubs and schools that keep a fleet, and how they want to be told."""

import uuid

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models


class UnitSystem(models.TextChoices):
    """The units in which answers come."""

    US = "us", "US customary"
    METRIC = "metric", "metric"


class Jurisdiction(models.TextChoices):
    """Whose maintenance rules the record checks know."""

    US = "us", "United States, 14 CFR part 43"
    OTHER = "other", "another authority: check local rules"


class Operator(models.Model):
    """A club or school; every owned row belongs to exactly one."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    name = models.CharField(max_length=120, unique=True)
    unit_system = models.CharField(max_length=8, choices=UnitSystem, default=UnitSystem.US)
    time_zone = models.CharField(max_length=64, default="UTC")
    jurisdiction = models.CharField(max_length=8, choices=Jurisdiction, default=Jurisdiction.OTHER)
    false_alarms_per_strut_year = models.FloatField(
        default=0.10, validators=[MinValueValidator(0.005), MaxValueValidator(0.5)]
    )
    notice_days = models.PositiveSmallIntegerField(default=30)
    created_at = models.DateTimeField()
    version = models.PositiveIntegerField(default=1)

    class Meta:
        db_table = "fleet_operator"
        constraints = [
            models.CheckConstraint(
                name="fleet_operator_false_alarms_range",
                condition=models.Q(false_alarms_per_strut_year__gte=0.005, false_alarms_per_strut_year__lte=0.5),
            ),
            models.CheckConstraint(
                name="fleet_operator_notice_range",
                condition=models.Q(notice_days__gte=1, notice_days__lte=365),
            ),
        ]

    def __str__(self) -> str:
        return self.name
