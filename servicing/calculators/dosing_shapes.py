"""How requests and answers about doses look."""

from __future__ import annotations

from typing import Final

from rest_framework import serializers

from calculations.dosing.plan import Advice
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import CalculatorAnswer
from servicing.calculators.fields import MOST_ROWS, NumberField

_UNITS: Final = "Strokes, cycles, or seconds at the regulator."


class LoggedDoseInput(InputSerializer):
    """One dose and what it did."""

    units = NumberField(help_text=_UNITS)
    rise = QuantityField("length", help_text="Change of extension seen; when letting out, the drop, above 0.")
    settled = serializers.BooleanField(default=True, help_text="Was the strut exercised before it was read again?")
    pressure_ratio = NumberField(default=1.0, help_text="Reference pressure times area over the strut's own.")


class CalibrationInput(InputSerializer):
    """What is known of the rise per unit: the physical expectation, and doses so far."""

    expected_rise = QuantityField("length", required=False, help_text="Per unit; 1/4 in when left out.")
    variation = NumberField(required=False, help_text="Relative spread of it.")
    doses = LoggedDoseInput(many=True, required=False, max_length=MOST_ROWS)  # type: ignore[call-arg]  # DRF's


class SinceExerciseInput(InputSerializer):
    """Given since the strut was last exercised and read."""

    units = NumberField()
    seen = QuantityField("length", help_text="Rise seen without exercise; when letting out, the drop.")


class DosePlanInput(CalibrationInput):
    """Where the strut stands and where it is to stand, at this temperature and load."""

    extension = QuantityField("length")
    target = QuantityField("length")
    tolerance = QuantityField("length", required=False)
    since_exercise = SinceExerciseInput(required=False)
    stiction = QuantityField("length", required=False, help_text="How far friction can hold the strut.")
    pressure_ratio = NumberField(required=False)
    chance = NumberField(required=False, help_text="Greatest chance of going beyond; 0.05 when left out.")
    unit = NumberField(required=False, help_text="Smallest dose; 1 when left out.")


class DosePlanAnswer(CalculatorAnswer):
    """The next dose and what it should do."""

    advice = serializers.CharField(help_text=f"One of {', '.join(one.name.lower() for one in Advice)}.")
    units = serializers.FloatField(help_text=f"To give now; 0 for none. {_UNITS}")
    expected = QuantityField("length", help_text="Settled extension after it.")
    low = QuantityField("length", help_text="End of the 80 % interval.")
    high = QuantityField("length")
    chance_beyond = QuantityField("fraction", help_text="Of settling beyond target and tolerance.")
    chance_beyond_next = QuantityField("fraction", help_text="With one unit more.")
    needed_units = serializers.FloatField(help_text="To the target by expectation, not rounded.")
    hidden = QuantityField("length", help_text="Given but not seen yet.")
    doses_to_expect = serializers.IntegerField(help_text="This one included.")
    rise_per_unit = QuantityField("length")
    rise_per_unit_uncertainty = QuantityField("length")


class SurpriseInput(CalibrationInput):
    """One dose against what was known before it."""

    units = NumberField()
    rise = QuantityField("length")
    settled = serializers.BooleanField(default=True)
    pressure_ratio = NumberField(required=False)


class SurpriseAnswer(CalculatorAnswer):
    """How well the dose agrees with what was expected of it."""

    expected = QuantityField("length")
    chance_of_less = QuantityField("fraction", help_text="Under 1 % after exercise: no more gas, look for the cause.")
    chance_of_more = QuantityField("fraction")
