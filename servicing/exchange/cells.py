"""Rows of a file as values by column name, with a fault for each cell that cannot be read."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from fleet.refusals import FieldFault
from servicing.exchange.columns import CellError
from servicing.exchange.csv_file import CsvFile, PlacedColumn

Values = dict[str, Any]


@dataclass(frozen=True, slots=True)
class FileRow:
    """One row: its number in the file, what its filled cells say, and what is wrong with them."""

    number: int
    values: Values
    faults: tuple[FieldFault, ...] = field(default=())


def read_rows(file: CsvFile) -> Iterator[FileRow]:
    """Yield the rows; empty cells are left out of the values."""
    # Most cells repeat: registrations, legs, temperatures, fuel. Each is read once.
    seen: list[dict[str, Any]] = [{} for _ in file.columns]
    for number, cells in file.rows():
        if isinstance(cells, FieldFault):
            yield FileRow(number, {}, (cells,))
            continue
        values: Values = {}
        faults: list[FieldFault] = []
        for placed, memory in zip(file.columns, seen, strict=True):
            cell = cells[placed.place]
            try:
                value = memory[cell]
            except KeyError:
                value = memory[cell] = _read(placed, cell)
            if value is None:
                if placed.column.required:
                    faults.append(FieldFault(placed.column.name, "required", "must not be empty"))
            elif isinstance(value, CellError):
                faults.append(FieldFault(placed.column.name, value.code, value.message))
            else:
                values[placed.column.name] = value
        yield FileRow(number, values, tuple(faults))


def _read(placed: PlacedColumn, cell: str) -> Any:
    if not cell.strip():
        return None
    try:
        return placed.read(cell)
    except CellError as fault:
        return fault
