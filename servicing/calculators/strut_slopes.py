"""A strut's gas column, fluid volume and tube from one measured slope or pressure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from calculations.cautions import Step
from calculations.strut import (
    diameter_from_pressure,
    fluid_volume_from_temperature_slope,
    gas_column_from_load_slope,
)
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import NumberField
from servicing.calculators.given import given_only
from servicing.calculators.strut_figures import strut_from
from servicing.calculators.strut_shapes import AT_REST, REST_EXAMPLE, AtRestInput, rest_of, strut_worked

_SEA_LEVEL: Final = "The slope was taken near sea level."


class LoadSlopeInput(AtRestInput):
    """How far load moves the strut."""

    slope = QuantityField("extension_per_force", help_text="Below 0: load compresses.")


class GasColumnAnswer(CalculatorAnswer):
    """Gas column when fully compressed."""

    gas_column = QuantityField("length")


class TemperatureSlopeInput(AtRestInput):
    """How far temperature moves the strut under one load."""

    slope = QuantityField("extension_per_temperature")


class FluidVolumeAnswer(CalculatorAnswer):
    """Fluid volume; below 0 says that slope or gas column is wrong."""

    fluid_volume = QuantityField("volume")


class DiameterInput(InputSerializer):
    """Load and gauge pressure of a strut at rest."""

    load = QuantityField("force", help_text="Along the strut, from scales.")
    pressure = QuantityField("gauge_pressure")
    load_uncertainty = QuantityField("force", required=False)
    pressure_uncertainty = QuantityField("pressure_difference", required=False)
    friction_fraction = NumberField(required=False, help_text="Share of the load that friction may hold.")


class DiameterAnswer(CalculatorAnswer):
    """Outside diameter of the tube at the seal."""

    tube_diameter = QuantityField("length")
    uncertainty = QuantityField("length")


def _gas_column(values: Mapping[str, Any]) -> Worked:
    strut = strut_from(values["strut"])
    found, _ = strut.settle(
        lambda: gas_column_from_load_slope(values["slope"], *rest_of(values), strut.figures),
        lambda: strut.bear(values["load"]),
    )
    return strut_worked(strut, {"gas_column": found}, AT_REST, _SEA_LEVEL)


def _fluid_volume(values: Mapping[str, Any]) -> Worked:
    strut = strut_from(values["strut"])
    found, _ = strut.settle(
        lambda: fluid_volume_from_temperature_slope(values["slope"], *rest_of(values), strut.figures),
        lambda: strut.bear(values["load"]),
    )
    return strut_worked(strut, {"fluid_volume": found}, AT_REST, _SEA_LEVEL)


def _diameter(values: Mapping[str, Any]) -> Worked:
    sd = given_only(
        values,
        load_uncertainty_lbf="load_uncertainty",
        pressure_uncertainty_psi="pressure_uncertainty",
        friction_fraction="friction_fraction",
    )
    found = diameter_from_pressure(values["load"], values["pressure"], **sd)
    return Worked(
        {"tube_diameter": found.tube_diameter_in, "uncertainty": found.uncertainty_in},
        sources=("Statics of a piston",),
        assumptions=("At rest and not on its upper stop: there the gauge reads high.",),
        steps=(Step.MEASURE,),
    )


CALCULATORS: Final = (
    Calculator(
        "strut/gas-column",
        "find_gas_column",
        "Gas column from how far load moves the strut",
        LoadSlopeInput,
        GasColumnAnswer,
        _gas_column,
        {**REST_EXAMPLE, "slope": "-0.0044 in/lbf"},
        names={"slope_in_per_lbf": "slope"},
    ),
    Calculator(
        "strut/fluid-volume",
        "find_fluid_volume",
        "Fluid volume from how far temperature moves the strut",
        TemperatureSlopeInput,
        FluidVolumeAnswer,
        _fluid_volume,
        {**REST_EXAMPLE, "slope": "0.0117 in/degF"},
        names={"slope_in_per_f": "slope"},
    ),
    Calculator(
        "strut/tube-diameter",
        "find_tube_diameter",
        "Tube diameter from load and gauge pressure",
        DiameterInput,
        DiameterAnswer,
        _diameter,
        {"load": "800 lbf", "pressure": "254.6 psi"},
    ),
)
