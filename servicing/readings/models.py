"""Readings of struts and tyres: kept as read, with what they mean at the sheet's conditions beside."""

from django.db import models
from django.db.models import F, Q

from fleet.tenancy import Owned


class Source(models.TextChoices):
    """How a row came in."""

    API = "api", "API"
    CSV = "csv", "CSV file"
    PAGE = "page", "page"


class FluidSeen(models.TextChoices):
    """What a look at tube and seal showed."""

    DRY = "dry", "dry"
    DAMP = "damp", "a film, not running"
    WET = "wet", "wet or running"


class FluidLevel(models.TextChoices):
    """What a check of the fluid level showed."""

    CORRECT = "correct", "correct"
    LOW = "low", "low"


class Observation(models.TextChoices):
    """What else a look may show, each telling gas loss from fluid loss."""

    VALVE_BUBBLES = "valve bubbles", "bubbles at the valve under leak-check fluid"
    HOLDS_ON_JACKS = "holds pressure on jacks", "held its pressure fully extended on jacks"
    BOTTOMS_IN_TAXI = "bottoms in taxi", "bottoms in taxi at a normal extension"


class Reading(Owned):
    """What struts' and tyres' readings share. Never changed: a mistake is corrected by a new row."""

    leg = models.ForeignKey("fleet.Leg", on_delete=models.PROTECT, related_name="+")
    taken_at = models.DateTimeField()
    received_at = models.DateTimeField()
    as_read = models.JSONField()  # {"extension": {"value": 4.5, "unit": "in"}, ...}, each in the unit it was read
    temperature_f = models.FloatField(null=True, blank=True)
    gauge = models.ForeignKey("fleet.Equipment", on_delete=models.PROTECT, null=True, related_name="+")
    gauge_overdue = models.BooleanField(default=False)
    taken_by = models.CharField(max_length=120, blank=True)
    note = models.CharField(max_length=500, blank=True)
    source = models.CharField(max_length=4, choices=Source)
    corrects = models.OneToOneField("self", on_delete=models.PROTECT, null=True, related_name="corrected_by")
    correction_reason = models.CharField(max_length=200, blank=True)
    withdrawn = models.BooleanField(default=False)  # this row only takes back the one that it corrects
    superseded = models.BooleanField(default=False)  # derived: a later row corrects this one

    class Meta:
        abstract = True


class StrutReading(Reading):
    """One measurement of a strut. The strut and the columns from ``scale_in`` on are derived."""

    strut = models.ForeignKey("fleet.Strut", on_delete=models.PROTECT, related_name="+")
    extension_in = models.FloatField()
    fuel_lb = models.FloatField(null=True, blank=True)
    occupants_lb = models.FloatField(null=True, blank=True)
    leg_load_lbf = models.FloatField(null=True, blank=True)  # weighed, where someone did
    exercised = models.BooleanField(default=False)
    pressure_psig = models.FloatField(null=True, blank=True)
    fluid_seen = models.CharField(max_length=4, choices=FluidSeen, blank=True)
    fluid_level = models.CharField(max_length=8, choices=FluidLevel, blank=True)
    observations = models.JSONField(default=list)  # of Observation values

    scale_in = models.FloatField()  # the step of the ruler, as far as the value read shows it
    temperature_used_f = models.FloatField()  # as read, or estimated where temperature_f is empty
    temperature_sd_f = models.FloatField()
    load_lbf = models.FloatField()
    load_sd_lbf = models.FloatField()
    corrected_in = models.FloatField()
    gas_term_in = models.FloatField()
    real_gas_term_in = models.FloatField()
    fluid_term_in = models.FloatField()
    load_term_in = models.FloatField()
    air_pressure_term_in = models.FloatField()
    uncertainty_in = models.FloatField()
    corrected_sheet_version = models.PositiveIntegerField()

    class Meta:
        db_table = "servicing_strut_reading"
        indexes = [
            models.Index(fields=["strut", "taken_at", "id"], name="strut_reading_history"),
            models.Index(fields=["operator", "-taken_at", "-id"], name="strut_reading_recent"),
            models.Index(fields=["strut"], name="strut_reading_gauged", condition=Q(pressure_psig__isnull=False)),
            # Estimated conditions are estimated anew when a neighbouring reading arrives.
            models.Index(
                fields=["leg", "taken_at"],
                name="strut_reading_estimated",
                condition=Q(superseded=False) & (Q(temperature_f__isnull=True) | Q(fuel_lb__isnull=True)),
            ),
        ]
        constraints = [
            models.CheckConstraint(name="servicing_strut_reading_positive", condition=Q(extension_in__gte=0)),
            models.CheckConstraint(
                name="servicing_strut_reading_corrects_another",
                condition=Q(corrects__isnull=True) | ~Q(corrects=F("id")),
            ),
        ]


class TyreReading(Reading):
    """One measurement of a tyre: pressure, tread or both."""

    tyre = models.ForeignKey("fleet.Tyre", on_delete=models.PROTECT, related_name="+")
    pressure_psig = models.FloatField(null=True, blank=True)
    hot = models.BooleanField(default=False)
    loaded = models.BooleanField(default=True)
    tread_in = models.FloatField(null=True, blank=True)

    corrected_psig = models.FloatField(null=True, blank=True)
    uncertainty_psi = models.FloatField(null=True, blank=True)
    corrected_sheet_version = models.PositiveIntegerField()

    class Meta:
        db_table = "servicing_tyre_reading"
        indexes = [
            models.Index(fields=["tyre", "taken_at", "id"], name="tyre_reading_history"),
            models.Index(fields=["operator", "-taken_at", "-id"], name="tyre_reading_recent"),
        ]
        constraints = [
            models.CheckConstraint(
                name="servicing_tyre_reading_something_read",
                condition=Q(withdrawn=True) | Q(pressure_psig__isnull=False) | Q(tread_in__isnull=False),
            ),
        ]
