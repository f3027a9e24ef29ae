"""Aircraft, their legs, and the type sheets with the maintenance manual's figures."""

from django.db import models
from django.db.models import F, Q

from fleet.tenancy import Owned


class Position(models.TextChoices):
    """Where a leg stands."""

    NOSE = "nose", "nose"
    LEFT_MAIN = "left main", "left main"
    RIGHT_MAIN = "right main", "right main"
    TAIL = "tail wheel", "tail wheel"


class SheetPosition(models.TextChoices):
    """Which legs a type sheet describes: both mains share one."""

    NOSE = "nose", "nose"
    MAIN = "main", "main"
    TAIL = "tail wheel", "tail wheel"


class FillGas(models.TextChoices):
    """What a strut may be filled with. Never oxygen."""

    NITROGEN = "nitrogen", "nitrogen"
    AIR = "dry air", "dry air"


class TypeSheet(Owned):
    """One leg's figures as the aircraft's manual prints them; what it does not print stays empty."""

    name = models.CharField(max_length=80)
    position = models.CharField(max_length=10, choices=SheetPosition)
    manual_reference = models.CharField(max_length=120, blank=True)
    manual_revision = models.CharField(max_length=40, blank=True)

    target_extension_in = models.FloatField()
    low_limit_in = models.FloatField()
    high_limit_in = models.FloatField()
    full_extension_in = models.FloatField(null=True, blank=True)
    reference_temperature_f = models.FloatField(null=True, blank=True)
    reference_load_lbf = models.FloatField(null=True, blank=True)
    reference_fuel_lb = models.FloatField(null=True, blank=True)
    reference_occupants_lb = models.FloatField(null=True, blank=True)
    load_per_fuel = models.FloatField(null=True, blank=True)
    load_per_occupant = models.FloatField(null=True, blank=True)

    tube_diameter_in = models.FloatField(null=True, blank=True)
    gas_column_in = models.FloatField(null=True, blank=True)
    fluid_volume_in3 = models.FloatField(null=True, blank=True)
    fluid_expansion_per_k = models.FloatField(null=True, blank=True)
    fluid = models.CharField(max_length=40, blank=True)
    gas = models.CharField(max_length=12, choices=FillGas, default=FillGas.NITROGEN)
    maximum_pressure_psig = models.FloatField(null=True, blank=True)

    tyre_size = models.CharField(max_length=24, blank=True)
    tyre_ply_rating = models.PositiveSmallIntegerField(null=True, blank=True)
    tyre_service_pressure_psig = models.FloatField(null=True, blank=True)
    tyre_wear_limit_in = models.FloatField(null=True, blank=True)
    wheels_per_axle = models.PositiveSmallIntegerField(default=1)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        db_table = "fleet_type_sheet"
        constraints = [
            models.UniqueConstraint(fields=["operator", "name", "position"], name="fleet_type_sheet_once"),
            models.CheckConstraint(
                name="fleet_type_sheet_limits_in_order",
                condition=Q(low_limit_in__gt=0)
                & Q(low_limit_in__lt=F("target_extension_in"))
                & Q(target_extension_in__lt=F("high_limit_in")),
            ),
            models.CheckConstraint(
                name="fleet_type_sheet_high_limit_within_tube",
                condition=Q(full_extension_in__isnull=True) | Q(high_limit_in__lte=F("full_extension_in")),
            ),
            models.CheckConstraint(
                name="fleet_type_sheet_positive_figures",
                condition=(Q(tube_diameter_in__isnull=True) | Q(tube_diameter_in__gt=0))
                & (Q(gas_column_in__isnull=True) | Q(gas_column_in__gt=0))
                & (Q(fluid_volume_in3__isnull=True) | Q(fluid_volume_in3__gte=0))
                & (Q(reference_load_lbf__isnull=True) | Q(reference_load_lbf__gt=0)),
            ),
        ]

    @property
    def manual(self) -> str:
        """The manual's reference and revision as people cite them; empty when the reference is not known."""
        revision = f", revision {self.manual_revision}" if self.manual_revision else ""
        return f"{self.manual_reference}{revision}" if self.manual_reference else ""

    def __str__(self) -> str:
        return f"{self.name}, {self.position}"


class Aircraft(Owned):
    """One aircraft of the operator's fleet."""

    registration = models.CharField(max_length=16)
    type_name = models.CharField(max_length=80)
    home_elevation_ft = models.FloatField(null=True, blank=True)
    wheelbase_in = models.FloatField(null=True, blank=True)
    track_in = models.FloatField(null=True, blank=True)
    propeller_ahead_in = models.FloatField(null=True, blank=True)
    propeller_clearance_in = models.FloatField(null=True, blank=True)
    created_at = models.DateTimeField()
    retired_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        db_table = "fleet_aircraft"
        constraints = [
            models.UniqueConstraint(fields=["operator", "registration"], name="fleet_aircraft_registration")
        ]

    def __str__(self) -> str:
        return self.registration


class Leg(Owned):
    """One landing-gear position of one aircraft, with the sheet that holds for it."""

    aircraft = models.ForeignKey(Aircraft, on_delete=models.PROTECT, related_name="legs")
    position = models.CharField(max_length=10, choices=Position)
    sheet = models.ForeignKey(TypeSheet, on_delete=models.PROTECT, related_name="legs")
    # Set when gear, sheet or home changed, so that what was derived from readings here must be made anew.
    readings_outdated_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        db_table = "fleet_leg"
        indexes = [
            models.Index(
                fields=["readings_outdated_at"],
                name="fleet_leg_outdated",
                condition=Q(readings_outdated_at__isnull=False),
            )
        ]
        constraints = [
            models.UniqueConstraint(fields=["aircraft", "position"], name="fleet_leg_once"),
        ]

    def __str__(self) -> str:
        return f"{self.aircraft.registration} {self.position}"
