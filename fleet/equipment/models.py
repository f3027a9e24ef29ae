"""Pumps, multiplier pumps, cylinders, compressors and gauges of an operator."""

from django.db import models
from django.db.models import Q

from fleet.tenancy import Owned


class EquipmentKind(models.TextChoices):
    """What a piece of equipment is."""

    HAND_PUMP = "hand pump", "hand pump"
    MULTIPLIER = "multiplier pump", "multiplier pump"
    CYLINDER = "nitrogen cylinder", "nitrogen cylinder"
    COMPRESSOR = "shop compressor", "shop compressor"
    GAUGE = "gauge", "gauge"


class Equipment(Owned):
    """One piece of equipment; only the figures of its kind are filled in."""

    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=20, choices=EquipmentKind)
    stroke_volume_in3 = models.FloatField(null=True, blank=True)
    clearance_fraction = models.FloatField(null=True, blank=True)
    stages = models.PositiveSmallIntegerField(null=True, blank=True)
    area_ratio = models.FloatField(null=True, blank=True)
    drive_pressure_psig = models.FloatField(null=True, blank=True)
    water_volume_in3 = models.FloatField(null=True, blank=True)
    hose_volume_in3 = models.FloatField(null=True, blank=True)
    calibration_due = models.DateField(null=True, blank=True)
    calibrated_on = models.DateField(null=True, blank=True)
    # Pairs of ISO days: the last for which a calibration held, and the next one's, null where nobody said it.
    calibration_renewals = models.JSONField(default=list)
    gauge_error_psi = models.FloatField(null=True, blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        db_table = "fleet_equipment"
        constraints = [
            models.UniqueConstraint(
                fields=["operator", "name"],
                name="fleet_equipment_name",
                condition=Q(retired_at__isnull=True),
            )
        ]

    def __str__(self) -> str:
        return self.name


class CylinderPressure(Owned):
    """The pressure of a cylinder, as its gauge showed it once. Never changed."""

    equipment = models.ForeignKey(Equipment, on_delete=models.PROTECT, related_name="pressures")
    taken_at = models.DateTimeField()
    received_at = models.DateTimeField()
    as_read = models.JSONField(default=dict)
    pressure_psig = models.FloatField()
    temperature_f = models.FloatField(null=True, blank=True)
    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        db_table = "fleet_cylinder_pressure"
        indexes = [models.Index(fields=["equipment", "-taken_at"], name="cylinder_pressure_history")]
        constraints = [
            models.CheckConstraint(name="fleet_cylinder_pressure_positive", condition=Q(pressure_psig__gte=0))
        ]
