"""Reading readings."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from typing import Any, TypeVar

from django.db.models import Q

from fleet.operators.models import Operator
from fleet.refusals import Missing
from fleet.tenancy import OwnedQuerySet
from servicing.readings.models import StrutReading, TyreReading
from servicing.readings.naming import as_id

Row = TypeVar("Row", StrutReading, TyreReading)

_COLUMNS = {
    "leg": "leg_id",
    "strut": "strut_id",
    "tyre": "tyre_id",
    "since": "taken_at__gte",
    "until": "taken_at__lte",
}


def readings_matching(model: type[Row], operator: Operator, filters: Mapping[str, Any]) -> OwnedQuerySet[Row]:
    """Return the readings that the documented filters keep, with leg, aircraft and sheet."""
    rows = model.objects.of(operator).select_related("leg__aircraft", "leg__sheet")
    rows = rows.filter(**{_COLUMNS[name]: value for name, value in filters.items() if name in _COLUMNS})
    if aircraft := filters.get("aircraft"):
        plane = as_id(aircraft)
        rows = rows.filter(Q(leg__aircraft_id=plane) if plane else Q(leg__aircraft__registration__iexact=aircraft))
    return rows if filters.get("corrected") else rows.filter(superseded=False, withdrawn=False)


def reading_of(model: type[Row], operator: Operator, reading_id: uuid.UUID) -> Row:
    """Return one reading with leg, aircraft and sheet, or refuse."""
    return readings_of(model, operator, [reading_id])[0]


def readings_of(model: type[Row], operator: Operator, reading_ids: Sequence[uuid.UUID]) -> list[Row]:
    """Return readings in the order of their ids, or refuse where one is missing."""
    rows = model.objects.of(operator).select_related("leg__aircraft", "leg__sheet", "gauge").in_bulk(set(reading_ids))
    if any(one not in rows for one in reading_ids):
        raise Missing("no such reading")
    return [rows[one] for one in reading_ids]
