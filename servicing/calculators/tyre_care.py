"""Slip of a tyre on its rim, gauge, storage."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from rest_framework import serializers

from calculations.cautions import Step
from calculations.tread import has_slipped
from calculations.tyre_rating import gauge_is_fit, may_be_stored_at, stack_height
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.given import together

_NAVY: Final = "NAVEDTRA 14018, ch. 11"


class SlipInput(InputSerializer):
    """How far the mark on the tyre has moved against that on the rim."""

    mark_offset = QuantityField("length")


class SlipAnswer(CalculatorAnswer):
    """Has a tube tyre crept too far?"""

    slipped = serializers.BooleanField()


class GaugeInput(InputSerializer):
    """A pressure gauge."""

    error = QuantityField("fraction", help_text="Greatest, of the reading.")
    resolution = QuantityField("pressure_difference", help_text="Smallest step that can be read.")


class GaugeAnswer(CalculatorAnswer):
    """Is it good enough for tyres?"""

    fit = serializers.BooleanField()


class StorageInput(InputSerializer):
    """A tyre to be stored without a rack."""

    outer_diameter = QuantityField("length")
    temperature = QuantityField("temperature", required=False, help_text="Of the room.")


class StorageAnswer(CalculatorAnswer):
    """How many may lie on one another."""

    stack_height = serializers.IntegerField()
    temperature_fit = serializers.BooleanField(allow_null=True, help_text="Null when no temperature is told.")


def _slip(values: Mapping[str, Any]) -> Worked:
    return Worked(
        {"slipped": has_slipped(values["mark_offset"])},
        sources=(_NAVY,),
        assumptions=("Tyre with tube; its mark is 1 in wide and 2 in long; more than 1/4 in is too far.",),
        steps=(Step.TYRE_CHECK, Step.TYRE_REMOVAL),
    )


def _gauge(values: Mapping[str, Any]) -> Worked:
    return Worked(
        {"fit": gauge_is_fit(values["error"], values["resolution"])},
        sources=("A tyre maker's care manual",),
        assumptions=("0.25 % and 2 psi at most.",),
        steps=(Step.TYRE_CHECK,),
    )


def _storage(values: Mapping[str, Any]) -> Worked:
    temperature = values.get("temperature")
    height, fit = together(
        lambda: stack_height(values["outer_diameter"]),
        lambda: None if temperature is None else may_be_stored_at(temperature),
    )
    return Worked(
        {"stack_height": height, "temperature_fit": fit},
        sources=("FAA AC 20-97B, as repeated by a trade page",),
        assumptions=("Vertical racks are better. Cool (32 to 85 degF), dry, dark, away from ozone and oil.",),
    )


CALCULATORS: Final = (
    Calculator(
        "tyres/slip",
        "judge_tyre_slip",
        "Has a tube tyre crept on its rim?",
        SlipInput,
        SlipAnswer,
        _slip,
        {"mark_offset": "1/8 in"},
    ),
    Calculator(
        "tyres/gauge",
        "judge_tyre_gauge",
        "Is a gauge good enough for tyres?",
        GaugeInput,
        GaugeAnswer,
        _gauge,
        {"error": "0.25 %", "resolution": "1 psi"},
        names={"error_share": "error", "resolution_psi": "resolution"},
    ),
    Calculator(
        "tyres/storage",
        "find_tyre_stack_height",
        "How many tyres may lie on one another in store",
        StorageInput,
        StorageAnswer,
        _storage,
        {"outer_diameter": "17 in", "temperature": "70 degF"},
    ),
)
