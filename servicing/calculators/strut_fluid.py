"""Fluid in a strut: what is missing behind a right extension, and how much gas fresh fluid takes up."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from rest_framework import serializers

from calculations.cautions import Step
from calculations.strut import TwoStateReading, TwoStateUncertainty, dissolved_gas, two_state_method
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import NumberField, atmosphere_at, elevation_field
from servicing.calculators.given import given_only
from servicing.calculators.strut_figures import EXAMPLE, StrutInput, strut_from
from servicing.calculators.strut_shapes import AT_REST, REST_EXAMPLE, AtRestInput, rest_of, strut_worked


class StateInput(InputSerializer):
    """One state of a charge: extension, gauge pressure, temperature."""

    extension = QuantityField("length")
    pressure = QuantityField("gauge_pressure")
    temperature = QuantityField("temperature")


class TwoStateUncertaintyInput(InputSerializer):
    """1 standard deviation of the readings; leave out what you do not know."""

    extension = QuantityField("length", required=False)
    pressure_fraction = NumberField(required=False, help_text="Of the gauge, share of absolute pressure.")
    temperature = QuantityField("temperature_difference", required=False)


class TwoStateInput(InputSerializer):
    """Two states of one charge: on jacks and on the ground, say. No gas or fluid in or out between."""

    strut = StrutInput()
    upper = StateInput()
    lower = StateInput()
    elevation = elevation_field()
    uncertainty = TwoStateUncertaintyInput(required=False)


class TwoStateAnswer(CalculatorAnswer):
    """Gas and fluid as two pressures have them."""

    gas_volume = QuantityField("volume", help_text="In the upper state.")
    charge = QuantityField("charge")
    gas_column = QuantityField("length", help_text="Measured, not the sheet's.")
    gas_column_uncertainty = QuantityField("length")
    missing_fluid = QuantityField("volume", help_text="Below 0: too much fluid.")
    uncertainty = QuantityField("volume", help_text="1 standard deviation.")


class DissolvedInput(AtRestInput):
    """A strut after a change of fluid."""

    solubility = NumberField(required=False, help_text="Volumes of gas per volume of fluid and atmosphere.")


class DissolvedAnswer(CalculatorAnswer):
    """The most that gas-free fluid takes up: settling that is no leak."""

    dissolved = QuantityField("charge")
    amount_mol = serializers.FloatField()
    charge_share = QuantityField("fraction")
    settling = QuantityField("length")


def _two_state(values: Mapping[str, Any]) -> Worked:
    strut = strut_from(values["strut"])
    upper, lower = ((state["extension"], state["pressure"]) for state in (values["upper"], values["lower"]))
    reading = TwoStateReading(*upper, *lower, values["upper"]["temperature"], values["lower"]["temperature"])
    sd = given_only(
        values.get("uncertainty", {}),
        extension_in="extension",
        pressure_fraction="pressure_fraction",
        temperature_f="temperature",
    )
    found, *_ = strut.settle(
        lambda: two_state_method(
            reading,
            strut.figures,
            atmosphere_psia=atmosphere_at(values),
            reading_uncertainty=TwoStateUncertainty(**sd),
            figures_uncertainty=strut.uncertainty,
        ),
        lambda: strut.hold(upper[1], "upper.pressure"),
        lambda: strut.hold(lower[1], "lower.pressure"),
    )
    results = {
        "gas_volume": found.gas_volume_in3,
        "charge": found.charge_mol,
        "gas_column": found.gas_column_in,
        "gas_column_uncertainty": found.gas_column_uncertainty_in,
        "missing_fluid": found.missing_fluid_in3,
        "uncertainty": found.uncertainty_in3,
    }
    unchanged = "No gas or fluid went in or out between the two states; the same gauge stayed on."
    return strut_worked(strut, results, unchanged, steps=(Step.MEASURE, Step.JACKING, Step.FLUID))


def _dissolved(values: Mapping[str, Any]) -> Worked:
    strut = strut_from(values["strut"])
    found, _ = strut.settle(
        lambda: dissolved_gas(
            *rest_of(values),
            strut.figures,
            atmosphere_psia=atmosphere_at(values),
            **given_only(values, solubility="solubility"),
        ),
        lambda: strut.bear(values["load"]),
    )
    return strut_worked(
        strut,
        {
            "dissolved": found.dissolved_mol,
            "amount_mol": found.dissolved_mol,
            "charge_share": found.charge_share,
            "settling": found.settling_in,
        },
        AT_REST,
        "The fluid came in free of gas; solubility from memory, source not seen.",
        steps=(Step.FLUID,),
    )


_JACKED: Final = {"extension": "8 in", "pressure": "119.245 psi", "temperature": "59 degF"}
_STANDING: Final = {"extension": "3.25 in", "pressure": "254.648 psi", "temperature": "59 degF"}
CALCULATORS: Final = (
    Calculator(
        "strut/two-state",
        "find_missing_fluid",
        "Missing fluid behind a right extension",
        TwoStateInput,
        TwoStateAnswer,
        _two_state,
        {"strut": EXAMPLE, "upper": _JACKED, "lower": _STANDING},
        names={
            f"{state}_{argument}": f"{state}.{argument.rsplit('_', 1)[0]}"
            for state in ("upper", "lower")
            for argument in ("extension_in", "pressure_psig", "temperature_f")
        },
    ),
    Calculator(
        "strut/dissolved-gas",
        "find_dissolved_gas",
        "Gas that fresh fluid takes up",
        DissolvedInput,
        DissolvedAnswer,
        _dissolved,
        REST_EXAMPLE,
    ),
)
