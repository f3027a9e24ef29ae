"""Reading looks, with how far each is."""

import uuid
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any

from fleet.operators.local_day import today_at
from fleet.operators.models import Operator
from fleet.refusals import Missing
from fleet.tenancy import OwnedQuerySet
from servicing.reinspection.due import Due, judge_due
from servicing.reinspection.models import PutOff, Reinspection
from servicing.usage.queries import totals

Judged = tuple[Reinspection, Due]


def looks_matching(operator: Operator, filters: Mapping[str, Any], now: datetime) -> OwnedQuerySet[Reinspection]:
    """Return the looks that the documented filters keep, each with its leg and aircraft."""
    rows = Reinspection.objects.of(operator).select_related("leg__aircraft")
    if (is_open := filters.get("open")) is not None:
        rows = rows.filter(done_at__isnull=is_open)
    columns = {
        "aircraft": "leg__aircraft",
        "leg": "leg",
        "strut": "strut",
        "tyre": "tyre",
        "reason": "reason",
        "due_before": "due_on__lt",
    }
    rows = rows.filter(**{column: filters[name] for name, column in columns.items() if filters.get(name)})
    match filters.get("due"):
        case None:
            return rows
        case "done":
            return rows.filter(done_by_reading__isnull=False)
        case "closed":
            return rows.exclude(closed_reason="")
        case state:
            # How far an open look is depends on what its aircraft has flown; open ones are few.
            judged = judge_looks(operator, rows.filter(done_at__isnull=True), now)
            return rows.filter(pk__in=[look.pk for look, due in judged if due.state == state])


def judge_looks(operator: Operator, looks: Iterable[Reinspection], now: datetime) -> list[Judged]:
    """Return each look with how far it is, in two queries whatever their number."""
    rows = list(looks)
    used = totals(operator, {look.leg.aircraft_id for look in rows})
    today = today_at(operator.time_zone, now)
    return [(look, judge_due(look, today, used[look.leg.aircraft_id], operator.time_zone)) for look in rows]


def look_of(operator: Operator, reinspection_id: uuid.UUID) -> Reinspection:
    """Return one look, or refuse."""
    rows = Reinspection.objects.of(operator).select_related("leg__aircraft", "operator")
    look = rows.filter(pk=reinspection_id).first()
    if look is None:
        raise Missing("no such reinspection")
    return look


def put_offs_of(operator: Operator, looks: Sequence[Reinspection]) -> dict[uuid.UUID, list[PutOff]]:
    """Return when each look was put off, oldest first."""
    found: dict[uuid.UUID, list[PutOff]] = {}
    rows = PutOff.objects.of(operator).filter(reinspection__in=[look.pk for look in looks])
    for row in rows.select_related("person").order_by("at", "id"):
        found.setdefault(row.reinspection_id, []).append(row)
    return found
