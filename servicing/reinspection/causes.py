"""What work and landings ask to be looked at again, derived from their rows alone."""

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from django.db.models import Q

from fleet.operators.local_day import today_at
from fleet.operators.models import Operator
from servicing.reinspection.models import Reason, Reinspection
from servicing.reinspection.parts import InstalledPart
from servicing.reinspection.rules import CAUSE_FORGOTTEN_DAYS, REASON_AFTER_WORK, RULES
from servicing.usage.models import Usage
from servicing.usage.queries import hard_landings
from servicing.work.models import Servicing, Work

CauseKey = tuple[uuid.UUID, Reason, uuid.UUID]
DERIVED_REASONS = (*{*REASON_AFTER_WORK.values()}, Reason.HARD_LANDING)


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing that happened to a part, wherever it was then, and asks for a look at it where it is now."""

    part: InstalledPart
    reason: Reason
    cause_id: uuid.UUID
    at: datetime
    until: datetime | None = None

    @property
    def key(self) -> CauseKey:
        """By what its look is found again."""
        return self.cause_id, self.reason, self.part.part_id


def causes_of(operator: Operator, parts: Mapping[uuid.UUID, InstalledPart], now: datetime) -> list[Cause]:
    """Return what asks for looks, each lasting until the next of its kind: the last dose is what may settle late."""
    remembered = {part_id: part.in_service_from(now, CAUSE_FORGOTTEN_DAYS) for part_id, part in parts.items()}
    since = min(remembered.values(), default=now)
    happened = [*_work(operator, parts, since), *_landings(operator, parts, since)]
    found = sorted(
        (cause for cause in happened if cause.at >= remembered[cause.part.part_id]), key=lambda cause: cause.at
    )
    following: dict[tuple[uuid.UUID, Reason], datetime] = {}
    causes = []
    for cause in reversed(found):
        kind = cause.part.part_id, cause.reason
        causes.append(replace(cause, until=following.get(kind)))
        following[kind] = cause.at
    return causes


def key_of(look: Reinspection) -> CauseKey:
    """Return by what a look is found again."""
    return look.cause_id, Reason(look.reason), look.part_id


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
    struts = [part for part in parts.values() if part.strut_id]
    flown = {stretch.aircraft_id for strut in struts for stretch in strut.stretches}
    for usage_id, aircraft_id, at in hard_landings(operator, flown, since=since):
        for strut in struts:
            if strut.was_on(aircraft_id, at):
                yield Cause(strut, Reason.HARD_LANDING, usage_id, at)


def look_for(operator: Operator, cause: Cause) -> Reinspection:
    """Return the look, not yet saved and without limits, that the rule for a cause asks for."""
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
    )


def taken_back(
    operator: Operator, looks: Iterable[Reinspection], parts: Mapping[uuid.UUID, InstalledPart]
) -> set[CauseKey]:
    """Return the looks whose work or landing was since corrected or withdrawn, or was not their part's after all."""
    derived = {key_of(look) for look in looks if look.reason in DERIVED_REASONS}
    ids = {cause_id for cause_id, *_ in derived}
    work = Servicing.objects.of(operator).filter(Q(superseded=True) | Q(withdrawn=True), id__in=ids)
    landings = Usage.objects.of(operator).filter(superseded=False, hard_landing=True, id__in=ids)
    undone = set(work.values_list("id", flat=True))
    landed = {
        usage_id: (aircraft_id, at)
        for usage_id, aircraft_id, at in landings.values_list("id", "aircraft_id", "ended_at")
    }

    def is_gone(key: CauseKey) -> bool:
        cause_id, reason, part_id = key
        if reason != Reason.HARD_LANDING:
            return cause_id in undone
        part = parts.get(part_id)
        return cause_id not in landed or (part is not None and not part.was_on(*landed[cause_id]))

    return {key for key in derived if is_gone(key)}
