"""Fields that several calculators share."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, Final

from rest_framework import serializers

from calculations.atmosphere import standard_pressure_psia
from calculations.errors import CalculationError
from calculations.gas import Gas, gas_named
from fleet.aircraft.models import FillGas
from fleet.web.quantities import QuantityField

_GASES: Final = {FillGas.NITROGEN.value: Gas.NITROGEN, FillGas.AIR.value: Gas.AIR, "ideal": Gas.IDEAL}
GAS_NAMES: Final = tuple((name, name) for name in _GASES)
MOST_ROWS: Final = 2000  # of a list in a request: more belongs into the fleet's own history


class NumberField(serializers.FloatField):
    """A number without unit; text, infinity and not-a-number are refused."""

    default_error_messages = {"not_finite": "A finite number is needed."}

    def to_internal_value(self, data: Any) -> float:
        """Return the number."""
        if isinstance(data, bool | str):
            self.fail("invalid")
        number = super().to_internal_value(data)
        if not math.isfinite(number):
            self.fail("not_finite")
        return number


class GasField(serializers.ChoiceField):
    """A fill gas. Any name passes the shape, so that oxygen is refused by physics, beside all other faults."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("default", FillGas.NITROGEN.value)
        super().__init__(choices=GAS_NAMES, **kwargs)

    def to_internal_value(self, data: Any) -> str:
        """Return the name."""
        if not isinstance(data, str) or not 0 < len(data) <= 40:
            self.fail("invalid_choice", input=data)
        return data


def gas_of(name: str) -> Gas:
    """Return the gas, or refuse it."""
    return _GASES.get(name) or gas_named(name)


def elevation_field() -> QuantityField:
    """Return the field for where something was read; standard air pressure there is taken."""
    return QuantityField("elevation", required=False, help_text="Above sea level; 0 when left out.")


def atmosphere_at(values: Mapping[str, Any], name: str = "elevation") -> float:
    """Return the standard air pressure [psia] at the elevation given, at sea level without one."""
    return float(standard_pressure_psia(values.get(name) or 0.0))


def has_air(values: Mapping[str, Any]) -> bool:
    """Tell whether the standard atmosphere reaches to the elevation given."""
    try:
        atmosphere_at(values)
    except CalculationError:
        return False
    return True
