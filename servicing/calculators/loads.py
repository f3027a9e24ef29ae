"""What each leg carries, from items aboard, from scales, or from fuel and people."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from rest_framework import serializers

from calculations.balance import Balance, balance_from_scales, balance_of_items
from calculations.cautions import Step
from calculations.loads import (
    LegReactions,
    leg_reactions,
    leg_reactions_with_lateral,
)
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.given import column

HANDBOOK: Final = ("FAA-H-8083-1B, Aircraft Weight and Balance Handbook",)
_NOSE_OR_TAIL: Final = "Arm of the nose wheel, or of the tail wheel, which lies behind the mains."
_MOST_ITEMS: Final = 100


class ArmsInput(InputSerializer):
    """Where the wheels touch the ground, aft of the datum."""

    third_leg_arm = QuantityField("length", help_text=_NOSE_OR_TAIL)
    main_arm = QuantityField("length")


class ItemInput(InputSerializer):
    """Empty aircraft, fuel in one tank, a person, baggage."""

    name = serializers.CharField(max_length=80, required=False)
    weight = QuantityField("mass", minimum=0.0)
    arm = QuantityField("length", help_text="Aft of the datum; negative ahead of it.")
    lateral_arm = QuantityField("length", required=False, help_text="Right of the centre line; negative left.")


class LegsInput(ArmsInput):
    """Everything aboard, with its arms."""

    items = ItemInput(many=True, min_length=1, max_length=_MOST_ITEMS)  # type: ignore[call-arg]  # DRF's
    track = QuantityField("length", required=False, help_text="Between the mains; tells left from right.")


class ReactionsAnswer(CalculatorAnswer):
    """Weight, where it acts, and what each leg carries of it."""

    weight = QuantityField("mass")
    centre_of_gravity = QuantityField("length", help_text="Aft of the datum.")
    third_leg = QuantityField("force")
    left_main = QuantityField("force")
    right_main = QuantityField("force")


class WeightInput(ArmsInput):
    """A known weight and centre of gravity."""

    weight = QuantityField("mass")
    centre_of_gravity = QuantityField("length", help_text="Aft of the datum.")


class ScalesInput(ArmsInput):
    """Net readings of a scale under each wheel."""

    third_leg = QuantityField("force")
    left_main = QuantityField("force")
    right_main = QuantityField("force")
    track = QuantityField("length", help_text="Between the mains.")


class ScalesAnswer(CalculatorAnswer):
    """Weight and where it acts."""

    weight = QuantityField("mass")
    centre_of_gravity = QuantityField("length", help_text="Aft of the datum.")
    lateral_offset = QuantityField("length", help_text="Right of the centre line.")


def arms_of(values: Mapping[str, Any]) -> dict[str, float]:
    """Return where the wheels touch the ground."""
    return {"third_leg_arm_in": values["third_leg_arm"], "main_arm_in": values["main_arm"]}


def _reactions(balance: Balance | Mapping[str, Any], legs: LegReactions, assumptions: tuple[str, ...]) -> Worked:
    known = balance if isinstance(balance, Mapping) else _of(balance)
    loads = {"third_leg": legs.third_leg_lbf, "left_main": legs.left_main_lbf, "right_main": legs.right_main_lbf}
    return Worked({**known, **loads}, sources=HANDBOOK, assumptions=tuple(dict.fromkeys(assumptions)))


def _of(balance: Balance) -> dict[str, Any]:
    return {"weight": balance.weight_lbf, "centre_of_gravity": balance.centre_of_gravity_in}


def _legs(values: Mapping[str, Any]) -> Worked:
    rows = values["items"]
    balance = balance_of_items(column(rows, "weight"), column(rows, "arm"), column(rows, "lateral_arm", 0.0))
    if "track" in values:
        legs = leg_reactions_with_lateral(balance, **arms_of(values), track_in=values["track"])
    else:
        legs = leg_reactions(balance.weight_lbf, balance.centre_of_gravity_in, **arms_of(values))
    return _reactions(balance, legs, (*balance.assumptions, *legs.assumptions))


def _weight(values: Mapping[str, Any]) -> Worked:
    legs = leg_reactions(values["weight"], values["centre_of_gravity"], **arms_of(values))
    return _reactions({name: values[name] for name in ("weight", "centre_of_gravity")}, legs, legs.assumptions)


def _scales(values: Mapping[str, Any]) -> Worked:
    scales = (values["third_leg"], values["left_main"], values["right_main"])
    found = balance_from_scales(*scales, **arms_of(values), track_in=values["track"])
    offset = found.lateral_moment_lbf_in / found.weight_lbf
    return Worked(
        {**_of(found), "lateral_offset": offset},
        sources=HANDBOOK,
        assumptions=(*found.assumptions, "Readings are net: chocks and blocks taken off."),
        steps=(Step.JACKING,),
    )


ARMS: Final = {"third_leg_arm": "50 in", "main_arm": "128 in"}
CALCULATORS: Final = (
    Calculator(
        "loads/items",
        "find_leg_loads",
        "Load on each leg from empty weight, fuel and people",
        LegsInput,
        ReactionsAnswer,
        _legs,
        {
            **ARMS,
            "items": [
                {"name": "empty", "weight": "1500 lb", "arm": "117 in"},
                {"name": "fuel", "weight": "166 lb", "arm": "105 in"},
                {"name": "two people", "weight": "340 lb", "arm": "109 in"},
            ],
        },
        names={
            "weights_lbf": "items.weight",
            "arms_in": "items.arm",
            "lateral_arms_in": "items.lateral_arm",
            "weight_lbf": "items",
            "centre_of_gravity_in": "items",
            "lateral_moment_lbf_in": "items",
        },
    ),
    Calculator(
        "loads/weight",
        "find_leg_loads_of_weight",
        "Load on each leg from weight and centre of gravity",
        WeightInput,
        ReactionsAnswer,
        _weight,
        {**ARMS, "weight": "2006 lb", "centre_of_gravity": "114.78 in"},
    ),
    Calculator(
        "loads/scales",
        "find_balance_from_scales",
        "Weight and centre of gravity from three scales",
        ScalesInput,
        ScalesAnswer,
        _scales,
        {**ARMS, "third_leg": "340 lbf", "left_main": "833 lbf", "right_main": "833 lbf", "track": "120 in"},
    ),
)
