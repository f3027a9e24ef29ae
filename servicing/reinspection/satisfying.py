"""Which reading does a look: the earliest one that counts for it, in whatever order readings arrive."""

import uuid
from collections.abc import Iterable, Sequence
from datetime import datetime

from django.db.models import F

from fleet.operators.models import Operator
from servicing.readings.models import StrutReading, TyreReading
from servicing.reinspection.models import Reinspection

Taken = tuple[datetime, uuid.UUID]


def settle_looks(operator: Operator, looks: Sequence[Reinspection]) -> int:
    """Write into each look the reading that does it now; return how many changed.

    A look done by a reading that was withdrawn since is open again, and a reading that arrives late but was taken
    earlier takes the place of a later one: the state is a function of the rows, not of their arrival.
    """
    taken = {
        **_taken_by_part(operator, StrutReading, "strut_id", [look for look in looks if look.strut_id]),
        **_taken_by_part(operator, TyreReading, "tyre_id", [look for look in looks if look.tyre_id]),
    }
    changed = 0
    for look in looks:
        readings = taken.get(look.strut_id or look.tyre_id, ())
        done_at, reading_id = next((row for row in readings if row[0] >= look.counts_from), (None, None))
        if (done_at, reading_id) != (look.done_at, look.done_by_reading):
            changed += (
                Reinspection.objects.of(operator)
                .filter(pk=look.pk, version=look.version, closed_reason="")
                .update(done_at=done_at, done_by_reading=reading_id, version=F("version") + 1)
            )
    return changed


def _taken_by_part(
    operator: Operator, model: type[StrutReading] | type[TyreReading], part: str, looks: Iterable[Reinspection]
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
        )
        .order_by("taken_at", "id")
    )
    taken: dict[uuid.UUID | None, list[Taken]] = {}
    for part_id, taken_at, reading_id in rows.values_list(part, "taken_at", "id"):
        taken.setdefault(part_id, []).append((taken_at, reading_id))
    return taken
