"""Work done on struts and tyres, and what it did to their baseline."""

from django.db import models
from django.db.models import F, Q

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


class Counted(models.TextChoices):
    """In what a dose is counted: each kind of equipment has its own."""

    STROKES = "strokes", "strokes of a hand pump"
    CYCLES = "cycles", "cycles of a multiplier pump"
    SECONDS = "seconds", "seconds of an open regulator or valve"


class Exercise(models.TextChoices):
    """How a strut was worked before its length was read."""

    NOT = "not", "not exercised"
    ROCKED = "rocked", "rocked by hand"
    TAXIED = "taxied", "taxied"
    FLOWN = "flown", "flown"


class Outcome(models.TextChoices):
    """How a top-up ended."""

    WITHIN_LIMITS = "within limits", "within limits"
    LEFT_AS_IS = "left as it is", "left as it is"


TYRE_WORK = frozenset({Work.TYRE_INFLATED, Work.TYRE_CHANGED, Work.TYRE_TURNED, Work.BEARING_SEEN})


class TopUp(Owned):
    """One guided top-up of one strut, over minutes or days, until someone finishes it."""

    leg = models.ForeignKey("fleet.Leg", on_delete=models.PROTECT, related_name="+")
    strut = models.ForeignKey("fleet.Strut", on_delete=models.PROTECT, related_name="+")
    equipment = models.ForeignKey("fleet.Equipment", on_delete=models.PROTECT, null=True, related_name="+")
    started_at = models.DateTimeField()
    started_by = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, null=True, related_name="+")
    target_in = models.FloatField()  # at the sheet's load and temperature
    tolerance_in = models.FloatField()
    overshoot_chance = models.FloatField()
    hose_filled_first = models.BooleanField(default=False)
    paused_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    outcome = models.CharField(max_length=16, choices=Outcome, blank=True)
    note = models.CharField(max_length=500, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        db_table = "servicing_top_up"
        indexes = [models.Index(fields=["operator", "-started_at", "-id"], name="top_up_recent")]
        constraints = [
            models.UniqueConstraint(
                fields=["strut"], name="servicing_top_up_one_open", condition=Q(finished_at__isnull=True)
            ),
            models.CheckConstraint(
                name="servicing_top_up_sensible",
                condition=Q(target_in__gt=0, tolerance_in__gt=0, overshoot_chance__gt=0, overshoot_chance__lte=0.5),
            ),
        ]

    @property
    def live_steps(self) -> "models.QuerySet[TopUpStep]":
        """Its steps in order of time, without those that were put right or taken back since."""
        return self.steps.filter(superseded=False, withdrawn=False).order_by("at", "sequence")


class TopUpStep(Owned):
    """One dose with the length it led to, or only a look at the length; a mistake is corrected by a new row."""

    top_up = models.ForeignKey(TopUp, on_delete=models.PROTECT, related_name="steps")
    sequence = models.PositiveIntegerField()
    at = models.DateTimeField()
    received_at = models.DateTimeField()
    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, null=True, related_name="+")
    amount = models.FloatField(default=0)  # 0: only a look
    counted = models.CharField(max_length=8, choices=Counted, blank=True)
    released = models.BooleanField(default=False)
    hose_connected = models.BooleanField(default=False)  # anew, for this dose
    equipment = models.ForeignKey("fleet.Equipment", on_delete=models.PROTECT, null=True, related_name="+")
    as_read = models.JSONField(default=dict)
    extension_before_in = models.FloatField(null=True, blank=True)
    extension_in = models.FloatField()
    exercised = models.CharField(max_length=8, choices=Exercise, default=Exercise.NOT)
    temperature_f = models.FloatField(null=True, blank=True)
    fuel_lb = models.FloatField(null=True, blank=True)
    occupants_lb = models.FloatField(null=True, blank=True)

    temperature_used_f = models.FloatField()
    load_lbf = models.FloatField()
    corrected_before_in = models.FloatField(null=True, blank=True)
    corrected_in = models.FloatField()
    uncertainty_in = models.FloatField()

    corrects = models.OneToOneField("self", on_delete=models.PROTECT, null=True, related_name="corrected_by")
    correction_reason = models.CharField(max_length=200, blank=True)
    withdrawn = models.BooleanField(default=False)
    superseded = models.BooleanField(default=False)

    class Meta:
        db_table = "servicing_top_up_step"
        constraints = [
            models.UniqueConstraint(
                fields=["top_up", "sequence"], name="servicing_top_up_step_once", condition=Q(superseded=False)
            ),
            models.CheckConstraint(
                name="servicing_top_up_step_amount", condition=Q(amount=0) | (Q(amount__gt=0) & ~Q(counted=""))
            ),
            models.CheckConstraint(name="servicing_top_up_step_extension", condition=Q(extension_in__gte=0)),
        ]


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
    top_up = models.ForeignKey(TopUp, on_delete=models.PROTECT, null=True, related_name="servicings")
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
                condition=Q(strut__isnull=False, tyre__isnull=True) | Q(strut__isnull=True, tyre__isnull=False),
            ),
            models.CheckConstraint(
                name="servicing_servicing_corrects_another",
                condition=Q(corrects__isnull=True) | ~Q(corrects=F("id")),
            ),
            models.CheckConstraint(
                name="servicing_servicing_amounts",
                condition=(Q(strokes__isnull=True) | Q(strokes__gte=0))
                & (Q(fluid_added_in3__isnull=True) | Q(fluid_added_in3__gte=0)),
            ),
        ]
