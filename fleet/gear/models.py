"""Struts and tyres by serial number, and the legs they are installed on over time."""

from django.db import models
from django.db.models import F, Q

from fleet.aircraft.models import Leg
from fleet.tenancy import Owned


class Strut(Owned):
    """A shock strut; its history goes with it when it moves."""

    serial_number = models.CharField(max_length=40, blank=True)
    part_number = models.CharField(max_length=40, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        db_table = "fleet_strut"
        constraints = [
            models.UniqueConstraint(
                fields=["operator", "serial_number"],
                name="fleet_strut_serial",
                condition=~Q(serial_number=""),
            )
        ]


class Tyre(Owned):
    """A tyre."""

    serial_number = models.CharField(max_length=40, blank=True)
    size = models.CharField(max_length=24, blank=True)
    new_tread_in = models.FloatField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        db_table = "fleet_tyre"
        constraints = [
            models.UniqueConstraint(
                fields=["operator", "serial_number"], name="fleet_tyre_serial", condition=~Q(serial_number="")
            )
        ]


class Installation(Owned):
    """When a part was on a leg."""

    leg = models.ForeignKey(Leg, on_delete=models.PROTECT, related_name="+")
    installed_at = models.DateTimeField()
    removed_at = models.DateTimeField(null=True, blank=True)
    removal_reason = models.CharField(max_length=200, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        abstract = True


class StrutInstallation(Installation):
    """When a strut was on a leg."""

    strut = models.ForeignKey(Strut, on_delete=models.PROTECT, related_name="installations")

    class Meta:
        db_table = "fleet_strut_installation"
        constraints = [
            models.UniqueConstraint(
                fields=["leg"], name="fleet_strut_installation_leg", condition=Q(removed_at__isnull=True)
            ),
            models.UniqueConstraint(
                fields=["strut"], name="fleet_strut_installation_strut", condition=Q(removed_at__isnull=True)
            ),
            models.CheckConstraint(
                name="fleet_strut_installation_order",
                condition=Q(removed_at__isnull=True) | Q(removed_at__gt=F("installed_at")),
            ),
        ]


class TyreInstallation(Installation):
    """When a tyre was on a leg."""

    tyre = models.ForeignKey(Tyre, on_delete=models.PROTECT, related_name="installations")

    class Meta:
        db_table = "fleet_tyre_installation"
        constraints = [
            models.UniqueConstraint(
                fields=["leg"], name="fleet_tyre_installation_leg", condition=Q(removed_at__isnull=True)
            ),
            models.UniqueConstraint(
                fields=["tyre"], name="fleet_tyre_installation_tyre", condition=Q(removed_at__isnull=True)
            ),
            models.CheckConstraint(
                name="fleet_tyre_installation_order",
                condition=Q(removed_at__isnull=True) | Q(removed_at__gt=F("installed_at")),
            ),
        ]
