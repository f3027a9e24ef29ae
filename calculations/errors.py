"""What goes wrong in a calculation, named so that the edge can answer field by field."""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One input that cannot be right.

    Parameters
    ----------
    field : str
        Name of the argument as the function spells it, such as ``"extension_in"``.
    code : str
        Stable, machine-readable reason, such as ``"extension_beyond_tube"``.
    message : str
        What was wrong and what would be right, with the value, for a person.
    place : int, optional
        Which value of a series it is, from 0; None for one value or for the series as a whole.
    """

    field: str
    code: str
    message: str
    place: int | None = None


class CalculationError(ValueError):
    """Inputs that physics or the type sheet refuses; carries every fault at once."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(faults)
        super().__init__("; ".join(f"{fault.field}: {fault.message}" for fault in self.faults))


def refuse(field: str, code: str, message: str) -> CalculationError:
    """Return the error for a single fault, to be raised by the caller."""
    return CalculationError([Fault(field, code, message)])
