"""How top-ups and their plans look in answers, for the API document."""

from typing import Any

from rest_framework import serializers

from fleet.web.quantities import QuantityField
from servicing.work.deciding import Next
from servicing.work.models import Counted, Exercise, Outcome


class StepAnswer(serializers.Serializer[Any]):
    """One dose, or one look."""

    id = serializers.UUIDField()
    number = serializers.IntegerField()
    at = serializers.DateTimeField()
    by = serializers.CharField()
    amount = serializers.FloatField()
    counted = serializers.CharField()
    released = serializers.BooleanField()
    hose_connected = serializers.BooleanField()
    extension_before = QuantityField("length", allow_null=True)
    extension = QuantityField("length")
    exercised = serializers.ChoiceField(Exercise.choices)
    corrected = QuantityField("length")
    uncertainty = QuantityField("length")
    temperature = QuantityField("temperature", allow_null=True)
    load = QuantityField("force")
    corrects = serializers.UUIDField(allow_null=True, help_text="The mistaken step that this one replaces.")
    correction_reason = serializers.CharField(allow_blank=True)


class PredictionAnswer(serializers.Serializer[Any]):
    """Where the strut should settle after the dose, with an 80 % interval."""

    corrected = QuantityField("length", help_text="At the sheet's load and temperature.")
    corrected_low = QuantityField("length")
    corrected_high = QuantityField("length")
    on_ruler = QuantityField("length", help_text="Now, at this load and temperature.")
    on_ruler_low = QuantityField("length")
    on_ruler_high = QuantityField("length")


class DoseAnswer(serializers.Serializer[Any]):
    """The next dose."""

    amount = serializers.FloatField()
    counted = serializers.ChoiceField(Counted.choices)
    overshoot_chance = serializers.FloatField(help_text="Of settling beyond target and tolerance after this dose.")
    overshoot_chance_one_more = serializers.FloatField()
    needed = serializers.FloatField(help_text="What the mean still needs to the target, not rounded.")
    expected = PredictionAnswer()
    hose_loss = QuantityField(
        "length",
        help_text="What connecting the hose takes away first, at the sheet's load and temperature; in the figures.",
    )


class LearnedAnswer(serializers.Serializer[Any]):
    """Rise per stroke, cycle or second at the sheet's load, learned on this strut with this equipment."""

    mean = QuantityField("length")
    uncertainty = QuantityField("length", help_text="Scale of its Student t distribution, like one sigma.")
    degrees_of_freedom = serializers.FloatField()
    doses = serializers.IntegerField()
    expected_by_physics = QuantityField("length", allow_null=True)


class EquipmentReachAnswer(serializers.Serializer[Any]):
    """Whether the equipment can reach the pressure that the load asks for."""

    reachable = serializers.BooleanField(allow_null=True)
    highest = QuantityField("gauge_pressure", allow_null=True)
    needed = QuantityField("gauge_pressure")
    hose_loss = QuantityField("length", allow_null=True, help_text="As the ruler would show it now.")


class RulerAnswer(serializers.Serializer[Any]):
    """Target and limits as the ruler shows them now."""

    target = QuantityField("length")
    low_limit = QuantityField("length")
    high_limit = QuantityField("length")


class PlanAnswer(serializers.Serializer[Any]):
    """What to do next."""

    next = serializers.ChoiceField([(word.value, word.value) for word in Next])
    why = serializers.CharField()
    exercise = serializers.ChoiceField(["now", "after the dose", "not needed"])
    dose = DoseAnswer(allow_null=True)
    doses_to_expect = serializers.IntegerField(allow_null=True)
    hidden = QuantityField("length", help_text="Rise given but not seen yet.")
    corrected = QuantityField("length")
    ruler_now = RulerAnswer()
    learned = LearnedAnswer(allow_null=True)
    equipment_reach = EquipmentReachAnswer(allow_null=True)


class TopUpSummary(serializers.Serializer[Any]):
    """A top-up as a list shows it."""

    id = serializers.UUIDField()
    leg = serializers.UUIDField()
    strut = serializers.UUIDField()
    equipment = serializers.UUIDField(allow_null=True)
    state = serializers.ChoiceField(["running", "paused", "finished"])
    started_at = serializers.DateTimeField()
    paused_at = serializers.DateTimeField(allow_null=True)
    finished_at = serializers.DateTimeField(allow_null=True)
    outcome = serializers.ChoiceField([("", ""), *Outcome.choices])
    note = serializers.CharField()
    target = QuantityField("length")
    tolerance = QuantityField("length")
    overshoot_chance = serializers.FloatField()
    hose_filled_first = serializers.BooleanField()
    version = serializers.IntegerField()


class TopUpAnswer(TopUpSummary):
    """A top-up with its plan."""

    steps = StepAnswer(many=True)
    plan = PlanAnswer(allow_null=True)
    cautions = serializers.ListField(child=serializers.CharField())
    assumptions = serializers.ListField(child=serializers.CharField())
    basis = serializers.DictField(child=serializers.ListField(child=serializers.CharField()))
