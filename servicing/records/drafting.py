"""A draft entry from what was done: description with figures, data, date, person, parts and total time."""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from fleet.operators.local_day import today_at
from fleet.operators.models import Operator
from fleet.people.models import Person
from fleet.refusals import Missing, Refused
from fleet.tenancy import OwnedQuerySet
from servicing.records.models import RecordEntry
from servicing.records.wording import sentence, weight_words
from servicing.usage.queries import totals
from servicing.work.models import Servicing, TopUp, TopUpStep


@dataclass(frozen=True, slots=True)
class Source:
    """What a draft is made from: servicings of one leg, and the top-up that they belong to."""

    servicings: tuple[Servicing, ...]
    top_up: TopUp | None
    steps: tuple[TopUpStep, ...]


def source_of_servicing(operator: Operator, servicing_id: uuid.UUID) -> Source:
    """Return one servicing to draft from."""
    servicing = _servicings(operator).filter(pk=servicing_id).first()
    if servicing is None:
        raise Missing("no such servicing")
    if servicing.superseded or servicing.withdrawn:
        raise Refused("this servicing was corrected or taken back: draft from the newest row", code="superseded")
    return Source((servicing,), None, ())


def source_of_top_up(operator: Operator, top_up_id: uuid.UUID) -> Source:
    """Return a finished top-up to draft from."""
    top_up = TopUp.objects.of(operator).filter(pk=top_up_id).first()
    if top_up is None:
        raise Missing("no such top-up")
    if top_up.finished_at is None:
        raise Refused("the top-up is not finished: finish it, then draft the entry", code="not_finished")
    servicings = tuple(
        _servicings(operator).filter(top_up=top_up, superseded=False, withdrawn=False).order_by("done_at")
    )
    if not servicings:
        raise Refused("no gas was added or let out: there is nothing to enter", code="nothing_done")
    return Source(servicings, top_up, tuple(top_up.live_steps))


def draft_from(operator: Operator, source: Source, *, by: Person | None, now: datetime) -> RecordEntry:
    """Return the unsaved draft of an entry."""
    last = source.servicings[-1]
    leg = last.leg
    total = totals(operator, [leg.aircraft_id], until=last.done_at)[leg.aircraft_id]
    return RecordEntry(
        operator=operator,
        aircraft_id=leg.aircraft_id,
        leg=leg,
        servicing=last,
        top_up=source.top_up,
        created_at=now,
        created_by=by,
        tasks=list(dict.fromkeys(str(servicing.work) for servicing in source.servicings)),
        description=_description(operator, source),
        data_reference=last.leg.sheet.manual,
        parts=_parts(source.servicings),
        work_completed_on=today_at(operator.time_zone, last.done_at),
        performed_by=last.done_by or (by.name if by else ""),
        approver_name=by.name if by else "",
        certificate_kind=by.certificate_kind if by else "",
        certificate_number=by.certificate_number if by else "",
        # Hours logged here are the aircraft's total only where the total before was brought forward.
        total_time_hours=round(total.hours, 1) if total.brought_forward else None,
        total_landings=total.landings if total.brought_forward else None,
        jurisdiction=operator.jurisdiction,
    )


def _description(operator: Operator, source: Source) -> str:
    sentences = [sentence(servicing, operator.unit_system) for servicing in source.servicings]
    sentences.append(weight_words(source.steps, operator.unit_system))
    sentences.extend(servicing.note for servicing in source.servicings if servicing.note and not servicing.top_up_id)
    return " ".join(text for text in sentences if text)


def _parts(servicings: Sequence[Servicing]) -> str:
    return ", ".join(dict.fromkeys(filter(None, map(_part, servicings))))


def _part(servicing: Servicing) -> str:
    strut, tyre = servicing.strut, servicing.tyre
    number = f"part number {strut.part_number}" if strut and strut.part_number else ""
    serial = strut.serial_number if strut else tyre.serial_number if tyre else ""
    words = [number, f"serial number {serial}" if serial else ""]
    said = ", ".join(filter(None, words))
    return f"{'strut' if strut else 'tyre'}: {said}" if said else ""


def _servicings(operator: Operator) -> OwnedQuerySet[Servicing]:
    return Servicing.objects.of(operator).select_related("leg__aircraft", "leg__sheet", "strut", "tyre", "equipment")
