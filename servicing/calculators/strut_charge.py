"""Gas in a strut from its extension, the way back, its pressure when held, and how conditions move it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any, Final

from rest_framework import serializers

from calculations.cautions import Step
from calculations.strut import charge_mol, extension_in, pressure_at_psia, rest_pressure_psia, sensitivities
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import atmosphere_at, elevation_field
from servicing.calculators.strut_figures import EXAMPLE, StrutInput, strut_from
from servicing.calculators.strut_shapes import (
    AT_REST,
    REST_EXAMPLE,
    AtRestInput,
    LoadedInput,
    rest_of,
    strut_worked,
)

HELD: Final = "Held at that extension, as on jacks; the charge alone sets the gas pressure."


class ChargeAnswer(CalculatorAnswer):
    """Gas in a resting strut and its pressure."""

    charge = QuantityField("charge", help_text="As ideal gas at 59 degF and standard air pressure.")
    amount_mol = serializers.FloatField()
    pressure = QuantityField("absolute_pressure")
    gauge_pressure = QuantityField("gauge_pressure")


class ExtensionInput(LoadedInput):
    """A known charge under a load."""

    charge = QuantityField("charge")


class ExtensionAnswer(CalculatorAnswer):
    """Where the strut wants to stand; not clipped to the tube."""

    extension = QuantityField("length")
    within_travel = serializers.BooleanField(help_text="False: the strut rests against a stop.")
    pressure = QuantityField("absolute_pressure")


class HeldInput(InputSerializer):
    """A known charge in a strut held at an extension."""

    strut = StrutInput()
    charge = QuantityField("charge")
    extension = QuantityField("length")
    temperature = QuantityField("temperature")
    elevation = elevation_field()


class PressureAnswer(CalculatorAnswer):
    """Gas pressure at the extension."""

    pressure = QuantityField("absolute_pressure")
    gauge_pressure = QuantityField("gauge_pressure")


class SensitivitiesAnswer(CalculatorAnswer):
    """How a resting strut moves."""

    gas = QuantityField("extension_per_temperature", help_text="By temperature, ideal gas.")
    real_gas = QuantityField("extension_per_temperature", help_text="What real gas adds.")
    fluid = QuantityField("extension_per_temperature")
    total = QuantityField("extension_per_temperature")
    load = QuantityField("extension_per_force")
    atmosphere = QuantityField("extension_per_pressure")
    charge_percent = QuantityField("length", help_text="By 1 % of the gas.")


def _charge(values: Mapping[str, Any]) -> Worked:
    strut = strut_from(values["strut"])
    charge, pressure, _ = strut.settle(
        lambda: charge_mol(*rest_of(values), strut.figures, atmosphere_psia=atmosphere_at(values)),
        lambda: rest_pressure_psia(values["load"], strut.figures, atmosphere_psia=atmosphere_at(values)),
        lambda: strut.bear(values["load"]),
    )
    gauge = pressure - atmosphere_at(values)
    return strut_worked(
        strut, {"charge": charge, "amount_mol": charge, "pressure": pressure, "gauge_pressure": gauge}, AT_REST
    )


def _extension(values: Mapping[str, Any]) -> Worked:
    strut = strut_from(values["strut"])
    conditions = (values["charge"], values["temperature"], values["load"], strut.figures)
    found, pressure, _ = strut.settle(
        lambda: extension_in(*conditions, atmosphere_psia=atmosphere_at(values)),
        lambda: rest_pressure_psia(values["load"], strut.figures, atmosphere_psia=atmosphere_at(values)),
        lambda: strut.bear(values["load"]),
    )
    results = {"extension": found.extension_in, "within_travel": found.within_travel, "pressure": pressure}
    return strut_worked(strut, results, AT_REST)


def _pressure(values: Mapping[str, Any]) -> Worked:
    strut = strut_from(values["strut"])
    atmosphere, pressure = strut.settle(
        lambda: atmosphere_at(values),
        lambda: pressure_at_psia(values["charge"], values["extension"], values["temperature"], strut.figures),
    )
    strut.settle(lambda: strut.hold(float(pressure) - atmosphere, "charge_mol"))
    results = {"pressure": pressure, "gauge_pressure": pressure - atmosphere}
    return strut_worked(strut, results, HELD, steps=(Step.MEASURE, Step.JACKING))


def _sensitivities(values: Mapping[str, Any]) -> Worked:
    strut = strut_from(values["strut"])
    found, _ = strut.settle(
        lambda: sensitivities(*rest_of(values), strut.figures, atmosphere_psia=atmosphere_at(values)),
        lambda: strut.bear(values["load"]),
    )
    names = ("gas_in_per_f", "real_gas_in_per_f", "fluid_in_per_f", "total_in_per_f", "load_in_per_lbf")
    slopes = {name.split("_in_per_")[0]: value for name, value in asdict(found).items() if name in names}
    more = {"atmosphere": found.atmosphere_in_per_psi, "charge_percent": found.charge_in_per_percent}
    return strut_worked(strut, slopes | more, AT_REST)


_LOADED_EXAMPLE: Final = {"strut": EXAMPLE, "charge": "0.149419 mol", "temperature": "59 degF", "load": "800 lbf"}
CALCULATORS: Final = (
    Calculator(
        "strut/charge",
        "find_charge",
        "Gas in a resting strut, from its extension",
        AtRestInput,
        ChargeAnswer,
        _charge,
        REST_EXAMPLE,
    ),
    Calculator(
        "strut/extension",
        "find_extension",
        "Extension of a resting strut, from its gas",
        ExtensionInput,
        ExtensionAnswer,
        _extension,
        _LOADED_EXAMPLE,
    ),
    Calculator(
        "strut/pressure",
        "find_held_pressure",
        "Gas pressure of a strut held at an extension",
        HeldInput,
        PressureAnswer,
        _pressure,
        {"strut": EXAMPLE, "charge": "0.149419 mol", "extension": "8 in", "temperature": "59 degF"},
    ),
    Calculator(
        "strut/sensitivities",
        "find_sensitivities",
        "How temperature, load, air and gas move a resting strut",
        AtRestInput,
        SensitivitiesAnswer,
        _sensitivities,
        REST_EXAMPLE,
    ),
)
