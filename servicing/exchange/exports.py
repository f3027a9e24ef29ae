"""Streaming rows out as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from typing import Any, Final

from django.db import connection
from django.db.models import QuerySet

from servicing.exchange.export_columns import Out

_ROWS_AT_ONCE: Final = 2000


def csv_of(rows: QuerySet[Any, Any], columns: Sequence[Out], unit_system: str) -> Iterator[bytes]:
    """Yield a file of the rows, header first, without ever holding it as a whole."""
    yield _line([column.header(unit_system) for column in columns])
    picked = rows.values_list(*(column.path for column in columns))
    if connection.vendor == "postgresql":
        yield from _copied(picked, columns, unit_system)
    else:
        yield from _written(picked, columns, unit_system)


def _copied(picked: QuerySet[Any, Any], columns: Sequence[Out], unit_system: str) -> Iterator[bytes]:
    inner, parameters = picked.query.sql_with_params()
    names = [f"c{number}" for number in range(len(columns))]
    cells = ", ".join(column.sql(name, unit_system) for column, name in zip(columns, names, strict=True))
    statement = f"COPY (SELECT {cells} FROM ({inner}) AS picked({', '.join(names)})) TO STDOUT (FORMAT CSV)"  # noqa: S608  # names are ours
    with connection.cursor() as cursor, cursor.cursor.copy(statement, parameters) as copy:
        for block in copy:
            yield bytes(block)


def _written(picked: QuerySet[Any, Any], columns: Sequence[Out], unit_system: str) -> Iterator[bytes]:
    writers = [column.writer(unit_system) for column in columns]
    text = io.StringIO(newline="")
    out = csv.writer(text, lineterminator="\n")
    statement, parameters = picked.query.sql_with_params()
    with connection.chunked_cursor() as cursor:
        cursor.execute(statement, parameters)
        while rows := cursor.fetchmany(_ROWS_AT_ONCE):
            # The values as the store keeps them: turning each into an object first costs more than all the rest.
            for row in rows:
                out.writerow(["" if cell is None else write(cell) for write, cell in zip(writers, row, strict=True)])
            yield text.getvalue().encode()
            text.seek(0)
            text.truncate()


def _line(cells: Sequence[str]) -> bytes:
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\n").writerow(cells)
    return text.getvalue().encode()
