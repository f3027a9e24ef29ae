"""The backtest as a file."""

import csv
import io
from collections.abc import Iterable, Iterator
from dataclasses import astuple
from datetime import date, datetime
from typing import Final

from fleet.web.csv_cells import neutralise_formula
from servicing.backtest.replaying import Told

HEADER: Final = (
    "aircraft",
    "leg",
    "opened_at",
    "closed_at",
    "level",
    "finding",
    "rate [in/month]",
    "rate_low",
    "rate_high",
    "breach_on",
    "breach_low",
    "breach_high",
)


def csv_lines(rows: Iterable[Told]) -> Iterator[bytes]:
    """Yield the file, header first."""
    yield _line(HEADER)
    for row in rows:
        yield _line(map(_cell, astuple(row)))


def _cell(value: str | datetime | date | float | None) -> str:
    if value is None:
        return ""
    if isinstance(value, str):
        return neutralise_formula(value)
    return f"{value:.4f}" if isinstance(value, float) else value.isoformat()


def _line(cells: Iterable[str]) -> bytes:
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\n").writerow(cells)
    return text.getvalue().encode()
