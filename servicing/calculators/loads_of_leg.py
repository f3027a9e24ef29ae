"""What one leg carries of fuel and people, by its type sheet or by arms."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar, Final

from rest_framework import serializers

from calculations.loads import (
    LegLoading,
    load_on_leg,
    share_on_legs,
)
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import NumberField
from servicing.calculators.given import given_only
from servicing.calculators.loads import ARMS, HANDBOOK, ArmsInput, arms_of
from servicing.calculators.of_leg import FiguresOfLeg


class SharesInput(ArmsInput):
    """Where a tank or seat is."""

    arm = QuantityField("length")


class SharesAnswer(CalculatorAnswer):
    """Pounds of load per pound at that arm; below 0 where it lifts that leg."""

    third_leg = serializers.FloatField()
    each_main = serializers.FloatField()


class LegLoadingInput(FiguresOfLeg):
    """How a leg's load follows fuel and people, as a type sheet gives it."""

    from_sheet: ClassVar = {
        "reference_load": "reference_load_lbf",
        "reference_fuel": "reference_fuel_lb",
        "reference_occupants": "reference_occupants_lb",
        "load_per_fuel": "load_per_fuel",
        "load_per_occupant": "load_per_occupant",
    }
    needed: ClassVar = ("reference_load", "reference_fuel", "load_per_fuel")

    reference_load = QuantityField("force", required=False)
    reference_fuel = QuantityField("mass", required=False)
    reference_occupants = QuantityField("mass", required=False)
    load_per_fuel = NumberField(required=False, help_text="Pounds of load per pound of fuel.")
    load_per_occupant = NumberField(required=False, help_text="Pounds of load per pound of people.")


class LegLoadInput(InputSerializer):
    """Fuel and people aboard."""

    loading = LegLoadingInput()
    fuel = QuantityField("mass")
    occupants = QuantityField("mass", required=False)
    fuel_uncertainty = QuantityField("mass", required=False)
    occupants_uncertainty = QuantityField("mass", required=False)


class LegLoadAnswer(CalculatorAnswer):
    """Load on the leg."""

    load = QuantityField("force")
    uncertainty = QuantityField("force", help_text="1 standard deviation.")


def _shares(values: Mapping[str, Any]) -> Worked:
    third, main = share_on_legs(values["arm"], **arms_of(values))
    return Worked(
        {"third_leg": third, "each_main": main},
        sources=HANDBOOK,
        assumptions=("On the centre line, aircraft level.",),
    )


def _leg_load(values: Mapping[str, Any]) -> Worked:
    loading = given_only(
        values["loading"],
        reference_load_lbf="reference_load",
        reference_fuel_lb="reference_fuel",
        load_per_fuel="load_per_fuel",
        reference_occupants_lb="reference_occupants",
        load_per_occupant="load_per_occupant",
    )
    sd = given_only(values, fuel_uncertainty_lb="fuel_uncertainty", occupants_uncertainty_lb="occupants_uncertainty")
    found = load_on_leg(values["fuel"], values.get("occupants", 0.0), LegLoading(**loading), **sd)
    return Worked(
        {"load": found.load_lbf, "uncertainty": found.uncertainty_lbf},
        sources=("JCGM 100:2008, eq. 10",),
        assumptions=found.assumptions,
    )


CALCULATORS: Final = (
    Calculator(
        "loads/shares",
        "find_leg_shares",
        "How much of an item's weight each leg takes",
        SharesInput,
        SharesAnswer,
        _shares,
        {**ARMS, "arm": "105 in"},
    ),
    Calculator(
        "loads/leg",
        "find_leg_load",
        "Load on one leg from fuel and people, by its type sheet",
        LegLoadInput,
        LegLoadAnswer,
        _leg_load,
        {
            "loading": {"reference_load": "800 lbf", "reference_fuel": "288 lb", "load_per_fuel": 0.416},
            "fuel": "100 lb",
        },
    ),
)
