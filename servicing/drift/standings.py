"""Writing standings and changes of finding, only where nothing newer was written meanwhile."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any, Final

from django.db import connection, transaction
from django.db.models import F

from calculations.drift import LOSSES, Finding
from servicing.drift.conclude import Row
from servicing.drift.models import FindingChange, Level, StrutStanding, TyreStanding
from servicing.drift.places import Place
from servicing.news.actions import mark_news
from servicing.news.models import PartNews
from servicing.nudge import nudge

Standing = StrutStanding | TyreStanding
_AGEING: Final = (*(finding.value for finding in LOSSES), Finding.SETTLING.value)
_FRESH: Final = timedelta(hours=12)


@transaction.atomic
def write_standings(
    operator_id: uuid.UUID,
    model: type[StrutStanding] | type[TyreStanding],
    places: Sequence[Place],
    rows: Sequence[Row],
    seen: Mapping[uuid.UUID, int],
    *,
    now: datetime,
) -> int:
    """Store the standings whose news was read at ``seen``; return how many findings changed."""
    part = "strut_id" if model is StrutStanding else "tyre_id"
    fresh = _not_overtaken(operator_id, part, seen)
    old = {
        getattr(row, part): row
        for row in model.objects.of(operator_id).filter(**{f"{part}__in": list(fresh)}).only(part, "finding", "level")
    }
    pairs = [(place, row) for place, row in zip(places, rows, strict=True) if place.part_id in fresh]
    columns = ["assessed_at", *(pairs[0][1] if pairs else ())]
    standings: list[Any] = [
        model(operator_id=operator_id, assessed_at=now, **{part: place.part_id}, **row) for place, row in pairs
    ]
    model.objects.bulk_create(
        standings,
        update_conflicts=True,
        unique_fields=[part.removesuffix("_id")],
        update_fields=columns,
        batch_size=None if connection.vendor == "postgresql" else 500,
    )
    changes = [
        _change(operator_id, part, place, row, old.get(place.part_id), now)
        for place, row in pairs
        if _differs(old.get(place.part_id), row)
    ]
    FindingChange.objects.bulk_create(changes)
    _mark_assessed(operator_id, part, {part_id: seen[part_id] for part_id in fresh})
    if changes:
        nudge("handle_waiting_changes")
    return len(changes)


def _not_overtaken(operator_id: uuid.UUID, part: str, seen: Mapping[uuid.UUID, int]) -> set[uuid.UUID]:
    # The lock matters on PostgreSQL only; on SQLite the transaction itself holds the one writer's place.
    rows = (
        PartNews.objects.of(operator_id)
        .filter(**{f"{part}__in": list(seen)})
        .order_by("id")
        .select_for_update()
        .values_list(part, "assessed")
    )
    return {part_id for part_id, assessed in rows if assessed <= seen[part_id]}


def _mark_assessed(operator_id: uuid.UUID, part: str, seen: Mapping[uuid.UUID, int]) -> None:
    by_count: dict[int, list[uuid.UUID]] = {}
    for part_id, count in seen.items():
        by_count.setdefault(count, []).append(part_id)
    for count, part_ids in by_count.items():
        PartNews.objects.of(operator_id).filter(**{f"{part}__in": part_ids}).update(assessed=count)


def _differs(old: Standing | None, row: Row) -> bool:
    if old is None:
        return bool(row["level"] != Level.NONE)
    return (old.finding, old.level) != (row["finding"], row["level"])


def _change(
    operator_id: uuid.UUID, part: str, place: Place, row: Row, old: Standing | None, now: datetime
) -> FindingChange:
    reference: dict[str, Any] = {part: place.part_id}
    return FindingChange(
        operator_id=operator_id,
        leg_id=place.leg.id,
        at=now,
        finding_before=old.finding if old else "too_few_readings",
        finding=row["finding"],
        level_before=old.level if old else Level.NONE,
        level=row["level"],
        evidence={key: _plain(value) for key, value in row.items() if key not in {"finding", "level"}},
        **reference,
    )


def _plain(value: Any) -> Any:
    return value.isoformat() if hasattr(value, "isoformat") else value


def waiting_parts(part: str, operator_id: uuid.UUID) -> list[uuid.UUID]:
    """Return the operator's struts or tyres (``strut_id`` or ``tyre_id``) with news not yet assessed."""
    rows = PartNews.objects.of(operator_id).filter(arrived__gt=F("assessed"), **{f"{part}__isnull": False})
    return list(rows.order_by("id").values_list(part, flat=True))


def queue_aged_standings(operator_id: uuid.UUID, *, now: datetime) -> None:
    """Queue parts whose finding the calendar alone can change: losses nearing a date, settling, asked-for looks."""
    for part, model in (("strut_id", StrutStanding), ("tyre_id", TyreStanding)):
        rows = model.objects.of(operator_id).filter(finding__in=_AGEING, assessed_at__lt=now - _FRESH)
        mark_news(operator_id=operator_id, **{f"{part}s": list(rows.values_list(part, flat=True))})
