"""A strut's figures in a calculator's request: what the caller knows, the rest estimated and named."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from rest_framework import serializers

from calculations.atmosphere import standard_pressure_psia
from calculations.gas import Gas
from calculations.strut import EstimatedFigures, StrutSheet, estimate_missing
from fleet.web.quantities import QuantityField, internal_values
from fleet.web.shapes import InputSerializer
from servicing.readings.figures import without_unit

_COLUMNS: Final = {
    "tube_diameter": "tube_diameter_in",
    "gas_column": "gas_column_in",
    "fluid_volume": "fluid_volume_in3",
    "full_extension": "full_extension_in",
    "target_extension": "target_extension_in",
    "reference_load": "reference_load_lbf",
    "reference_temperature": "reference_temperature_f",
    "rest_pressure": "rest_pressure_psig",
}


class StrutInput(InputSerializer):
    """A strut as its sheet gives it; leave out what the sheet does not say."""

    leg = serializers.ChoiceField(["main", "nose", "tail"], default="main")
    tube_diameter = QuantityField("length", required=False, help_text="Outside diameter of the tube at the seal.")
    gas_column = QuantityField("length", required=False, help_text="Gas column left when fully compressed.")
    fluid_volume = QuantityField("volume", required=False)
    full_extension = QuantityField("length", required=False)
    target_extension = QuantityField("length", required=False)
    reference_load = QuantityField("force", required=False, help_text="Load for which the sheet's figures hold.")
    reference_temperature = QuantityField("temperature", required=False)
    rest_pressure = QuantityField("gauge_pressure", required=False, help_text="Read at rest under that load.")
    gas = serializers.ChoiceField([gas.value for gas in Gas], default=Gas.NITROGEN.value)


EXAMPLE: Final = {
    "leg": "main",
    "tube_diameter": "2 in",
    "gas_column": "0.5 in",
    "fluid_volume": "30 in3",
    "full_extension": "8 in",
    "target_extension": "3 1/4 in",
    "reference_load": "800 lbf",
    "reference_temperature": "59 degF",
}


def figures_from(values: Mapping[str, Any]) -> EstimatedFigures:
    """Return the strut's figures with what had to be estimated."""
    known = {_COLUMNS[name]: value for name, value in internal_values(values).items() if name in _COLUMNS}
    return estimate_missing(StrutSheet(leg=values["leg"], gas=Gas(values["gas"]), **known))


def assumptions_about(found: EstimatedFigures) -> tuple[str, ...]:
    """Return in words what was estimated for want of a figure."""
    return tuple(
        f"{without_unit(name).replace('_', ' ').capitalize()} is not given: estimated for a light aircraft, "
        "which widens the uncertainty."
        for name in found.estimated
    )


def atmosphere_at(values: Mapping[str, Any], name: str = "elevation") -> float:
    """Return the standard air pressure [psia] at the elevation given, at sea level without one."""
    elevation = values.get(name)
    return float(standard_pressure_psia(elevation.internal if elevation else 0.0))
