"""Putting a reading right or taking it back: a new row that points at the old one, with the reason."""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import Any, TypeVar

from django.db import transaction

from fleet.audit.actions import record_change
from fleet.people.actor import Actor
from fleet.people.models import Role, Scope
from fleet.refusals import Clash, FieldFault, Missing, require_reason
from servicing.readings.arriving import Arrivals, strut_arrivals, tyre_arrivals
from servicing.readings.bulk import append_rows
from servicing.readings.entries import STRUT_CONTENT, TYRE_CONTENT, StrutEntry, TyreEntry, same_content
from servicing.readings.known_fleet import KnownFleet, load_known_fleet
from servicing.readings.models import Source, StrutReading, TyreReading
from servicing.readings.storing import renew_estimates, store_struts, store_tyres, tell_news

ReadingRow = TypeVar("ReadingRow", StrutReading, TyreReading)


@transaction.atomic
def correct_strut_reading(
    *, actor: Actor, now: datetime, reading_id: uuid.UUID, entry: StrutEntry, reason: str, source: str = Source.API
) -> StrutReading:
    """Replace a mistaken reading of a strut; sent twice, the second changes nothing."""
    wrong, known = _mistaken(actor, StrutReading, reading_id, entry.id, reason)
    if known is not None:
        return _same_or_clash(known, entry, STRUT_CONTENT)
    fleet = _fleet(actor, wrong, entry)
    arrivals = strut_arrivals(fleet, [entry], now)
    _refuse(arrivals)
    _supersede(actor, wrong)
    store_struts(fleet, arrivals.new, now=now, source=source, corrects_id=wrong.id, correction_reason=reason.strip())
    _look_again_at_strut(actor, fleet, wrong, entry.id)
    _note(actor, now, "strut reading corrected", wrong, entry.id, reason, entry.as_read)
    return StrutReading.objects.of(actor.operator_id).get(pk=entry.id)


@transaction.atomic
def correct_tyre_reading(
    *, actor: Actor, now: datetime, reading_id: uuid.UUID, entry: TyreEntry, reason: str, source: str = Source.API
) -> TyreReading:
    """Replace a mistaken reading of a tyre; sent twice, the second changes nothing."""
    wrong, known = _mistaken(actor, TyreReading, reading_id, entry.id, reason)
    if known is not None:
        return _same_or_clash(known, entry, TYRE_CONTENT)
    fleet = _fleet(actor, wrong, entry)
    arrivals = tyre_arrivals(fleet, [entry], now)
    _refuse(arrivals)
    _supersede(actor, wrong)
    store_tyres(fleet, arrivals.new, now=now, source=source, corrects_id=wrong.id, correction_reason=reason.strip())
    tell_news(actor.operator_id, tyre_ids=[wrong.tyre_id])
    _note(actor, now, "tyre reading corrected", wrong, entry.id, reason, entry.as_read)
    return TyreReading.objects.of(actor.operator_id).get(pk=entry.id)


@transaction.atomic
def withdraw_strut_reading(
    *, actor: Actor, now: datetime, reading_id: uuid.UUID, withdrawal_id: uuid.UUID, reason: str
) -> StrutReading:
    """Take a reading of a strut back; both rows stay to be seen."""
    wrong, known = _mistaken(actor, StrutReading, reading_id, withdrawal_id, reason)
    if known is not None:
        return known
    taken_back = _take_back(actor, now, wrong, withdrawal_id, reason)
    fleet = load_known_fleet(actor.operator_id, leg_ids=[wrong.leg_id], with_equipment=False)
    _look_again_at_strut(actor, fleet, wrong, withdrawal_id)
    _note(actor, now, "strut reading withdrawn", wrong, withdrawal_id, reason, None)
    return taken_back


