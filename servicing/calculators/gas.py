"""Properties of gases, and the air around."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from rest_framework import serializers

from calculations.atmosphere import standard_pressure_psia, standard_temperature_f
from calculations.errors import CalculationError, Fault
from calculations.gas import Gas, amount_mol, compressibility, density_kg_m3, molar_volume_in3, virial_coefficients
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import GasField, gas_of
from servicing.calculators.given import together

_SOURCES: Final = {
    Gas.NITROGEN: ("Span et al., J. Phys. Chem. Ref. Data 29 (2000) 1361",),
    Gas.AIR: ("Lemmon et al., J. Phys. Chem. Ref. Data 29 (2000) 331",),
    Gas.IDEAL: ("Ideal gas law",),
}


class GasInput(InputSerializer):
    """A gas at a pressure and a temperature."""

    gas = GasField()
    pressure = QuantityField("absolute_pressure", help_text="Absolute, up to 350 bar.")
    temperature = QuantityField("temperature", help_text="From 220 to 350 K.")
    volume = QuantityField("volume", required=False, help_text="How much gas fills this?")


class GasAnswer(CalculatorAnswer):
    """Real-gas properties."""

    compressibility = serializers.FloatField(help_text="Z = p v / (R T).")
    molar_volume = QuantityField("molar_volume")
    density = QuantityField("density")
    amount = QuantityField("charge", allow_null=True, help_text="In the volume given.")
    amount_mol = serializers.FloatField(allow_null=True)
    second_virial = QuantityField("molar_volume")
    third_virial_cm6_mol2 = serializers.FloatField()


class AtmosphereInput(InputSerializer):
    """A place above sea level."""

    elevation = QuantityField("elevation")


class AtmosphereAnswer(CalculatorAnswer):
    """Air of the standard atmosphere there."""

    pressure = QuantityField("absolute_pressure")
    temperature = QuantityField(
        "temperature", help_text="Of a standard day; measure it where you read a strut or tyre."
    )


def _properties(values: Mapping[str, Any]) -> Worked:
    faults: tuple[Fault, ...] = ()
    gas = Gas.NITROGEN  # for the other faults, where the name is one
    try:
        gas = gas_of(values["gas"])
    except CalculationError as error:
        faults = error.faults
    state = (values["pressure"], values["temperature"], gas)
    volume = values.get("volume")
    z, molar, density, amount, (second, third) = together(
        lambda: compressibility(*state),
        lambda: molar_volume_in3(*state),
        lambda: density_kg_m3(*state),
        lambda: None if volume is None else amount_mol(state[0], volume, *state[1:]),
        lambda: virial_coefficients(state[1], gas),
        faults=faults,
    )
    cm3_in3 = 2.54**3
    return Worked(
        {
            "compressibility": z,
            "molar_volume": molar,
            "density": density,
            "amount": amount,
            "amount_mol": amount,
            "second_virial": second / cm3_in3,
            "third_virial_cm6_mol2": third,
        },
        sources=_SOURCES[gas],
        assumptions=("Dry gas, in equilibrium.",),
    )


def _atmosphere(values: Mapping[str, Any]) -> Worked:
    elevation = values["elevation"]
    return Worked(
        {"pressure": standard_pressure_psia(elevation), "temperature": standard_temperature_f(elevation)},
        sources=("U.S. Standard Atmosphere, 1976",),
        assumptions=(
            "Standard day: weather moves pressure by some 1 %, seldom 3 %, and temperature by tens of degrees.",
        ),
    )


CALCULATORS: Final = (
    Calculator(
        "gas/properties",
        "find_gas_properties",
        "Real-gas properties of nitrogen and dry air",
        GasInput,
        GasAnswer,
        _properties,
        {"gas": "nitrogen", "pressure": "2 MPa", "temperature": "300 K", "volume": "11.7 in3"},
    ),
    Calculator(
        "atmosphere",
        "find_air_pressure",
        "Standard air pressure and temperature at an elevation",
        AtmosphereInput,
        AtmosphereAnswer,
        _atmosphere,
        {"elevation": "5000 ft"},
    ),
)
