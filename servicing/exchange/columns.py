"""What the cells of a column may hold, and how each is read; every cell that cannot be is named."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from calculations.errors import CalculationError
from calculations.units import Quantity, parse_number, scale, unit_named
from fleet.web.csv_cells import restore_formula

_YES: Final = frozenset({"yes", "y", "true", "1"})
_NO: Final = frozenset({"no", "n", "false", "0"})


class CellError(ValueError):
    """One cell that cannot be read."""

    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code
        self.message = message


@dataclass(frozen=True, slots=True)
class Read:
    """A quantity as read, and in its internal unit."""

    internal: float
    as_read: dict[str, Any]


Reader = Callable[[str], Any]


@dataclass(frozen=True, slots=True)
class Column:
    """One column that a file may have; ``quantity`` columns need a unit in their header, others have none."""

    name: str
    read: Reader | None = None
    quantity: Quantity | None = None
    ratio: str = ""  # the one unit of a figure such as pounds per pound
    required: bool = False
    derived: bool = False  # ours on the way out, passed over on the way in

    def reader(self, unit: str) -> Reader:
        """Return what reads one cell of a column whose header says ``unit``."""
        if self.quantity is None:
            return self.read or text()
        return _quantity_reader(self.quantity, unit)


def text(longest: int = 500) -> Reader:
    """Read words; a formula that was made harmless on the way out comes back as it was."""

    def read(cell: str) -> str:
        words = restore_formula(cell)
        if len(words) > longest:
            raise CellError("too_long", f"at most {longest} characters, not {len(words)}")
        return words

    return read


def choice(*allowed: str) -> Reader:
    """Read one of some words, whatever their capitals."""

    def read(cell: str) -> str:
        word = " ".join(cell.lower().split())
        if word not in allowed:
            raise CellError("unknown_choice", f"{cell[:40]!r} is none of: {', '.join(allowed)}")
        return word

    return read


def choices(*allowed: str) -> Reader:
    """Read several of some words, with semicolons between them."""
    one = choice(*allowed)

    def read(cell: str) -> tuple[str, ...]:
        return tuple(sorted({one(part) for part in cell.split(";") if part.strip()}))

    return read


def yes_or_no(cell: str) -> bool:
    """Read a truth value."""
    word = cell.strip().lower()
    if word in _YES:
        return True
    if word in _NO:
        return False
    raise CellError("not_yes_or_no", f"{cell[:40]!r}: write yes or no")


def number(lowest: float, highest: float) -> Reader:
    """Read a plain number within bounds."""

    def read(cell: str) -> float:
        value = _number(cell)
        if not lowest <= value <= highest:
            raise CellError("out_of_range", f"from {lowest:g} to {highest:g}, not {value:g}")
        return value

    return read


def count(highest: int) -> Reader:
    """Read a whole number from 0."""
    plain = number(0, highest)

    def read(cell: str) -> int:
        value = plain(cell)
        if value != int(value):
            raise CellError("not_whole", f"{cell[:40]!r} is not a whole number")
        return int(value)

    return read


def moment(cell: str) -> datetime:
    """Read a time with its time zone."""
    try:
        found = datetime.fromisoformat(cell.strip())
    except ValueError:
        raise CellError("not_a_time", f"{cell[:40]!r}: write it like 2026-03-02T09:30:00Z") from None
    if found.tzinfo is None:
        raise CellError("no_time_zone", f"{cell[:40]!r}: say the time zone, like 2026-03-02T09:30:00Z")
    try:
        found.timestamp()
    except (OverflowError, ValueError):
        raise CellError("not_a_time", f"{cell[:40]!r} is out of any calendar") from None
    return found


def row_id(cell: str) -> uuid.UUID:
    """Read a UUID."""
    try:
        return uuid.UUID(cell.strip())
    except ValueError:
        raise CellError("not_an_id", f"{cell[:40]!r} is not a UUID; leave it empty to have one made") from None


def _quantity_reader(quantity: Quantity, unit: str) -> Reader:
    known = unit_named(unit, quantity)
    line = scale(known, quantity)

    def read(cell: str) -> Read:
        value = _number(cell)
        return Read(value * line.factor + line.offset, {"value": value, "unit": known.symbol})

    return read


def _number(cell: str) -> float:
    try:
        return parse_number(cell)
    except CalculationError as error:
        fault = error.faults[0]
        raise CellError(fault.code, fault.message) from None
