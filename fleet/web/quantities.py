"""Quantities at the edge: read with their unit, kept as read, answered in the caller's units."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from rest_framework import serializers

from calculations.errors import CalculationError
from calculations.units import KINDS, Quantity, display, parse_quantity, take_quantity


@dataclass(frozen=True, slots=True)
class Measured:
    """A quantity as it came in, and in the internal unit of its kind."""

    internal: float
    value: float
    unit: str

    @property
    def as_read(self) -> dict[str, Any]:
        """Return what was read, as it is stored beside the internal value."""
        return {"value": self.value, "unit": self.unit}


def quantity(value_internal: float | None, kind: str, unit_system: str) -> dict[str, Any] | None:
    """Return ``{"value": 4.5, "unit": "in"}`` in the caller's unit system; None stays None.

    A pressure also says its reference: gauge, absolute or difference.
    """
    if value_internal is None:
        return None
    shown = display(value_internal, Quantity(kind), unit_system)
    # Seven digits are more than any gauge has, and hide what binary fractions add.
    answer = {"value": float(f"{shown.value:.7g}"), "unit": shown.unit}
    if reference := KINDS[Quantity(kind)].reference:
        answer["reference"] = reference
    return answer


def measured(given: Any, kind: str) -> Measured:
    """Read ``{"value": 4.5, "unit": "in"}`` or ``"4 1/2 in"``; raises `CalculationError` with what is wrong."""
    if isinstance(given, str):
        internal, read = parse_quantity(given, Quantity(kind))
    else:
        internal, read = take_quantity(given["value"], given["unit"], Quantity(kind))
    return Measured(internal, read.value, read.unit)


def internal_values(checked: Mapping[str, Any]) -> dict[str, Any]:
    """Return checked values with each quantity as its internal number, ready to be written to columns."""
    return {name: value.internal if isinstance(value, Measured) else value for name, value in checked.items()}


class QuantityField(serializers.Field[Measured, Any, Any, Any]):
    """A quantity of one kind, such as ``QuantityField("length")``; bounds are in the internal unit."""

    default_error_messages = {
        "unit_missing": 'Say the unit: {{"value": 4.5, "unit": "in"}} or "4 1/2 in"; a bare number is refused.',
        "shape": 'Send {{"value": <number>, "unit": "<unit>"}} or a text such as "4 1/2 in".',
        "reference": "This is a {reference} value.",
        "too_small": "At least {bound}.",
        "too_large": "At most {bound}.",
    }

    def __init__(self, kind: str, *, minimum: float | None = None, maximum: float | None = None, **kwargs: Any):
        super().__init__(**kwargs)
        self.kind = kind
        self._reference = KINDS[Quantity(kind)].reference
        self.minimum = minimum
        self.maximum = maximum

    def to_internal_value(self, data: Any) -> Measured:
        """Return the quantity, or refuse it with a code."""
        self._check_shape(data)
        try:
            found = measured(data, self.kind)
        except CalculationError as error:
            faults = [serializers.ErrorDetail(fault.message, code=fault.code) for fault in error.faults]
            raise serializers.ValidationError(faults) from error
        if self.minimum is not None and found.internal < self.minimum:
            self.fail("too_small", bound=self._bound(self.minimum))
        if self.maximum is not None and found.internal > self.maximum:
            self.fail("too_large", bound=self._bound(self.maximum))
        return found

    def to_representation(self, value: float | Measured) -> dict[str, Any] | None:
        """Return an internal value in the units of ``context["unit_system"]``."""
        internal = value.internal if isinstance(value, Measured) else value
        return quantity(internal, self.kind, self.context.get("unit_system", "us"))

    def _check_shape(self, data: Any) -> None:
        if isinstance(data, bool):
            self.fail("shape")
        if isinstance(data, int | float):
            self.fail("unit_missing")
        if isinstance(data, str):
            return
        if not isinstance(data, dict) or data.keys() - {"reference"} != {"value", "unit"}:
            self.fail("shape")
        if data.get("reference", self._reference) != self._reference:
            self.fail("reference", reference=self._reference)
        number = isinstance(data["value"], int | float) and not isinstance(data["value"], bool)
        if not number or not isinstance(data["unit"], str):
            self.fail("shape")

    def _bound(self, internal: float) -> str:
        shown = [display(internal, Quantity(self.kind), system) for system in ("us", "metric")]
        return " or ".join(f"{limit.value:.4g} {limit.unit}" for limit in shown)
