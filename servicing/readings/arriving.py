"""Entries on their way in: checked, and told apart from those that are known already."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from types import SimpleNamespace
from typing import Any, Final, Generic, TypeVar

from django.db import connection
from django.db.models.expressions import RawSQL

from fleet.refusals import Clash, FieldFault, Refused
from servicing.readings.checks import physics_faults, strut_entry_faults, tyre_entry_faults
from servicing.readings.correction import join
from servicing.readings.entries import STRUT_CONTENT, TYRE_CONTENT, StrutEntry, TyreEntry, same_content
from servicing.readings.known_fleet import KnownFleet
from servicing.readings.models import StrutReading, TyreReading

Entry = TypeVar("Entry", StrutEntry, TyreEntry)
RowFault = tuple[int, FieldFault]
_IDS_AT_ONCE: Final = 900  # SQLite takes some thousand parameters at most


@dataclass(frozen=True, slots=True)
class Arrivals(Generic[Entry]):
    """Entries without fault that are new or known, and every fault with the number of its entry."""

    new: tuple[Entry, ...]
    known: tuple[Entry, ...]
    faults: tuple[RowFault, ...]
    clashes: tuple[RowFault, ...]

    def refuse_faults(self, *, what: str, place: Callable[[int], str]) -> None:
        """Raise with every fault, its field behind ``place(number of the entry)``."""
        found = [
            FieldFault(place(number) + fault.field, fault.code, fault.message)
            for number, fault in sorted((*self.faults, *self.clashes), key=lambda row: row[0])
        ]
        if self.faults:
            raise Refused(f"{what}: nothing was saved", code="reading_refused", faults=found)
        if self.clashes:
            raise Clash(f"{what}: nothing was saved", code="reading_known_otherwise", faults=found)


def strut_arrivals(fleet: KnownFleet, entries: Sequence[StrutEntry], now: datetime) -> Arrivals[StrutEntry]:
    """Check entries of struts against ranges, installations, figures and what is stored."""
    faults = _faults(entries, lambda entry: strut_entry_faults(entry, fleet, now))
    wrong = {number for number, _ in faults}
    sound = [number for number in range(len(entries)) if number not in wrong]
    if sound:
        joined = join([entries[number] for number in sound], fleet)
        faults += [(sound[row], fault) for row, fault in physics_faults(joined)]
    return _told_apart(fleet.operator_id, StrutReading, STRUT_CONTENT, entries, faults)


def tyre_arrivals(fleet: KnownFleet, entries: Sequence[TyreEntry], now: datetime) -> Arrivals[TyreEntry]:
    """Check entries of tyres against ranges, installations and what is stored."""
    faults = _faults(entries, lambda entry: tyre_entry_faults(entry, fleet, now))
    return _told_apart(fleet.operator_id, TyreReading, TYRE_CONTENT, entries, faults)


def _faults(entries: Sequence[Entry], of: Callable[[Entry], Iterator[FieldFault]]) -> list[RowFault]:
    return [(number, fault) for number, entry in enumerate(entries) for fault in of(entry)]


def _told_apart(
    operator_id: uuid.UUID,
    model: type[StrutReading] | type[TyreReading],
    content: tuple[str, ...],
    entries: Sequence[Entry],
    faults: list[RowFault],
) -> Arrivals[Entry]:
    wrong = {number for number, _ in faults}
    stored = _stored(model, [entry.id for entry in entries], content)
    new: dict[uuid.UUID, Entry] = {}
    known: list[Entry] = []
    clashes: list[RowFault] = []
    for number, entry in enumerate(entries):
        if number in wrong:
            continue
        before: Any = stored.get(entry.id) or new.get(entry.id)
        if before is None:
            new[entry.id] = entry
        elif getattr(before, "operator_id", operator_id) != operator_id:
            clashes.append((number, FieldFault("id", "id_taken", "this id is taken; choose another")))
        elif same_content(before, entry, content):
            known.append(entry)
        else:
            message = "this id is known with other content: correct that reading instead"
            clashes.append((number, FieldFault("id", "known_otherwise", message)))
    return Arrivals(tuple(new.values()), tuple(known), tuple(faults), tuple(clashes))


def _stored(
    model: type[StrutReading] | type[TyreReading], ids: Sequence[uuid.UUID], content: tuple[str, ...]
) -> dict[uuid.UUID, SimpleNamespace]:
    # An id is unique in the whole installation, so all operators' rows are looked at; only ours are compared.
    names = ("id", "operator_id", *content)
    rows = model.objects.across_operators()
    return {
        values[0]: SimpleNamespace(**dict(zip(names, values, strict=True)))
        for some in _in_portions(ids)
        for values in rows.filter(id__in=_as_one_parameter(some)).values_list(*names).iterator()
    }


def _as_one_parameter(ids: Sequence[uuid.UUID]) -> Any:
    """Return ids for ``id__in``; on PostgreSQL as one array, because thousands of parameters are slow to bind."""
    if connection.vendor == "postgresql":
        return RawSQL("SELECT unnest(%s::uuid[])", [list(ids)])  # a parameter, no text of a caller
    return ids


def _in_portions(ids: Sequence[uuid.UUID]) -> Iterable[Sequence[uuid.UUID]]:
    portion = _IDS_AT_ONCE if connection.vendor == "sqlite" else 20_000
    return (ids[start : start + portion] for start in range(0, len(ids), portion))
