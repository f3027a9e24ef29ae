"""What a multiplier pump does for a strut, and whether it can."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from rest_framework import serializers

from calculations.cautions import Step
from calculations.supply.demand import gas_for_rise_mol
from calculations.supply.multiplier import Multiplier, cycles_for_gas, gas_per_cycle_mol, stall_pressure_psia
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import GasField, NumberField, atmosphere_at, gas_of
from servicing.calculators.given import given_only, told
from servicing.calculators.strut_figures import EXAMPLE, strut_from
from servicing.calculators.strut_shapes import AT_REST, LoadedInput, strut_worked
from servicing.calculators.supply_reach import AIR_NAMES, ReachAnswer, reach_of, resting


class MultiplierInput(InputSerializer):
    """A multiplier pump, what drives it and what feeds it."""

    area_ratio = NumberField(help_text="Drive piston over gas piston.")
    drive_pressure = QuantityField("gauge_pressure", help_text="Shop air.")
    intake_volume = QuantityField("volume", help_text="Drawn in at each cycle.")
    intake_pressure = QuantityField("gauge_pressure", help_text="Of the gas fed to it.")
    intake_temperature = QuantityField("temperature", required=False)
    intake_gas = GasField(help_text="What is fed to it; nitrogen when left out.")
    force_share = NumberField(required=False, help_text="Of the ideal stall pressure, after friction.")
    delivery_share = NumberField(required=False, help_text="Of the gas drawn in, delivered.")


class MultiplierRequest(LoadedInput):
    """The pump, the strut at rest, and the rise that is wanted."""

    pump = MultiplierInput()
    rise = QuantityField("length", required=False)


class MultiplierAnswer(CalculatorAnswer):
    """What each cycle brings, and where the pump stalls."""

    reach = ReachAnswer()
    stall_pressure = QuantityField("gauge_pressure")
    gas_per_cycle = QuantityField("charge")
    cycles = serializers.FloatField(allow_null=True, help_text="For the rise; null without one.")


def _multiplier(values: Mapping[str, Any]) -> Worked:
    strut, given = strut_from(values["strut"]), values["pump"]
    more = given_only(
        given, intake_temperature_f="intake_temperature", force_share="force_share", delivery_share="delivery_share"
    )
    figures = (given["area_ratio"], given["drive_pressure"], given["intake_volume"], given["intake_pressure"])
    rise = values.get("rise")
    gas = told({"gas": "pump.intake_gas"}, lambda: gas_of(given["intake_gas"]))
    names = {"temperature_f": "pump.intake_temperature", "pressure_psia": "pump.intake_pressure"}

    def feed(pump: Multiplier) -> Any:
        return told(names, lambda: gas_per_cycle_mol(pump, atmosphere_at(values)))()

    def work() -> dict[str, Any]:
        air, needs = atmosphere_at(values), resting(strut, values)
        pump = Multiplier(*figures, gas=gas(), **more)
        stall, per_cycle = stall_pressure_psia(pump, air), feed(pump)
        cycles = None if rise is None else cycles_for_gas(gas_for_rise_mol(rise, needs), pump, air)
        return {
            "reach": reach_of(stall, needs),
            "stall_pressure": stall - air,
            "gas_per_cycle": per_cycle,
            "cycles": cycles,
        }

    found, *_ = strut.settle(
        work,
        lambda: stall_pressure_psia(Multiplier(*figures, **more)),
        lambda: feed(Multiplier(*figures, **more)),
        lambda: resting(strut, values),
        gas,
    )
    steps = (Step.GAS_CHARGE, Step.MULTIPLIER, Step.EXERCISE)
    return strut_worked(strut, found, AT_REST, "The hose is not counted.", steps=steps)


CALCULATORS: Final = (
    Calculator(
        "supply/multiplier",
        "find_multiplier_cycles",
        "What a multiplier pump does for a strut, and whether it can",
        MultiplierRequest,
        MultiplierAnswer,
        _multiplier,
        {
            "strut": EXAMPLE,
            "temperature": "59 degF",
            "load": "800 lbf",
            "pump": {
                "area_ratio": 8,
                "drive_pressure": "100 psi",
                "intake_volume": "1.2 in3",
                "intake_pressure": "100 psi",
            },
            "rise": "1 in",
        },
        names={
            **AIR_NAMES,
            "drive_psig": "pump.drive_pressure",
            "intake_psig": "pump.intake_pressure",
            "intake_in3": "pump.intake_volume",
            "gas_mol": "rise",
        },
    ),
)
