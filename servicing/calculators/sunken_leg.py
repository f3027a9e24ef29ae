"""How far a leg sinks in the cases in which the propeller must still clear the ground."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from calculations.stance import (
    LEAF_SPRING_LOAD_FACTOR,
    rise_of_leaf_spring_in,
    rise_when_flat_and_bottomed_in,
)
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import NumberField
from servicing.calculators.given import given_only
from servicing.calculators.stance import RULE


class BottomedInput(InputSerializer):
    """A leg in the reference stance."""

    reference_extension = QuantityField("length")
    loaded_radius = QuantityField("length", help_text="Axle to ground.")
    flange_diameter = QuantityField("length", help_text="Of the rim, on which it then stands.")
    rake = QuantityField("angle", required=False)


class BottomedAnswer(CalculatorAnswer):
    """How far the leg sinks; below 0."""

    rise = QuantityField("length")


class LeafSpringInput(InputSerializer):
    """A leaf-spring leg."""

    static_deflection = QuantityField("length", help_text="Lower under its static load than without load.")
    load_factor = NumberField(required=False, help_text="1.5 when left out.")


class LeafSpringAnswer(CalculatorAnswer):
    """How far the leg sinks below its static stance; below 0."""

    rise = QuantityField("length")


def _bottomed(values: Mapping[str, Any]) -> Worked:
    found = rise_when_flat_and_bottomed_in(
        reference_extension_in=values["reference_extension"],
        loaded_radius_in=values["loaded_radius"],
        flange_diameter_in=values["flange_diameter"],
        **given_only(values, rake_deg="rake"),
    )
    return Worked(
        {"rise": found},
        sources=(RULE,),
        assumptions=("The flat tyre under the flange is not counted: on the safe side.",),
    )


def _leaf_spring(values: Mapping[str, Any]) -> Worked:
    found = rise_of_leaf_spring_in(values["static_deflection"], values.get("load_factor", LEAF_SPRING_LOAD_FACTOR))
    return Worked(
        {"rise": found},
        sources=(RULE,),
        assumptions=("A straight spring; the tyre's own deflection is not counted.",),
    )


CALCULATORS: Final = (
    Calculator(
        "stance/flat-and-bottomed",
        "find_rise_when_flat_and_bottomed",
        "How far a leg sinks with its tyre flat and its strut bottomed",
        BottomedInput,
        BottomedAnswer,
        _bottomed,
        {"reference_extension": "3 1/4 in", "loaded_radius": "6.8 in", "flange_diameter": "7.25 in"},
    ),
    Calculator(
        "stance/leaf-spring",
        "find_rise_of_leaf_spring",
        "How far a leaf-spring leg sinks at one and a half times its load",
        LeafSpringInput,
        LeafSpringAnswer,
        _leaf_spring,
        {"static_deflection": "4 in"},
    ),
)
