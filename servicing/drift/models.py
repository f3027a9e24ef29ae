"""How each strut and tyre stands: the latest assessment, and a row for each change of finding."""

from django.db import models

from fleet.tenancy import Owned


class Level(models.TextChoices):
    """How urgently someone must look, as in flight-crew alerting."""

    NONE = "none", "none"
    ADVISORY = "advisory", "advisory"
    CAUTION = "caution", "caution"
    WARNING = "warning", "warning"


class Standing(Owned):
    """The latest assessment of one part."""

    assessed_at = models.DateTimeField(null=True, blank=True)
    last_reading_at = models.DateTimeField(null=True, blank=True)
    finding = models.CharField(max_length=32, default="too_few_readings")
    level = models.CharField(max_length=10, choices=Level, default=Level.NONE)
    false_alarm_rate = models.FloatField(null=True, blank=True)  # per part and year, of evidence this strong
    changes_on = models.DateField(null=True, blank=True)  # when the calendar alone may change finding or level
    breach_on = models.DateField(null=True, blank=True)
    breach_low = models.DateField(null=True, blank=True)
    breach_high = models.DateField(null=True, blank=True)
    evidence = models.JSONField(default=dict)

    class Meta:
        abstract = True


class StrutStanding(Standing):
    """How a strut stands, at its sheet's conditions."""

    strut = models.OneToOneField("fleet.Strut", on_delete=models.PROTECT, related_name="standing")
    extension_in = models.FloatField(null=True, blank=True)
    extension_low_in = models.FloatField(null=True, blank=True)
    extension_high_in = models.FloatField(null=True, blank=True)
    rate_in_per_month = models.FloatField(null=True, blank=True)
    rate_low = models.FloatField(null=True, blank=True)
    rate_high = models.FloatField(null=True, blank=True)
    probability_fluid = models.FloatField(null=True, blank=True)

    class Meta:
        db_table = "servicing_strut_standing"
        indexes = [models.Index(fields=["operator", "changes_on"], name="strut_standing_changes")]


class TyreStanding(Standing):
    """How a tyre stands, at the reference temperature."""

    tyre = models.OneToOneField("fleet.Tyre", on_delete=models.PROTECT, related_name="standing")
    pressure_psig = models.FloatField(null=True, blank=True)
    rate_percent_per_day = models.FloatField(null=True, blank=True)
    rate_low = models.FloatField(null=True, blank=True)
    rate_high = models.FloatField(null=True, blank=True)
    band = models.CharField(max_length=40, blank=True)
    landings_to_wear_limit = models.FloatField(null=True, blank=True)

    class Meta:
        db_table = "servicing_tyre_standing"
        indexes = [models.Index(fields=["operator", "changes_on"], name="tyre_standing_changes")]


class FleetNoise(Owned):
    """What an operator's own history says about its readings' noise, and the choices that its parts are judged by."""

    learned_at = models.DateTimeField()
    habits = models.JSONField()  # of each kind of part
    false_alarms_per_year = models.FloatField()
    notice_days = models.FloatField()

    class Meta:
        db_table = "servicing_fleet_noise"
        constraints = [models.UniqueConstraint(fields=["operator"], name="servicing_fleet_noise_once")]


class FindingChange(Owned):
    """A change of finding or level of one part; written once, handled once."""

    strut = models.ForeignKey("fleet.Strut", on_delete=models.PROTECT, null=True, related_name="+")
    tyre = models.ForeignKey("fleet.Tyre", on_delete=models.PROTECT, null=True, related_name="+")
    leg = models.ForeignKey("fleet.Leg", on_delete=models.PROTECT, null=True, related_name="+")
    at = models.DateTimeField()
    finding_before = models.CharField(max_length=32)
    finding = models.CharField(max_length=32)
    level_before = models.CharField(max_length=10, choices=Level)
    level = models.CharField(max_length=10, choices=Level)
    evidence = models.JSONField(default=dict)
    handled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        db_table = "servicing_finding_change"
        indexes = [
            models.Index(fields=["strut", "-at"], name="finding_change_strut"),
            models.Index(fields=["at"], name="finding_change_waiting", condition=models.Q(handled_at__isnull=True)),
        ]
        constraints = [
            models.CheckConstraint(
                name="servicing_finding_change_one_part",
                condition=models.Q(strut__isnull=False, tyre__isnull=True)
                | models.Q(strut__isnull=True, tyre__isnull=False),
            ),
        ]
