"""What every kind of file does with its rows: takes them one by one, checks them together, saves the good ones."""

from __future__ import annotations

import uuid
from abc import ABC, abstractmethod
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, ClassVar

from fleet.people.actor import Actor
from fleet.people.models import Role, Scope
from fleet.refusals import FieldFault
from servicing.exchange.cells import FileRow
from servicing.exchange.columns import Column, Read

RowFault = tuple[int, FieldFault]


@dataclass(frozen=True, slots=True)
class Saved:
    """How many rows were new and stored, and how many were there before."""

    saved: int
    known: int


class Importer(ABC):
    """One file's rows on their way in. Fetches what it needs once; no row costs a query."""

    columns: ClassVar[tuple[Column, ...]]
    role: ClassVar[Role]
    scope: ClassVar[Scope]

    def __init__(self, operator_id: uuid.UUID, now: datetime) -> None:
        self.operator_id = operator_id
        self.now = now
        self.faults: list[RowFault] = []
        self.notes: list[str] = []

    def take(self, row: FileRow) -> None:
        """Keep a row, or its faults."""
        self.faults += [(row.number, fault) for fault in row.faults]
        if not row.faults:
            self.keep(row)

    def fault(self, number: int, field: str, code: str, message: str) -> None:
        """Note what is wrong with a row."""
        self.faults.append((number, FieldFault(field, code, message)))

    @abstractmethod
    def keep(self, row: FileRow) -> None:
        """Keep a row whose cells could all be read."""

    @abstractmethod
    def check(self) -> None:
        """Look at all kept rows together, and note their faults."""

    @abstractmethod
    def count(self) -> Saved:
        """Say what `save` would do with the rows that have no fault."""

    @abstractmethod
    def save(self, actor: Actor) -> Saved:
        """Store the rows that have no fault, in the caller's transaction."""


class ContentIds:
    """Ids for rows that bring none: the same row in the same file always gets the same one.

    Rows that say exactly the same are told apart by how often they have come.
    """

    def __init__(self, operator_id: uuid.UUID, kind: str) -> None:
        self._operator_id = operator_id
        self._kind = kind
        self._times: dict[str, int] = {}

    def next_id(self, content: str) -> uuid.UUID:
        """Return the id of the next row with this content."""
        self._times[content] = times = self._times.get(content, 0) + 1
        return uuid.uuid5(self._operator_id, f"{self._kind}|{content}#{times}")


def canonical(moment: datetime, words: Iterable[str], figures: Iterable[float | None]) -> str:
    """Return what a row says in one form, whatever its unit, time zone or number format was."""
    numbers = ["" if figure is None else f"{figure:.9g}" for figure in figures]
    return "|".join([moment.astimezone(UTC).isoformat(), *words, *numbers])


def internal(values: dict[str, Any], name: str) -> float | None:
    """Return a quantity of a row in its internal unit, None where its cell is empty."""
    found: Read | None = values.get(name)
    return None if found is None else found.internal


def as_read(values: dict[str, Any], names: Iterable[str]) -> dict[str, dict[str, Any]]:
    """Return the quantities of a row as they were read."""
    return {name: values[name].as_read for name in names if name in values}
