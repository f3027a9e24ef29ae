"""A CSV file as RFC 4180 has it: header judged strictly, rows handed on one by one.

What spreadsheets like to do to such files, semicolons, decimal commas, other encodings, is refused
with a word on how to put it right; guessing would put wrong figures on a strut.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from calculations.errors import CalculationError
from calculations.units import parse_header, unit_named, units_of
from fleet.refusals import FieldFault, Refused
from servicing.exchange.columns import Column, Reader

LARGEST_BYTES: Final = 64 * 1024 * 1024
_UTF_16: Final = (b"\xff\xfe", b"\xfe\xff")
_OTHER_SEPARATORS: Final = {";": "semicolons", "\t": "tabs", "|": "bars"}


class BadFile(Refused):
    """The file as a whole cannot be read."""

    status = 422
    code = "bad_file"


@dataclass(frozen=True, slots=True)
class PlacedColumn:
    """A column of the file: which one it is, where it stands and how its cells are read."""

    column: Column
    place: int
    read: Reader


@dataclass(frozen=True, slots=True)
class CsvFile:
    """A readable header, and the text below it."""

    columns: tuple[PlacedColumn, ...]
    width: int
    text: str

    def rows(self) -> Iterator[tuple[int, list[str] | FieldFault]]:
        """Yield each row, or its fault, with its number as a spreadsheet shows it: the header is row 1."""
        reader = csv.reader(io.StringIO(self.text, newline=""), strict=True)
        next(reader)
        number = 1
        while True:
            number += 1
            try:
                cells = next(reader)
            except StopIteration:
                return
            except csv.Error as error:
                # What follows a broken quote cannot be told apart any more.
                yield number, FieldFault("row", "broken_quotes", f"cannot be read from here on: {error}")
                return
            if not cells or (len(cells) == 1 and not cells[0].strip()):
                continue
            if len(cells) != self.width:
                message = f"has {len(cells)} cells, the header {self.width}; a comma inside a cell needs quotes"
                yield number, FieldFault("row", "wrong_number_of_cells", message)
            else:
                yield number, cells

    def count_rows(self) -> int:
        """Return about how many rows there are: lines, which are more only where cells hold line ends."""
        return max(0, self.text.count("\n") + (not self.text.endswith("\n")) - 1)


def open_file(content: bytes, columns: Sequence[Column]) -> CsvFile:
    """Read encoding and header, or refuse with everything that is wrong with them."""
    text = _decoded(content)
    header = _header(text)
    known = {column.name: column for column in columns}
    faults: list[FieldFault] = []
    placed: dict[str, PlacedColumn] = {}
    for place, cell in enumerate(header):
        found = _place(place, cell, known, faults)
        if found is None:
            continue
        if found.column.name in placed:
            faults.append(FieldFault(found.column.name, "column_twice", "this column is there twice"))
        placed[found.column.name] = found
    named = {_name_of(cell) for cell in header}
    faults += [
        FieldFault(column.name, "column_missing", f"the file needs the column {_as_header(column)}")
        for column in columns
        if column.required and column.name not in named
    ]
    if faults:
        raise BadFile("the header cannot be right; nothing was read", code="bad_header", faults=faults)
    return CsvFile(tuple(one for one in placed.values() if not one.column.derived), len(header), text)


def _decoded(content: bytes) -> str:
    if len(content) > LARGEST_BYTES:
        raise _bad("too_large", f"at most {LARGEST_BYTES // 1024**2} MB: send it in parts")
    if content.startswith(_UTF_16):
        raise _bad("not_utf_8", "the file is UTF-16: save it as CSV in UTF-8")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        message = f"the file is not UTF-8, from byte {error.start} on: save it as CSV in UTF-8"
        raise _bad("not_utf_8", message) from None
    if "\0" in text:
        raise _bad("not_text", "the file holds NUL characters: it is not a CSV file")
    if not text.strip():
        raise _bad("empty", "the file is empty")
    return text


def _header(text: str) -> list[str]:
    try:
        header = next(csv.reader(io.StringIO(text, newline=""), strict=True))
    except csv.Error as error:
        raise _bad("broken_quotes", f"the header cannot be read: {error}") from None
    if len(header) == 1:
        for separator, name in _OTHER_SEPARATORS.items():
            if separator in header[0]:
                raise _bad("separator", f"cells are separated by {name}: save the file with commas")
    return header


def _place(place: int, cell: str, known: dict[str, Column], faults: list[FieldFault]) -> PlacedColumn | None:
    try:
        name, unit = parse_header(cell.strip())
    except CalculationError as error:
        faults.append(FieldFault(f"column {place + 1}", error.faults[0].code, error.faults[0].message))
        return None
    column = known.get(name)
    if column is None:
        faults.append(FieldFault(name, "unknown_column", f"no such column; there are {', '.join(known)}"))
        return None
    if column.derived:
        return PlacedColumn(column, place, str)
    if column.quantity is None and unit != column.ratio and unit:
        faults.append(FieldFault(name, "unit_not_expected", f"write the header as {_as_header(column)}"))
        return None
    if column.quantity is not None:
        try:
            unit_named(unit, column.quantity)
        except CalculationError as error:
            faults.append(FieldFault(name, error.faults[0].code, error.faults[0].message))
            return None
    return PlacedColumn(column, place, column.reader(unit))


def _name_of(cell: str) -> str:
    return cell.partition("[")[0].strip()


def _as_header(column: Column) -> str:
    if column.quantity is not None:
        return f"{column.name} [{units_of(column.quantity)[0].symbol}]"
    return f"{column.name} [{column.ratio}]" if column.ratio else column.name


def _bad(code: str, message: str) -> BadFile:
    return BadFile(message, code="bad_file", faults=[FieldFault("file", code, message)])