@transaction.atomic
def withdraw_tyre_reading(
    *, actor: Actor, now: datetime, reading_id: uuid.UUID, withdrawal_id: uuid.UUID, reason: str
) -> TyreReading:
    """Take a reading of a tyre back; both rows stay to be seen."""
    wrong, known = _mistaken(actor, TyreReading, reading_id, withdrawal_id, reason)
    if known is not None:
        return known
    taken_back = _take_back(actor, now, wrong, withdrawal_id, reason)
    tell_news(actor.operator_id, tyre_ids=[wrong.tyre_id])
    _note(actor, now, "tyre reading withdrawn", wrong, withdrawal_id, reason, None)
    return taken_back


def _mistaken(
    actor: Actor, model: type[ReadingRow], reading_id: uuid.UUID, new_id: uuid.UUID, reason: str
) -> tuple[ReadingRow, ReadingRow | None]:
    """Return the row to be put right, and the row that already does so under this id."""
    actor.require(Role.MEMBER, Scope.REPORT)
    require_reason(reason, "say why the reading is put right")
    rows = model.objects.of(actor.operator_id)
    wrong = rows.filter(pk=reading_id).first()
    if wrong is None:
        raise Missing("no such reading")
    if wrong.withdrawn:
        raise Clash("this row only takes back another reading; it cannot be put right itself")
    return wrong, rows.filter(pk=new_id, corrects_id=reading_id).first()


def _same_or_clash(known: ReadingRow, entry: StrutEntry | TyreEntry, content: tuple[str, ...]) -> ReadingRow:
    if not known.withdrawn and same_content(known, entry, content):
        return known
    fault = FieldFault("id", "known_otherwise", "this id is known with other content")
    raise Clash(fault.message, code="reading_known_otherwise", faults=[fault])


def _fleet(actor: Actor, wrong: StrutReading | TyreReading, entry: StrutEntry | TyreEntry) -> KnownFleet:
    return load_known_fleet(
        actor.operator_id, leg_ids={wrong.leg_id, entry.leg_id}, with_equipment=entry.gauge_id is not None
    )


def _refuse(arrivals: Arrivals[Any]) -> None:
    arrivals.refuse_faults(what="this reading cannot be right", place=lambda _: "")
    if arrivals.known:
        fault = FieldFault("id", "known_otherwise", "this id is a reading already; choose another")
        raise Clash(fault.message, code="reading_known_otherwise", faults=[fault])


def _supersede(actor: Actor, wrong: StrutReading | TyreReading) -> None:
    # Compare-and-set: of two people who put the same reading right at once, one is told.
    rows = type(wrong).objects.of(actor.operator_id)
    if not rows.filter(pk=wrong.pk, superseded=False).update(superseded=True):
        raise Clash("this reading has been put right already: correct the newest one")


def _take_back(actor: Actor, now: datetime, wrong: ReadingRow, withdrawal_id: uuid.UUID, reason: str) -> ReadingRow:
    _supersede(actor, wrong)
    values = {field.attname: getattr(wrong, field.attname) for field in wrong._meta.concrete_fields}
    values |= {
        "id": withdrawal_id,
        "received_at": now,
        "corrects_id": wrong.id,
        "correction_reason": reason.strip(),
        "withdrawn": True,
        "superseded": False,
    }
    append_rows(type(wrong), {name: [value] for name, value in values.items()})
    return type(wrong).objects.of(actor.operator_id).get(pk=withdrawal_id)


def _look_again_at_strut(actor: Actor, fleet: KnownFleet, wrong: StrutReading, new_id: uuid.UUID) -> None:
    tell_news(actor.operator_id, strut_ids=[wrong.strut_id])
    aircraft = fleet.legs[wrong.leg_id].aircraft_id
    renew_estimates(actor.operator_id, [aircraft], wrong.taken_at, wrong.taken_at, except_ids=[new_id])


def _note(
    actor: Actor,
    now: datetime,
    action: str,
    wrong: StrutReading | TyreReading,
    new_id: uuid.UUID,
    reason: str,
    as_read: Any,
) -> None:
    record_change(
        actor=actor,
        action=action,
        subject_kind="strut reading" if isinstance(wrong, StrutReading) else "tyre reading",
        subject_id=wrong.id,
        now=now,
        before={"as_read": wrong.as_read},
        after={"as_read": as_read, "reason": reason, "by": str(new_id)},
    )
