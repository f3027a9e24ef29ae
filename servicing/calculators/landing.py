"""Descent rate and drop height that light-aircraft gear is certificated for."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from calculations.landing import design_descent_ft_s, drop_height_in, effective_drop_weight_lbf
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import NumberField
from servicing.calculators.given import given_only

_SOURCES: Final = (
    "14 CFR 23.725 before amendment 23-64 (2017)",
    "14 CFR 23.473(d) before amendment 23-64 (from memory, source not seen)",
)


class LandingInput(InputSerializer):
    """Wing loading at the design landing weight."""

    wing_loading = QuantityField("wing_loading")


class LandingAnswer(CalculatorAnswer):
    """What the gear was shown to stand."""

    design_descent = QuantityField("speed")
    drop_height = QuantityField("length")


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
    return Worked(
        {"design_descent": design_descent_ft_s(loading), "drop_height": drop_height_in(loading)},
        sources=_SOURCES,
        assumptions=("The limits of the rule hold: 7 to 10 ft/s, 9.2 to 18.7 in.",),
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
        "Descent rate and drop height of the certification test",
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
