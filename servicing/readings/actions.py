"""Readings come in, are put right, and are taken back; nothing is ever changed or lost."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from fleet.audit.actions import record_change
from fleet.people.actor import Actor
from fleet.people.models import Role, Scope
from servicing.readings.arriving import strut_arrivals, tyre_arrivals
from servicing.readings.entries import StrutEntry, TyreEntry
from servicing.readings.models import Source, StrutReading, TyreReading
from servicing.readings.storing import fleet_for, store_struts, store_tyres


@dataclass(frozen=True, slots=True)
class Added:
    """Ids in the order of the entries, and how many of them were new or known."""

    ids: tuple[uuid.UUID, ...]
    saved: int
    known: int


def add_strut_reading(*, actor: Actor, now: datetime, entry: StrutEntry, source: str = Source.API) -> Added:
    """Take one reading of a strut; faults name their field."""
    return _add_struts(actor=actor, now=now, entries=[entry], source=source, place=None)


def add_strut_readings(
    *, actor: Actor, now: datetime, entries: Sequence[StrutEntry], source: str = Source.API
) -> Added:
    """Take several readings of struts, all or none; faults name ``readings.<number>.<field>``."""
    return _add_struts(actor=actor, now=now, entries=entries, source=source, place="readings")


def add_tyre_reading(*, actor: Actor, now: datetime, entry: TyreEntry, source: str = Source.API) -> Added:
    """Take one reading of a tyre; faults name their field."""
    return _add_tyres(actor=actor, now=now, entries=[entry], source=source, place=None)


def add_tyre_readings(
    *, actor: Actor, now: datetime, entries: Sequence[TyreEntry], source: str = Source.API
) -> Added:
    """Take several readings of tyres, all or none; faults name ``readings.<number>.<field>``."""
    return _add_tyres(actor=actor, now=now, entries=entries, source=source, place="readings")


@transaction.atomic
def _add_struts(
    *, actor: Actor, now: datetime, entries: Sequence[StrutEntry], source: str, place: str | None
) -> Added:
    actor.require(Role.MEMBER, Scope.REPORT)
    fleet = fleet_for(actor.operator_id, entries)
    arrivals = strut_arrivals(fleet, entries, now)
    arrivals.refuse_faults(what=_refusal(len(entries)), place=_place(place))
    store_struts(fleet, arrivals.new, now=now, source=source)
    _note(actor, now, StrutReading, arrivals.new)
    return Added(tuple(entry.id for entry in entries), len(arrivals.new), len(arrivals.known))


@transaction.atomic
def _add_tyres(*, actor: Actor, now: datetime, entries: Sequence[TyreEntry], source: str, place: str | None) -> Added:
    actor.require(Role.MEMBER, Scope.REPORT)
    fleet = fleet_for(actor.operator_id, entries)
    arrivals = tyre_arrivals(fleet, entries, now)
    arrivals.refuse_faults(what=_refusal(len(entries)), place=_place(place))
    store_tyres(fleet, arrivals.new, now=now, source=source)
    _note(actor, now, TyreReading, arrivals.new)
    return Added(tuple(entry.id for entry in entries), len(arrivals.new), len(arrivals.known))


def _refusal(count: int) -> str:
    return "this reading cannot be right" if count == 1 else "some readings cannot be right"


def _place(list_name: str | None) -> Any:
    return lambda number: f"{list_name}.{number}." if list_name else ""


def _note(
    actor: Actor,
    now: datetime,
    model: type[StrutReading] | type[TyreReading],
    entries: Sequence[StrutEntry] | Sequence[TyreEntry],
) -> None:
    """Write one audit entry for what came in together."""
    if not entries:
        return
    kind = "strut reading" if model is StrutReading else "tyre reading"
    record_change(
        actor=actor,
        action=f"{kind} added" if len(entries) == 1 else f"{kind}s added",
        subject_kind=kind,
        subject_id=entries[0].id,
        now=now,
        after={"as_read": entries[0].as_read} if len(entries) == 1 else {"count": len(entries)},
    )
