"""What work and landings ask to be looked at again, derived from their rows alone."""

import uuid
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from django.db.models import Q

from fleet.gear.models import StrutInstallation, TyreInstallation
from fleet.operators.local_day import today_at
from fleet.operators.models import Operator
from servicing.reinspection.models import Reason, Reinspection
from servicing.reinspection.rules import CAUSE_FORGOTTEN_DAYS, REASON_AFTER_WORK, RULES
from servicing.usage.models import Usage
from servicing.usage.queries import hard_landings, totals
from servicing.work.models import Servicing, Work

CauseKey = tuple[uuid.UUID, Reason, uuid.UUID | None]
DERIVED_REASONS = (*{*REASON_AFTER_WORK.values()}, Reason.HARD_LANDING)


@dataclass(frozen=True, slots=True)
class InstalledPart:
    """A strut or tyre and where it is now."""

    leg_id: uuid.UUID
    aircraft_id: uuid.UUID
    strut_id: uuid.UUID | None = None
    tyre_id: uuid.UUID | None = None

    @property
    def part_id(self) -> uuid.UUID:
        """The strut's or tyre's id."""
        return self.strut_id or self.tyre_id  # type: ignore[return-value]  # one of the two is set


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing that happened to an installed part and asks for a look."""

    part: InstalledPart
    reason: Reason
    cause_id: uuid.UUID
    at: datetime
    until: datetime | None = None

    @property
    def key(self) -> CauseKey:
        """By what its look is found again."""
        return self.cause_id, self.reason, self.part.part_id


def installed_parts(
    operator: Operator, strut_ids: Collection[uuid.UUID] | None = None, tyre_ids: Collection[uuid.UUID] | None = None
) -> dict[uuid.UUID, InstalledPart]:
    """Return the given parts that are on an aircraft in service, by id; None means all."""
    struts = StrutInstallation.objects.of(operator)
    tyres = TyreInstallation.objects.of(operator)
    if strut_ids is not None or tyre_ids is not None:
        struts, tyres = struts.filter(strut__in=strut_ids or ()), tyres.filter(tyre__in=tyre_ids or ())
    now_there = Q(removed_at__isnull=True, leg__aircraft__retired_at__isnull=True)
    found = [
        InstalledPart(leg_id, aircraft_id, strut_id=part_id)
        for leg_id, aircraft_id, part_id in struts.filter(now_there).values_list(
            "leg_id", "leg__aircraft_id", "strut_id"
        )
    ]
    found += [
        InstalledPart(leg_id, aircraft_id, tyre_id=part_id)
        for leg_id, aircraft_id, part_id in tyres.filter(now_there).values_list(
            "leg_id", "leg__aircraft_id", "tyre_id"
        )
    ]
    return {part.part_id: part for part in found}


def causes_of(operator: Operator, parts: Mapping[uuid.UUID, InstalledPart], now: datetime) -> list[Cause]:
    """Return what asks for looks, each lasting until the next of its kind: the last dose is what may settle late."""
    since = now - timedelta(days=CAUSE_FORGOTTEN_DAYS)
    found = sorted([*_work(operator, parts, since), *_landings(operator, parts, since)], key=lambda cause: cause.at)
    following: dict[tuple[uuid.UUID, Reason], datetime] = {}
    causes = []
    for cause in reversed(found):
        kind = cause.part.part_id, cause.reason
        causes.append(replace(cause, until=following.get(kind)))
        following[kind] = cause.at
    return causes


def key_of(look: Reinspection) -> CauseKey:
    """Return by what a look is found again."""
    return look.cause_id, Reason(look.reason), look.strut_id or look.tyre_id


def _work(operator: Operator, parts: Mapping[uuid.UUID, InstalledPart], since: datetime) -> Iterable[Cause]:
    rows = (
        Servicing.objects.of(operator)
        .filter(
            Q(strut__in=parts) | Q(tyre__in=parts),
            superseded=False,
            withdrawn=False,
            work__in=REASON_AFTER_WORK,
            done_at__gte=since,
        )
        .order_by("done_at", "id")
    )
    for row_id, strut_id, tyre_id, work, done_at in rows.values_list("id", "strut_id", "tyre_id", "work", "done_at"):
        yield Cause(parts[strut_id or tyre_id], REASON_AFTER_WORK[Work(work)], row_id, done_at)


def _landings(operator: Operator, parts: Mapping[uuid.UUID, InstalledPart], since: datetime) -> Iterable[Cause]:
    struts_on: dict[uuid.UUID, list[InstalledPart]] = {}
    for part in parts.values():
        if part.strut_id:
            struts_on.setdefault(part.aircraft_id, []).append(part)
    for usage_id, aircraft_id, at in hard_landings(operator, list(struts_on), since=since):
        for part in struts_on[aircraft_id]:
            yield Cause(part, Reason.HARD_LANDING, usage_id, at)


def look_for(operator: Operator, cause: Cause) -> Reinspection:
    """Return the look, not yet saved, that the rule for a cause asks for."""
    rule = RULES[cause.reason]
    return Reinspection(
        operator=operator,
        leg_id=cause.part.leg_id,
        strut_id=cause.part.strut_id,
        tyre_id=cause.part.tyre_id,
        reason=cause.reason,
        look_for=rule.look_for,
        opened_at=cause.at,
        counts_from=cause.at + rule.counts_after,
        cause_id=cause.cause_id,
        due_on=today_at(operator.time_zone, cause.at) + timedelta(days=rule.due_after_days),
        due_landings=landings_due(operator, cause),
    )


def landings_due(operator: Operator, cause: Cause) -> int | None:
    """Return the aircraft's landings at which a look is due, from what is logged until now before the cause.

    Usage that is entered late raises both this and the aircraft's total, so it is worked out anew at each review.
    """
    allowed = RULES[cause.reason].due_after_landings
    if allowed is None:
        return None
    aircraft_id = cause.part.aircraft_id
    return totals(operator, [aircraft_id], until=cause.at)[aircraft_id].landings + allowed


def taken_back(operator: Operator, cause_ids: Collection[uuid.UUID]) -> set[uuid.UUID]:
    """Return those causes whose rows have since been corrected or withdrawn."""
    work = Servicing.objects.of(operator).filter(Q(superseded=True) | Q(withdrawn=True), id__in=cause_ids)
    landings = Usage.objects.of(operator).filter(Q(superseded=True) | Q(hard_landing=False), id__in=cause_ids)
    return {*work.values_list("id", flat=True), *landings.values_list("id", flat=True)}
