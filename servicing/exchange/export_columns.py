"""What a file on its way out holds: each column with the path to its value and how it is written.

PostgreSQL writes the cells itself, so that a million rows stream at the speed of its COPY; SQLite's
values are written here. Both write the same, cell by cell.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any, Final

from calculations.units import Quantity, display_unit, scale
from fleet.web.csv_cells import neutralise_formula

DECIMALS: Final = 7  # finer than any instrument, and hides what binary fractions add
# As `fleet.web.csv_cells` has it, for PostgreSQL: a test holds the two together.
NEEDS_QUOTE: Final = "^'*[-=+@\t\r\n\uff1d\uff0b\uff0d\uff20]"


class Kind(StrEnum):
    """How a value is written."""

    WORDS = "words"
    NUMBER = "number"
    YES_NO = "yes or no"
    MOMENT = "moment"
    DAY = "day"
    ID = "id"
    LIST = "list"


@dataclass(frozen=True, slots=True)
class Out:
    """One column: its name in the header, the path to its value, and what it is."""

    name: str
    path: str
    kind: Kind = Kind.WORDS
    quantity: Quantity | None = None
    ratio: str = ""

    def header(self, unit_system: str) -> str:
        """Return the header with its unit."""
        if self.quantity is not None:
            return f"{self.name} [{display_unit(self.quantity, unit_system).symbol}]"
        return f"{self.name} [{self.ratio}]" if self.ratio else self.name

    def sql(self, column: str, unit_system: str) -> str:
        """Return the PostgreSQL expression that writes ``column``; its percent signs are doubled."""
        if self.kind is Kind.NUMBER:
            factor, offset = self._line(unit_system)
            return f"round((({column} - ({offset!r})) / ({factor!r}))::numeric, {DECIMALS})::float8::text"
        if self.kind is Kind.MOMENT:
            return f"""to_char({column} AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US"Z"')"""
        if self.kind is Kind.YES_NO:
            return f"CASE WHEN {column} THEN 'yes' WHEN NOT {column} THEN 'no' END"
        if self.kind is Kind.LIST:
            words = f"(SELECT string_agg(word, '; ') FROM jsonb_array_elements_text({column}) AS word)"  # noqa: S608
            return f"nullif({words}, '')"
        if self.kind is Kind.WORDS:
            text = f"{column}::text"
            return f"CASE WHEN {text} ~ E{_literal(NEEDS_QUOTE)} THEN '''' || {text} ELSE nullif({text}, '') END"
        return f"{column}::text"

    def writer(self, unit_system: str) -> Callable[[Any], str]:
        """Return what writes one value of this column as SQLite keeps it."""
        if self.kind is Kind.NUMBER:
            factor, offset = self._line(unit_system)
            return lambda value: _number((value - offset) / factor)
        return _WRITERS[self.kind]

    def _line(self, unit_system: str) -> tuple[float, float]:
        if self.quantity is None:
            return 1.0, 0.0
        line = scale(display_unit(self.quantity, unit_system), self.quantity)
        return line.factor, line.offset


def quantity(name: str, path: str, kind: Quantity) -> Out:
    """Return a column of a quantity."""
    return Out(name, path, Kind.NUMBER, kind)


def _number(value: float) -> str:
    written = f"{value:.{DECIMALS}f}".rstrip("0").rstrip(".")
    return "0" if written in ("-0", "") else written


def _moment(kept: datetime) -> str:
    # SQLite keeps UTC without saying so.
    return f"{kept.isoformat(timespec='microseconds')}Z"


def _id(kept: str) -> str:
    return f"{kept[:8]}-{kept[8:12]}-{kept[12:16]}-{kept[16:20]}-{kept[20:]}"


def _list(kept: str) -> str:
    return "" if kept == "[]" else "; ".join(json.loads(kept))


_WRITERS: Final[dict[Kind, Callable[[Any], str]]] = {
    Kind.WORDS: neutralise_formula,
    Kind.YES_NO: lambda kept: "yes" if kept else "no",
    Kind.MOMENT: _moment,
    Kind.DAY: str,
    Kind.ID: _id,
    Kind.LIST: _list,
}


def _literal(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace("'", "''")
    return "'" + escaped.replace("\t", "\\t").replace("\r", "\\r").replace("\n", "\\n") + "'"
