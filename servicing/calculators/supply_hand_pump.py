"""What a hand pump does for a strut, and whether it can."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

import numpy as np
from rest_framework import serializers

from calculations.cautions import Step
from calculations.supply.hand_pump import (
    HandPump,
    Intake,
    displacement_in3,
    gas_per_stroke_mol,
    handle_force_lbf,
    highest_pressure_psia,
    rise_per_stroke_in,
    strokes_for_rise,
    volumetric_efficiency,
)
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import NumberField, atmosphere_at
from servicing.calculators.given import given_only, told
from servicing.calculators.strut_figures import EXAMPLE, strut_from
from servicing.calculators.strut_shapes import AT_REST, LoadedInput, strut_worked
from servicing.calculators.supply_reach import AIR_NAMES, ReachAnswer, reach_of, resting

_AIR_TEMPERATURE: Final = {"temperature_f": "air_temperature"}


class HandPumpInput(InputSerializer):
    """A hand pump."""

    bore = QuantityField("length", help_text="Of its first stage.")
    stroke = QuantityField("length")
    clearance_share = NumberField(required=False, help_text="Volume left behind the piston over volume swept.")
    stages = serializers.IntegerField(required=False, min_value=1, max_value=6)
    exponent = NumberField(required=False, help_text="1 slow pumping, 1.3 quick.")
    seal_share = NumberField(required=False, help_text="Share of the gas that reaches the strut; 1 for good seals.")


class HandPumpRequest(LoadedInput):
    """A pump, the air it draws, the strut at rest, and the rise that is wanted."""

    pump = HandPumpInput()
    air_temperature = QuantityField("temperature", required=False, help_text="The strut's when left out.")
    rise = QuantityField("length", required=False)
    piston_diameter = QuantityField("length", required=False, help_text="Of the last stage; the bore when left out.")


class HandPumpAnswer(CalculatorAnswer):
    """What each stroke does."""

    reach = ReachAnswer()
    displacement = QuantityField("volume")
    efficiency = QuantityField("fraction")
    gas_per_stroke = QuantityField("charge")
    gas_per_stroke_mol = serializers.FloatField()
    rise_per_stroke = QuantityField("length")
    strokes = serializers.FloatField(allow_null=True, help_text="For the rise; null out of reach or without one.")
    handle_force = QuantityField("force", help_text="Lever and friction not counted.")


def _hand_pump(values: Mapping[str, Any]) -> Worked:
    strut, given = strut_from(values["strut"]), values["pump"]
    names = {name: name for name in ("clearance_share", "stages", "exponent", "seal_share")}
    pump = HandPump(given["bore"], given["stroke"], **given_only(given, **names))
    rise = values.get("rise")

    def work() -> dict[str, Any]:
        air = atmosphere_at(values)
        intake = Intake(air, values.get("air_temperature", values["temperature"]))
        told(_AIR_TEMPERATURE if "air_temperature" in values else {}, lambda: gas_per_stroke_mol(air, pump, intake))()
        needs = resting(strut, values)
        per_stroke = gas_per_stroke_mol(needs.pressure_psia, pump, intake)
        piston = values.get("piston_diameter", given["bore"])
        return {
            "reach": reach_of(highest_pressure_psia(pump, air), needs),
            "displacement": displacement_in3(pump),
            "efficiency": volumetric_efficiency(needs.pressure_psia, pump, air),
            "gas_per_stroke": per_stroke,
            "gas_per_stroke_mol": per_stroke,
            "rise_per_stroke": rise_per_stroke_in(pump, intake, needs),
            "strokes": None if rise is None else strokes_for_rise(rise, pump, intake, needs),
            "handle_force": handle_force_lbf(np.asarray(needs.pressure_psia) - air, piston),
        }

    found, *_ = strut.settle(
        work,
        lambda: displacement_in3(pump),
        lambda: highest_pressure_psia(pump),
        lambda: resting(strut, values),
    )
    steps = (Step.GAS_CHARGE, Step.HAND_PUMP, Step.EXERCISE)
    return strut_worked(strut, found, AT_REST, "The pump draws in air; the hose is not counted.", steps=steps)


_STRUT: Final = {"strut": EXAMPLE, "temperature": "59 degF", "load": "800 lbf"}
CALCULATORS: Final = (
    Calculator(
        "supply/hand-pump",
        "find_hand_pump_strokes",
        "What a hand pump does for a strut, and whether it can",
        HandPumpRequest,
        HandPumpAnswer,
        _hand_pump,
        {**_STRUT, "pump": {"bore": "1 in", "stroke": "6 in"}, "rise": "1.25 in"},
        names={**AIR_NAMES, "outlet_psia": "load", "gauge_psig": "load"},
    ),
)
