"""Legs whose readings must be joined to their parts and corrected anew.

The fleet cannot call servicing, so it leaves a mark on the leg. Who works it off calls `outdated_legs`, and for
each of them, in one transaction, first `take_outdated_leg` and then the work: a change that comes in
meanwhile sets the mark again, and nothing is missed.
"""

import uuid
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from fleet.aircraft.models import Leg


@dataclass(frozen=True, slots=True)
class OutdatedLeg:
    """A leg, and when its readings became outdated."""

    operator_id: uuid.UUID
    leg_id: uuid.UUID
    since: datetime


def mark_readings_outdated(*, operator_id: uuid.UUID, leg_ids: Collection[uuid.UUID], now: datetime) -> None:
    """Say that gear, sheet or home of these legs changed, in the transaction of the change."""
    if leg_ids:
        Leg.objects.of(operator_id).filter(pk__in=leg_ids).update(readings_outdated_at=now)


def outdated_legs(limit: int = 1000) -> list[OutdatedLeg]:
    """Return marked legs of every operator, the longest waiting first."""
    rows = (
        Leg.objects.across_operators()
        .filter(readings_outdated_at__isnull=False)
        .order_by("readings_outdated_at")
        .values_list("operator_id", "pk", "readings_outdated_at")[:limit]
    )
    return [OutdatedLeg(operator_id, leg_id, since) for operator_id, leg_id, since in rows if since]


def take_outdated_leg(leg: OutdatedLeg) -> bool:
    """Remove the mark if it is still the one that was seen; False when another worker was first."""
    rows = Leg.objects.of(leg.operator_id).filter(pk=leg.leg_id, readings_outdated_at=leg.since)
    return bool(rows.update(readings_outdated_at=None))
