"""At which totals of its present aircraft a look is due by use."""

import uuid
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Final, NamedTuple

from fleet.operators.models import Operator
from servicing.reinspection.models import Reason, Reinspection
from servicing.reinspection.parts import InstalledPart
from servicing.reinspection.rules import RULES
from servicing.usage.queries import LoggedUse, stretches_after

HOURS_DIGITS: Final = 3  # finer than anyone logs; the sums of floats in another order must not look like a change


class Limits(NamedTuple):
    """Landings and hours: what a part may do before a look, or what its aircraft then has in all."""

    landings: int | None = None
    hours: float | None = None


def use_for(
    operator: Operator, looks: Iterable[Reinspection], parts: Mapping[uuid.UUID, InstalledPart], now: datetime
) -> LoggedUse:
    """Fetch what the limits of some looks, each at a part that is on an aircraft, rest on."""
    opened = [(look.opened_at, parts[look.part_id].stretches) for look in looks]
    aircraft_ids = {stretch.aircraft_id for at, stretches in opened for stretch in stretches_after(stretches, at)}
    return LoggedUse(operator, aircraft_ids, min((at for at, _ in opened), default=now))


def limits_of(use: LoggedUse, look: Reinspection, part: InstalledPart) -> Limits:
    """Return the totals of the part's present aircraft at which a look is due, from what is logged until now.

    What the part did since the look was opened is its own, on whatever aircraft. Use that is entered late raises both
    this and the aircraft's total, and a part may move, so it is worked out anew at each review.
    """
    since = stretches_after(part.stretches, look.opened_at)
    if look.reason == Reason.REQUESTED and len(since) == 1:
        return Limits(look.asked_landings, look.asked_hours)
    allowed = _allowed(use, look, since[0].aircraft_id)
    if allowed == Limits():
        return allowed
    in_all, own = use.in_all(part.aircraft_id), use.within(since)
    return Limits(
        None if allowed.landings is None else max(0, in_all.landings + allowed.landings - own.landings),
        None if allowed.hours is None else max(0.0, round(in_all.hours + allowed.hours - own.hours, HOURS_DIGITS)),
    )


def _allowed(use: LoggedUse, look: Reinspection, aircraft_id: uuid.UUID) -> Limits:
    """Return what the part may do before the look; a person named a total of the aircraft that it was on then."""
    if look.reason != Reason.REQUESTED:
        rule = RULES.get(Reason(look.reason))
        return Limits(rule.due_after_landings, rule.due_after_hours) if rule else Limits()
    in_all, later = use.in_all(aircraft_id), use.after(aircraft_id, look.opened_at)
    return Limits(
        None if look.asked_landings is None else look.asked_landings - (in_all.landings - later.landings),
        None if look.asked_hours is None else look.asked_hours - (in_all.hours - later.hours),
    )
