"""Bringing the looks of parts in line with their work, landings and readings; may run any number of times."""

import uuid
from collections.abc import Collection
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import F, Q

from fleet.gear.models import Strut, Tyre
from fleet.operators.models import Operator
from servicing.drift.models import StrutStanding, TyreStanding
from servicing.reinspection.causes import (
    DERIVED_REASONS,
    Cause,
    InstalledPart,
    installed_parts,
    landings_due,
    latest_causes,
    look_for,
    taken_back,
)
from servicing.reinspection.models import Reason, Reinspection
from servicing.reinspection.rules import READING_EXPECTED_DAYS, RULES, today_at
from servicing.reinspection.satisfying import settle_looks

# Looks that a reading did longer ago than this are not judged anew.
SETTLED_FOR_GOOD = timedelta(days=120)


def review_parts(
    *, operator: Operator, now: datetime, strut_ids: Collection[uuid.UUID], tyre_ids: Collection[uuid.UUID] = ()
) -> None:
    """Open, settle and close the looks of some parts."""
    _review(
        operator, now, installed_parts(operator, strut_ids, tyre_ids), Q(strut__in=strut_ids) | Q(tyre__in=tyre_ids)
    )


def review_operator(*, operator: Operator, now: datetime) -> None:
    """Open, settle and close the looks of every part of an operator, and find the readings that are overdue."""
    parts = installed_parts(operator)
    _review(operator, now, parts, Q())
    _open_overdue(operator, now, parts)


def review_named_parts(
    *, now: datetime, strut_ids: Collection[uuid.UUID], tyre_ids: Collection[uuid.UUID] = ()
) -> None:
    """Open, settle and close the looks of parts named by a task, whosoever they are."""
    struts = dict(Strut.objects.across_operators().filter(pk__in=strut_ids).values_list("id", "operator_id"))
    tyres = dict(Tyre.objects.across_operators().filter(pk__in=tyre_ids).values_list("id", "operator_id"))
    for operator in Operator.objects.filter(pk__in={*struts.values(), *tyres.values()}).order_by("id"):
        review_parts(
            operator=operator,
            now=now,
            strut_ids=[part_id for part_id, owner in struts.items() if owner == operator.id],
            tyre_ids=[part_id for part_id, owner in tyres.items() if owner == operator.id],
        )


def review_all(*, now: datetime) -> None:
    """Open, settle and close the looks of every operator."""
    for operator in Operator.objects.order_by("id"):
        review_operator(operator=operator, now=now)


@transaction.atomic
def _review(operator: Operator, now: datetime, parts: dict[uuid.UUID, InstalledPart], of_parts: Q) -> None:
    causes = latest_causes(operator, parts, now)
    Reinspection.objects.bulk_create(
        [look_for(operator, cause) for cause in _not_yet_looked_for(operator, causes)], ignore_conflicts=True
    )
    live = list(
        Reinspection.objects.of(operator).filter(
            of_parts, Q(done_at__isnull=True) | Q(opened_at__gte=now - SETTLED_FOR_GOOD), closed_reason=""
        )
    )
    closed = _close_needless(operator, now, [look for look in live if look.done_at is None], parts, causes)
    settle_looks(operator, [look for look in live if look.pk not in closed])


def _not_yet_looked_for(operator: Operator, causes: list[Cause]) -> list[Cause]:
    # By part, not by leg: a look follows its part to another leg and must not be opened a second time there.
    rows = Reinspection.objects.of(operator).filter(cause_id__in=[cause.cause_id for cause in causes])
    known = {(row.cause_id, row.reason, row.strut_id or row.tyre_id) for row in rows}
    return [cause for cause in causes if (cause.cause_id, cause.reason, cause.part.part_id) not in known]


def _close_needless(
    operator: Operator,
    now: datetime,
    looks: list[Reinspection],
    parts: dict[uuid.UUID, InstalledPart],
    causes: list[Cause],
) -> set[uuid.UUID]:
    latest = {(cause.part.part_id, cause.reason): cause for cause in causes}
    gone = taken_back(operator, [look.cause_id for look in looks if look.reason in DERIVED_REASONS])
    closed = set()
    for look in looks:
        part_id = look.strut_id or look.tyre_id
        cause = latest.get((part_id, Reason(look.reason))) if part_id else None
        if part_id and part_id not in parts:
            why = "the part is on no aircraft in service"
        elif look.cause_id in gone:
            why = "what asked for it was taken back"
        elif cause and cause.cause_id != look.cause_id:
            why = "covered by the look after later work"
        else:
            _move_with_part(operator, look, parts, cause)
            continue
        close_look(operator=operator, look=look, now=now, reason=why)
        closed.add(look.pk)
    return closed


def _move_with_part(
    operator: Operator, look: Reinspection, parts: dict[uuid.UUID, InstalledPart], cause: Cause | None
) -> None:
    part = parts.get(look.strut_id or look.tyre_id or look.leg_id)
    leg_id = part.leg_id if part else look.leg_id
    # One that was put off is due by its date alone.
    by_landings = look.due_landings is not None
    due_landings = landings_due(operator, cause) if cause and by_landings else look.due_landings
    if (leg_id, due_landings) != (look.leg_id, look.due_landings):
        look.version += (
            Reinspection.objects.of(operator)
            .filter(pk=look.pk, version=look.version)
            .update(leg_id=leg_id, due_landings=due_landings, version=F("version") + 1)
        )


def close_look(*, operator: Operator, look: Reinspection, now: datetime, reason: str) -> bool:
    """Close an open look for a reason other than a reading; say whether it was still open."""
    return bool(
        Reinspection.objects.of(operator)
        .filter(pk=look.pk, done_at__isnull=True)
        .update(done_at=now, closed_reason=reason, version=F("version") + 1)
    )


def _open_overdue(operator: Operator, now: datetime, parts: dict[uuid.UUID, InstalledPart]) -> None:
    # A part that was never read is not overdue: its club has not begun, and dispatch says so.
    before = Q(last_reading_at__lt=now - timedelta(days=READING_EXPECTED_DAYS))
    struts = StrutStanding.objects.of(operator).filter(before).values_list("strut_id", "last_reading_at")
    tyres = TyreStanding.objects.of(operator).filter(before).values_list("tyre_id", "last_reading_at")
    rule = RULES[Reason.OVERDUE]
    Reinspection.objects.bulk_create(
        [
            Reinspection(
                operator=operator,
                leg_id=parts[part_id].leg_id,
                strut_id=parts[part_id].strut_id,
                tyre_id=parts[part_id].tyre_id,
                reason=Reason.OVERDUE,
                look_for=rule.look_for,
                opened_at=now,
                # Any newer reading will do, also one that was taken before today and arrives late.
                counts_from=last_reading_at + timedelta(seconds=1),
                cause_id=uuid.uuid5(part_id, last_reading_at.isoformat()),
                due_on=today_at(operator.time_zone, now),
            )
            for part_id, last_reading_at in [*struts, *tyres]
            if part_id in parts and last_reading_at is not None
        ],
        ignore_conflicts=True,
    )
