"""Results in the caller's units; none that is no number."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from datetime import date
from enum import Enum
from typing import Any

import numpy as np
from rest_framework import serializers

from fleet.refusals import Refused


def rendered(answer: type[serializers.Serializer[Any]], results: Mapping[str, Any], unit_system: str) -> Any:
    """Return results as the answer's shape shows them; a figure beyond all numbers is refused, not hidden."""
    shape = answer(plain(results), context={"unit_system": unit_system})
    if holes := list(_holes(shape, shape.instance)):
        message = f"These figures are too large or too small to calculate with: {', '.join(holes)}."
        raise Refused(message, code="not_computable")
    return shape.data


def plain(value: Any) -> Any:
    """Return arrays as lists or numbers; infinite and not-a-number become None."""
    if isinstance(value, np.ndarray | np.generic):
        value = value.tolist()
    if isinstance(value, Mapping):
        return {name: plain(inner) for name, inner in value.items()}
    if isinstance(value, list | tuple):
        return [plain(inner) for inner in value]
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, Enum) and not isinstance(value, str):
        return value.name.lower()
    return value.isoformat() if isinstance(value, date) else value


def _holes(field: Any, value: Any, place: str = "") -> Iterator[str]:
    """Yield the names of results that are None and may not be."""
    if value is None:
        if not field.allow_null:
            yield place
    elif isinstance(field, serializers.ListSerializer | serializers.ListField):
        for inner in value:
            yield from _holes(field.child, inner, place)
    elif isinstance(field, serializers.Serializer):
        for name, part in field.fields.items():
            yield from _holes(part, value.get(name), f"{place}.{name}".lstrip("."))
