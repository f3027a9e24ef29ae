"""What a nitrogen cylinder holds and how many top-ups are left."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from rest_framework import serializers

from calculations.cautions import Step
from calculations.supply.cylinder import Cylinder, content_mol, outlook
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import GasField, NumberField, atmosphere_at, elevation_field, gas_of
from servicing.calculators.given import given_only, together


class CylinderInput(InputSerializer):
    """A cylinder as its gauge shows it, and how it is used."""

    water_capacity = QuantityField("cylinder_volume")
    pressure = QuantityField("gauge_pressure")
    temperature = QuantityField("temperature")
    gas = GasField()
    elevation = elevation_field()
    gas_per_top_up = QuantityField("charge", required=False, help_text="Of a usual top-up.")
    strut_pressure = QuantityField("gauge_pressure", required=False, help_text="Highest among the struts served.")
    hose_volume = QuantityField("volume", required=False, help_text="Vented after each.")
    top_ups_per_day = NumberField(required=False)
    margin = QuantityField("pressure_difference", required=False, help_text="To keep above the strut.")

    def validate(self, values: dict[str, Any]) -> dict[str, Any]:
        """Return the values; an outlook needs both what a top-up takes and what pressure it must reach."""
        if ("gas_per_top_up" in values) != ("strut_pressure" in values):
            missing = "strut_pressure" if "gas_per_top_up" in values else "gas_per_top_up"
            raise serializers.ValidationError({missing: ["Needed for the outlook."]}, code="required")
        return values


class CylinderAnswer(CalculatorAnswer):
    """What is in it, and for how long; nulls where the use was not told."""

    content = QuantityField("charge")
    usable = QuantityField("charge", allow_null=True)
    top_ups_left = serializers.IntegerField(allow_null=True)
    days_left = QuantityField("duration", allow_null=True)
    order_next = serializers.BooleanField(allow_null=True)
    change_now = serializers.BooleanField(allow_null=True)


def _cylinder(values: Mapping[str, Any]) -> Worked:
    figures = (values["water_capacity"], values["pressure"], values["temperature"])
    air, _, _ = together(
        lambda: atmosphere_at(values),
        lambda: gas_of(values["gas"]),
        lambda: content_mol(Cylinder(*figures)),
    )
    cylinder = Cylinder(*figures, gas=gas_of(values["gas"]))
    results: dict[str, Any] = dict.fromkeys(("usable", "top_ups_left", "days_left", "order_next", "change_now"), None)
    if "gas_per_top_up" in values:
        found = outlook(
            cylinder,
            gas_per_top_up_mol=values["gas_per_top_up"],
            strut_psia=values["strut_pressure"] + air,
            atmosphere_psia=air,
            **given_only(values, hose_in3="hose_volume", top_ups_per_day="top_ups_per_day", margin_psi="margin"),
        )
        results = {
            "usable": found.usable_mol,
            "top_ups_left": found.top_ups_left,
            "days_left": found.days_left,
            "order_next": found.order_next,
            "change_now": found.change_now,
        }
    return Worked(
        {"content": content_mol(cylinder, air), **results},
        sources=("Span et al., J. Phys. Chem. Ref. Data 29 (2000) 1361",),
        assumptions=("The cylinder's gas has settled to the temperature given.",),
        steps=(Step.CYLINDER,),
    )


CALCULATORS: Final = (
    Calculator(
        "supply/cylinder",
        "find_cylinder_outlook",
        "What a nitrogen cylinder holds and how many top-ups are left",
        CylinderInput,
        CylinderAnswer,
        _cylinder,
        {
            "water_capacity": "49.9 L",
            "pressure": "2640 psi",
            "temperature": "70 degF",
            "gas_per_top_up": "0.06 mol",
            "strut_pressure": "255 psi",
            "top_ups_per_day": 0.2,
        },
        names={
            "water_capacity_in3": "water_capacity",
            "pressure_psia": "pressure",
            "gas_per_top_up_mol": "gas_per_top_up",
            "strut_psia": "strut_pressure",
            "hose_in3": "hose_volume",
            "margin_psi": "margin",
        },
    ),
)
