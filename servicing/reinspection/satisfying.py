"""Which reading does a look: the earliest one that counts for it, in whatever order readings arrive."""

import uuid
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any

from fleet.operators.models import Operator
from servicing.readings.models import StrutReading, TyreReading
from servicing.reinspection.models import Reinspection

Taken = tuple[datetime, uuid.UUID]


class ReadingsTaken:
    """The live readings that may do some looks, fetched together."""

    def __init__(self, operator: Operator, looks: Sequence[Reinspection]) -> None:
        self._by_part = {
            **_taken_by_part(operator, StrutReading, "strut_id", [look for look in looks if look.strut_id]),
            # A tyre read hot is still to be read cold.
            **_taken_by_part(operator, TyreReading, "tyre_id", [look for look in looks if look.tyre_id], hot=False),
        }

    def first_for(self, look: Reinspection, until: datetime | None) -> Taken | None:
        """Return when and by which reading a look is done; one taken at ``until`` or after comes too late for it."""
        readings = self._by_part.get(look.part_id, ())
        first = next((row for row in readings if row[0] >= look.counts_from), None)
        return first if first and (until is None or first[0] < until) else None


def _taken_by_part(
    operator: Operator,
    model: type[StrutReading] | type[TyreReading],
    part: str,
    looks: Iterable[Reinspection],
    **counting: Any,
) -> dict[uuid.UUID | None, list[Taken]]:
    waiting = list(looks)
    if not waiting:
        return {}
    rows = (
        model.objects.of(operator)
        .filter(
            **{f"{part}__in": {getattr(look, part) for look in waiting}},
            taken_at__gte=min(look.counts_from for look in waiting),
            superseded=False,
            withdrawn=False,
            **counting,
        )
        .order_by("taken_at", "id")
    )
    taken: dict[uuid.UUID | None, list[Taken]] = {}
    for part_id, taken_at, reading_id in rows.values_list(part, "taken_at", "id"):
        taken.setdefault(part_id, []).append((taken_at, reading_id))
    return taken
