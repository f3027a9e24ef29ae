"""A calculation's faults in the caller's words: ``tube_diameter_in`` is their ``strut.tube_diameter``."""

from collections.abc import Iterator, Mapping
from typing import Any

from rest_framework import serializers

from calculations.errors import Fault
from calculations.units import KINDS, Quantity
from fleet.refusals import FieldFault
from fleet.web.quantities import QuantityField

_SUFFIXES = (
    "_in3", "_in2", "_in", "_ft", "_lbf", "_lb", "_psig", "_psia", "_psi", "_psf", "_mol", "_deg", "_kt", "_f", "_h",
)  # fmt: skip


def in_callers_words(fault: Fault, shape: serializers.Serializer[Any], names: Mapping[str, str]) -> FieldFault:
    """Return the fault with the field as the request has it, and the unit that its message counts in."""
    fields = dict(_fields(shape))
    name = names.get(fault.field) or _field_named(fault.field, fields)
    message = fault.message
    if isinstance(field := fields.get(name), QuantityField) and any(letter.isdigit() for letter in message):
        message += f" [{KINDS[Quantity(field.kind)].internal}]"
    return FieldFault(name, fault.code, message)


def _fields(shape: serializers.Serializer[Any], place: str = "") -> Iterator[tuple[str, Any]]:
    for name, field in shape.fields.items():
        yield place + name, field
        if isinstance(field, serializers.Serializer):
            yield from _fields(field, f"{place}{name}.")


def _field_named(argument: str, fields: Mapping[str, Any]) -> str:
    """Return the outermost field of that name; an argument's own name is tried with and without its unit."""
    for wanted in (argument, without_unit(argument)):
        found = [path for path in fields if path == wanted or path.endswith(f".{wanted}")]
        if found:
            return min(found, key=lambda path: path.count("."))
    return without_unit(argument)


def without_unit(argument: str) -> str:
    """Return an argument's name without the unit at its end."""
    return next((argument.removesuffix(end) for end in _SUFFIXES if argument.endswith(end)), argument)
