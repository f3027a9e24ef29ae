"""How the aircraft stands on its legs, and what is left under the propeller."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any, Final

from rest_framework import serializers

from calculations.cautions import Step
from calculations.stance import (
    LEAST_CLEARANCE_NOSE_WHEEL_IN,
    LEAST_CLEARANCE_TAIL_WHEEL_IN,
    GearGeometry,
    LegHeights,
    leg_rise_in,
    propeller_clearance,
    stance,
)
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.given import given_only, together, within

RULE: Final = "14 CFR 23.925(a) before amendment 23-64 (2017)"
_LEGS: Final = ("third_leg", "left_main", "right_main")


class LegStanceInput(InputSerializer):
    """One leg now and in the reference stance, in which the clearance was measured."""

    extension = QuantityField("length")
    reference_extension = QuantityField("length")
    tyre_deflection = QuantityField("length", required=False)
    reference_tyre_deflection = QuantityField("length", required=False)
    rake = QuantityField("angle", required=False, help_text="Tilt of the strut from the vertical.")


class StanceInput(InputSerializer):
    """All three legs, and where wheels and propeller are."""

    third_leg = LegStanceInput(help_text="Nose wheel or tail wheel.")
    left_main = LegStanceInput()
    right_main = LegStanceInput()
    third_leg_ahead = QuantityField("length", help_text="Of the mains; negative for a tail wheel.")
    track = QuantityField("length")
    propeller_ahead = QuantityField("length", help_text="Of the mains.")
    propeller_right = QuantityField("length", required=False, help_text="Of the centre line.")
    reference_clearance = QuantityField("length", required=False)
    minimum_clearance = QuantityField(
        "length",
        required=False,
        help_text="That the manual asks; 7 or 9 in when left out. CS-23 has 180 and 230 mm; above water 18 in.",
    )


class StanceAnswer(CalculatorAnswer):
    """Pitch, roll and clearance against the reference stance."""

    pitch = QuantityField("angle", help_text="Nose up above 0.")
    roll = QuantityField("angle", help_text="Right wing down above 0.")
    clearance_change = QuantityField("length")
    clearance = QuantityField("length", allow_null=True)
    minimum_clearance = QuantityField("length", allow_null=True)
    margin = QuantityField("length", allow_null=True)
    enough = serializers.BooleanField(allow_null=True, help_text="Null without a reference clearance.")


def _rise(leg: Mapping[str, Any]) -> float:
    names = {
        "extension_in": "extension",
        "reference_extension_in": "reference_extension",
        "tyre_deflection_in": "tyre_deflection",
        "reference_tyre_deflection_in": "reference_tyre_deflection",
        "rake_deg": "rake",
    }
    return float(leg_rise_in(**given_only(leg, **names)))


def _stance(values: Mapping[str, Any]) -> Worked:
    tail = values["third_leg_ahead"] < 0
    published = LEAST_CLEARANCE_TAIL_WHEEL_IN if tail else LEAST_CLEARANCE_NOSE_WHEEL_IN
    geometry = GearGeometry(
        values["third_leg_ahead"], values["track"], values["propeller_ahead"], values.get("propeller_right", 0.0)
    )
    third, left, right, _, minimum = together(
        *(within(leg, partial(_rise, values[leg])) for leg in _LEGS),
        lambda: stance(LegHeights(0.0, 0.0, 0.0), geometry),
        lambda: propeller_clearance(0.0, 0.0, values.get("minimum_clearance", published)).minimum_in,
    )
    found = stance(LegHeights(third, left, right), geometry)
    results = {"pitch": found.pitch_deg, "roll": found.roll_deg, "clearance_change": found.clearance_change_in}
    known = dict.fromkeys(("clearance", "minimum_clearance", "margin", "enough"))
    if "reference_clearance" in values:
        under = propeller_clearance(values["reference_clearance"], found.clearance_change_in, minimum)
        known = {
            "clearance": under.clearance_in,
            "minimum_clearance": under.minimum_in,
            "margin": under.margin_in,
            "enough": under.enough,
        }
    return Worked(
        {**results, **known},
        sources=(RULE, "Plane geometry"),
        assumptions=(
            "Level ground; the change of the propeller's height by its own tilt is left out.",
            "Tyre deflections that are not given are as in the reference stance.",
        ),
        steps=(Step.MEASURE, Step.MOVE_NEAR_AIRCRAFT),
    )


_LEG: Final = {"extension": "4 1/2 in", "reference_extension": "4 1/2 in"}
CALCULATORS: Final = (
    Calculator(
        "stance",
        "find_stance",
        "Pitch, roll and propeller clearance on the ground",
        StanceInput,
        StanceAnswer,
        _stance,
        {
            "third_leg": {"extension": "1 in", "reference_extension": "3 1/4 in"},
            "left_main": _LEG,
            "right_main": _LEG,
            "third_leg_ahead": "80 in",
            "track": "100 in",
            "propeller_ahead": "90 in",
            "reference_clearance": "9 in",
        },
        names={"minimum_in": "minimum_clearance", "reference_clearance_in": "reference_clearance"},
    ),
)
