"""Work done on struts and tyres, and what it did to their baseline."""

from django.db import models

from fleet.tenancy import Owned


class Work(models.TextChoices):
    """What was done. The words are those of the servicings file."""

    GAS_ADDED = "gas added", "gas added"
    GAS_RELEASED = "gas released", "gas released"
    FLUID_ADDED = "fluid added", "fluid added"
    FLUID_CHANGED = "fluid changed", "fluid changed"
    VALVE_CORE = "valve core replaced", "valve core replaced"
    SEALS = "seals replaced", "seals replaced"
    CLEANED = "cleaned", "tube cleaned and exercised"
    OVERHAULED = "overhauled", "overhauled"
    TYRE_INFLATED = "tyre inflated", "tyre inflated"
    TYRE_CHANGED = "tyre changed", "tyre changed"
    TYRE_TURNED = "tyre turned", "tyre turned on the wheel"
    BEARING_SEEN = "wheel bearing seen", "wheel bearing cleaned and greased"


TYRE_WORK = frozenset({Work.TYRE_INFLATED, Work.TYRE_CHANGED, Work.TYRE_TURNED, Work.BEARING_SEEN})


class Servicing(Owned):
    """Work done at one time on one leg's strut or tyre; a mistake is corrected by a new row."""

    leg = models.ForeignKey("fleet.Leg", on_delete=models.PROTECT, related_name="+")
    strut = models.ForeignKey("fleet.Strut", on_delete=models.PROTECT, null=True, related_name="+")
    tyre = models.ForeignKey("fleet.Tyre", on_delete=models.PROTECT, null=True, related_name="+")
    done_at = models.DateTimeField()
    received_at = models.DateTimeField()
    work = models.CharField(max_length=24, choices=Work)
    as_read = models.JSONField(default=dict)
    extension_before_in = models.FloatField(null=True, blank=True)
    extension_after_in = models.FloatField(null=True, blank=True)
    pressure_before_psig = models.FloatField(null=True, blank=True)
    pressure_after_psig = models.FloatField(null=True, blank=True)
    temperature_f = models.FloatField(null=True, blank=True)
    strokes = models.FloatField(null=True, blank=True)
    fluid_added_in3 = models.FloatField(null=True, blank=True)
    equipment = models.ForeignKey("fleet.Equipment", on_delete=models.PROTECT, null=True, related_name="+")
    done_by = models.CharField(max_length=120, blank=True)
    note = models.CharField(max_length=500, blank=True)
    corrects = models.OneToOneField("self", on_delete=models.PROTECT, null=True, related_name="corrected_by")
    correction_reason = models.CharField(max_length=200, blank=True)
    withdrawn = models.BooleanField(default=False)
    superseded = models.BooleanField(default=False)

    class Meta:
        db_table = "servicing_servicing"
        indexes = [
            models.Index(fields=["strut", "done_at"], name="servicing_strut_history"),
            models.Index(fields=["tyre", "done_at"], name="servicing_tyre_history"),
            models.Index(fields=["operator", "-done_at", "-id"], name="servicing_recent"),
        ]
        constraints = [
            models.CheckConstraint(
                name="servicing_servicing_one_part",
                condition=models.Q(strut__isnull=False, tyre__isnull=True)
                | models.Q(strut__isnull=True, tyre__isnull=False),
            ),
        ]
