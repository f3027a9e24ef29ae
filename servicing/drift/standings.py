"""Writing standings and changes of finding, only where nothing newer was written meanwhile."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import F

from fleet.among import among
from servicing.drift.conclude import Row
from servicing.drift.models import FindingChange, Level, StrutStanding, TyreStanding
from servicing.drift.places import Place
from servicing.news.actions import mark_news
from servicing.news.models import PartNews
from servicing.nudge import nudge
from servicing.readings.bulk import append_rows, replace_rows

Stood = tuple[str, str]  # finding and level


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
    # Asked after the lock: a join in the same query would tell how parts stood before another worker's write.
    before = {
        part_id: (finding, level)
        for part_id, finding, level in model.objects.of(operator_id)
        .filter(among(part, fresh))
        .values_list(part, "finding", "level")
    }
    pairs = [(place, row) for place, row in zip(places, rows, strict=True) if place.part_id in fresh]
    changed = [(place, row) for place, row in pairs if _differs(before.get(place.part_id), row)]
    if pairs:
        replace_rows(
            model,
            {
                "id": [uuid.uuid4() for _ in pairs],
                part: [place.part_id for place, _ in pairs],
                **{name: [row[name] for _, row in pairs] for name in pairs[0][1]},
            },
            {"operator_id": operator_id, "assessed_at": now},
            unique=part,
        )
    if changed:
        _append_changes(operator_id, part, changed, before, now)
        nudge("handle_waiting_changes")
    _mark_assessed(operator_id, part, {part_id: seen[part_id] for part_id in fresh})
    return len(changed)


def _not_overtaken(operator_id: uuid.UUID, part: str, seen: Mapping[uuid.UUID, int]) -> set[uuid.UUID]:
    # The lock matters on PostgreSQL only; on SQLite the transaction itself holds the one writer's place.
    rows = (
        PartNews.objects.of(operator_id)
        .filter(among(part, seen))
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
        PartNews.objects.of(operator_id).filter(among(part, part_ids)).update(assessed=count)


def _differs(before: Stood | None, row: Row) -> bool:
    if before is None:
        return bool(row["level"] != Level.NONE)
    return before != (row["finding"], row["level"])


def _append_changes(
    operator_id: uuid.UUID,
    part: str,
    changed: Sequence[tuple[Place, Row]],
    before: Mapping[uuid.UUID, Stood],
    now: datetime,
) -> None:
    stood = [before.get(place.part_id, ("too_few_readings", Level.NONE)) for place, _ in changed]
    append_rows(
        FindingChange,
        {
            "id": [uuid.uuid4() for _ in changed],
            part: [place.part_id for place, _ in changed],
            "leg_id": [place.leg.id for place, _ in changed],
            "finding_before": [finding for finding, _ in stood],
            "level_before": [level for _, level in stood],
            "finding": [row["finding"] for _, row in changed],
            "level": [row["level"] for _, row in changed],
            "evidence": [
                {name: _plain(value) for name, value in row.items() if name not in {"finding", "level"}}
                for _, row in changed
            ],
        },
        {"operator_id": operator_id, "at": now},
    )


def _plain(value: Any) -> Any:
    return value.isoformat() if hasattr(value, "isoformat") else value


def waiting_news(operator_id: uuid.UUID) -> tuple[dict[uuid.UUID, int], dict[uuid.UUID, int]]:
    """Return how much has arrived for each strut and for each tyre of which not all is assessed."""
    rows = PartNews.objects.of(operator_id).filter(arrived__gt=F("assessed")).order_by("id")
    struts, tyres = {}, {}
    for strut_id, tyre_id, arrived in rows.values_list("strut_id", "tyre_id", "arrived"):
        if strut_id:
            struts[strut_id] = arrived
        else:
            tyres[tyre_id] = arrived
    return struts, tyres


def queue_aged_standings(operator_id: uuid.UUID, *, now: datetime) -> None:
    """Queue parts whose finding or level the calendar alone may have changed."""
    for part, model in (("strut_id", StrutStanding), ("tyre_id", TyreStanding)):
        rows = model.objects.of(operator_id).filter(changes_on__lte=now.date())
        mark_news(operator_id=operator_id, **{f"{part}s": list(rows.values_list(part, flat=True))})
