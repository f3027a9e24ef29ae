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
    message, field = fault.message, fields.get(name)
    if isinstance(field, serializers.ListField):
        field = field.child
    if isinstance(field, QuantityField) and any(letter.isdigit() for letter in message):
        message += f" [{KINDS[Quantity(field.kind)].internal}]"
    return FieldFault(_placed(name, fault.place, fields), fault.code, message)


def _placed(name: str, place: int | None, fields: Mapping[str, Any]) -> str:
    """Return ``readings.load`` as ``readings.3.load``, and as ``readings`` where the list as a whole is meant."""
    if isinstance(fields.get(name), serializers.ListField) and place is not None:
        return f"{name}.{place}"
    outer, _, inner = name.partition(".")
    if not isinstance(fields.get(outer), serializers.ListSerializer):
        return name
    return outer if place is None else f"{outer}.{place}.{inner}"


def _fields(shape: serializers.Serializer[Any], place: str = "") -> Iterator[tuple[str, Any]]:
    for name, field in shape.fields.items():
        yield place + name, field
        inner = field.child if isinstance(field, serializers.ListSerializer) else field
        if isinstance(inner, serializers.Serializer):
            yield from _fields(inner, f"{place}{name}.")


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
