"""Bringing the looks of parts in line with their work, landings and readings; may run any number of times."""

import uuid
from collections.abc import Collection, Iterable, Mapping
from datetime import datetime, timedelta
from typing import Any, Final

from django.db import transaction
from django.db.models import F, Q

from fleet.among import among
from fleet.gear.models import Strut, Tyre
from fleet.operators.local_day import today_at
from fleet.operators.models import Operator
from servicing.drift.models import StrutStanding, TyreStanding
from servicing.reinspection.causes import Cause, CauseKey, causes_of, key_of, look_for, taken_back
from servicing.reinspection.closing import ON_NO_AIRCRAFT
from servicing.reinspection.limits import limits_of, use_for
from servicing.reinspection.models import Reason, Reinspection
from servicing.reinspection.parts import InstalledPart, installed_parts
from servicing.reinspection.rules import READING_EXPECTED_DAYS, RULES
from servicing.reinspection.satisfying import ReadingsTaken
from servicing.reinspection.unfinished import review_unfinished
from servicing.usage.queries import LoggedUse

# Looks that a reading did longer ago than this are not judged anew.
SETTLED_FOR_GOOD: Final = timedelta(days=120)
COVERED: Final = "covered by the look after later work"
TAKEN_BACK: Final = "what asked for it was taken back"
# What a person or a newer finding closed stays closed.
JUDGED_ANEW: Final = ("", COVERED, TAKEN_BACK, ON_NO_AIRCRAFT)

Outcome = tuple[datetime | None, uuid.UUID | None, str]


def review_parts(
    *, operator: Operator, now: datetime, strut_ids: Collection[uuid.UUID], tyre_ids: Collection[uuid.UUID] = ()
) -> None:
    """Open, settle and close the looks of some parts."""
    _review(
        operator, now, installed_parts(operator, strut_ids, tyre_ids), Q(strut__in=strut_ids) | Q(tyre__in=tyre_ids)
    )
    review_unfinished(operator=operator, now=now)


def review_operator(*, operator: Operator, now: datetime) -> None:
    """Open, settle and close the looks of every part of an operator, and find the readings that are overdue."""
    parts = installed_parts(operator)
    _review(operator, now, parts, Q())
    review_unfinished(operator=operator, now=now)
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
    causes = {cause.key: cause for cause in causes_of(operator, parts, now)}
    back_again = Q(closed_reason=ON_NO_AIRCRAFT) & (among("strut_id", parts) | among("tyre_id", parts))
    known = list(
        Reinspection.objects.of(operator)
        .filter(
            of_parts,
            Q(done_at__isnull=True) | Q(opened_at__gte=now - SETTLED_FOR_GOOD) | back_again,
            closed_reason__in=JUDGED_ANEW,
        )
        .exclude(reason=Reason.OPEN_TOP_UP)  # no reading finishes a top-up
    )
    asked = _asked_already(operator, causes)
    new = [look_for(operator, cause) for key, cause in causes.items() if key not in asked]
    taken = ReadingsTaken(operator, [*known, *new])
    gone = taken_back(operator, known, parts)
    outcomes = {look.id: _outcome(look, causes.get(key_of(look)), parts, gone, taken, now) for look in (*known, *new)}
    limited = [look for look in known if outcomes[look.id][0] is None and _is_limited(look)]
    use = use_for(operator, [*limited, *new], parts, now)
    for look in known:
        _update(operator, look, outcomes[look.id], parts, use)
    for look in new:
        look.done_at, look.done_by_reading, look.closed_reason = outcomes[look.id]
        look.due_landings, look.due_hours = limits_of(use, look, parts[look.part_id])
    # Work that was followed by more of its kind before anyone looked needs no row of its own.
    Reinspection.objects.bulk_create([look for look in new if not look.closed_reason], ignore_conflicts=True)


def _asked_already(operator: Operator, causes: Iterable[CauseKey]) -> set[CauseKey]:
    # By part, not by leg: a look follows its part to another leg and must not be opened a second time there.
    rows = Reinspection.objects.of(operator).filter(cause_id__in=[cause_id for cause_id, *_ in causes])
    return {key_of(look) for look in rows}


def _outcome(
    look: Reinspection,
    cause: Cause | None,
    parts: dict[uuid.UUID, InstalledPart],
    gone: set[CauseKey],
    taken: ReadingsTaken,
    now: datetime,
) -> Outcome:
    """Return how a look stands by the rows alone, so that the order of their arrival leaves no trace.

    A look done by a reading that was withdrawn since is open again, a reading that arrives late but was taken
    earlier takes the place of a later one, a look covered by work that was withdrawn comes back, and so does one
    whose part was on a shelf.
    """
    until = cause.until if cause else None
    if key_of(look) in gone:
        return _closed(look, TAKEN_BACK, now)
    if first := taken.first_for(look, until):
        return first[0], first[1], ""
    if look.part_id not in parts:
        return _closed(look, ON_NO_AIRCRAFT, now)
    return (until, None, COVERED) if until else (None, None, "")


def _closed(look: Reinspection, reason: str, now: datetime) -> Outcome:
    return look.done_at if look.closed_reason == reason else now, None, reason


def _update(
    operator: Operator,
    look: Reinspection,
    outcome: Outcome,
    parts: Mapping[uuid.UUID, InstalledPart],
    use: LoggedUse,
) -> None:
    values: dict[str, Any] = dict(zip(("done_at", "done_by_reading", "closed_reason"), outcome, strict=True))
    if outcome[0] is None:
        part = parts[look.part_id]
        values["leg_id"] = part.leg_id
        if _is_limited(look):
            values["due_landings"], values["due_hours"] = limits_of(use, look, part)
    if any(getattr(look, name) != value for name, value in values.items()):
        mine = Reinspection.objects.of(operator).filter(pk=look.pk, version=look.version)
        mine.update(**values, version=F("version") + 1)


def _is_limited(look: Reinspection) -> bool:
    # One that was put off is due by its date alone.
    return look.due_landings is not None or look.due_hours is not None


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
