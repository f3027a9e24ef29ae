"""Descent rate and drop height that light-aircraft gear is certificated for."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from rest_framework import serializers

from calculations.landing import (
    GREATEST_WING_LIFT,
    LEAST_INERTIA_LOAD_FACTOR,
    design_descent_ft_s,
    drop_height_in,
    effective_drop_weight_lbf,
    ground_load_factor,
)
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import NumberField
from servicing.calculators.given import given_only, together

_SOURCES: Final = (
    "14 CFR 23.725 before amendment 23-64 (2017)",
    "14 CFR 23.473(d), (e), (g) before amendment 23-64 (from memory, source not seen)",
)


class LandingInput(InputSerializer):
    """Wing loading at the design landing weight."""

    wing_loading = QuantityField("wing_loading")
    inertia_load_factor = NumberField(required=False, help_text="That the type was designed for; 2.67 if not told.")
    wing_lift_share = NumberField(required=False, help_text="Of the weight; at most 2/3.")


class LandingAnswer(CalculatorAnswer):
    """What the gear was shown to stand."""

    design_descent = QuantityField("speed")
    drop_height = QuantityField("length")
    ground_load_factor = serializers.FloatField(help_text="Least push of the ground over the aircraft's weight.")


class DropWeightInput(InputSerializer):
    """A drop test."""

    weight = QuantityField("mass")
    drop_height = QuantityField("length")
    compression = QuantityField("length", help_text="Of tyre and strut together, vertically.")
    wing_lift_share = NumberField(required=False, help_text="Of the weight; at most 2/3.")


class DropWeightAnswer(CalculatorAnswer):
    """Weight that stands in for aircraft and wing lift."""

    effective_weight = QuantityField("mass")


def _landing(values: Mapping[str, Any]) -> Worked:
    loading = values["wing_loading"]
    descent, height, factor = together(
        lambda: design_descent_ft_s(loading),
        lambda: drop_height_in(loading),
        lambda: ground_load_factor(
            values.get("inertia_load_factor", LEAST_INERTIA_LOAD_FACTOR),
            values.get("wing_lift_share", GREATEST_WING_LIFT),
        ),
    )
    return Worked(
        {"design_descent": descent, "drop_height": height, "ground_load_factor": factor},
        sources=_SOURCES,
        assumptions=(
            "The limits of the rule hold: 7 to 10 ft/s, 9.2 to 18.7 in, inertia load factor 2.67 or more.",
            "Wing lift is 2/3 of the weight unless told.",
        ),
    )


def _drop_weight(values: Mapping[str, Any]) -> Worked:
    found = effective_drop_weight_lbf(
        values["weight"],
        values["drop_height"],
        values["compression"],
        **given_only(values, wing_lift_share="wing_lift_share"),
    )
    return Worked(
        {"effective_weight": found},
        sources=("14 CFR 23.725(b) before amendment 23-64 (equation from memory, source not seen)",),
        assumptions=("Wing lift is 2/3 of the weight unless told.",),
    )


CALCULATORS: Final = (
    Calculator(
        "landing",
        "find_design_descent",
        "Descent rate, drop height and least ground load of certification",
        LandingInput,
        LandingAnswer,
        _landing,
        {"wing_loading": "16 lb/ft2"},
    ),
    Calculator(
        "landing/drop-weight",
        "find_drop_weight",
        "Effective weight of a drop test",
        DropWeightInput,
        DropWeightAnswer,
        _drop_weight,
        {"weight": "1000 lb", "drop_height": "12 in", "compression": "8 in"},
    ),
)
