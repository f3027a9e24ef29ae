"""What a caller gave: values in internal units, and their names."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, Final

import numpy as np

from calculations.errors import CalculationError, Fault
from fleet.web.quantities import Measured
from servicing.calculators.naming import without_unit

# What figures far from any strut or tyre end in; a named fault, where there is one, goes before it.
BEYOND_NUMBERS: Final = (FloatingPointError, OverflowError, ZeroDivisionError, np.linalg.LinAlgError)


def internal(value: Any) -> Any:
    """Return checked values with every quantity, however deep, as its internal number."""
    if isinstance(value, Measured):
        return value.internal
    if isinstance(value, Mapping):
        return {name: internal(inner) for name, inner in value.items()}
    if isinstance(value, list):
        return [internal(inner) for inner in value]
    return value


def given_names(data: Any, place: str = "") -> list[str]:
    """Return the names of what was sent, ``strut.tube_diameter`` for a figure within ``strut``."""
    names = []
    for name, value in sorted(data.items()):
        if isinstance(value, Mapping) and "unit" not in value:
            names += given_names(value, f"{place}{name}.")
        else:
            names.append(f"{place}{name}")
    return names


def given_only(values: Mapping[str, Any], **names: str) -> dict[str, Any]:
    """Return the values that were sent, under an argument's name each: ``given_only(values, rake_deg="rake")``."""
    return {argument: values[name] for argument, name in names.items() if values.get(name) is not None}


def column(rows: list[Mapping[str, Any]], name: str, default: Any = None) -> list[Any]:
    """Return one field of all rows."""
    return [row.get(name, default) for row in rows]


def together(*calls: Callable[[], Any], faults: tuple[Fault, ...] = ()) -> list[Any]:
    """Return what the calls give, or raise with the faults of all of them."""
    found, results, beyond = list(faults), [], None
    for call in calls:
        try:
            results.append(call())
        except CalculationError as error:
            found += error.faults
        except BEYOND_NUMBERS as error:
            beyond = error
    if found:
        raise CalculationError({(fault.field, fault.code, fault.place): fault for fault in found}.values())
    if beyond is not None:
        raise beyond
    return results


def told(names: Mapping[str, str], call: Callable[[], Any]) -> Callable[[], Any]:
    """Return the call with its faults told of the fields that ``names`` gives for the calculation's arguments."""
    return _renamed(call, lambda argument: names.get(argument, argument))


def within(place: str, call: Callable[[], Any]) -> Callable[[], Any]:
    """Return the call with its faults told of ``place``: ``extension_in`` becomes ``place.extension``."""
    return _renamed(call, lambda argument: f"{place}.{without_unit(argument)}")


def _renamed(call: Callable[[], Any], name: Callable[[str], str]) -> Callable[[], Any]:
    def call_again() -> Any:
        try:
            return call()
        except CalculationError as error:
            raise CalculationError(replace(one, field=name(one.field)) for one in error.faults) from error

    return call_again
