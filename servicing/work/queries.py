"""Reading what was done to struts and tyres."""

import uuid
from datetime import datetime
from typing import Any

from fleet.operators.models import Operator
from fleet.refusals import Missing
from fleet.tenancy import OwnedQuerySet
from servicing.work.models import Servicing, TopUp


def servicings_matching(operator: Operator, filters: dict[str, Any]) -> OwnedQuerySet[Servicing]:
    """Return the servicings that the documented filters keep."""
    rows = Servicing.objects.of(operator)
    columns = {
        "aircraft": "leg__aircraft_id",
        "leg": "leg_id",
        "strut": "strut_id",
        "tyre": "tyre_id",
        "work": "work",
        "since": "done_at__gte",
        "until": "done_at__lte",
    }
    rows = rows.filter(**{columns[name]: value for name, value in filters.items() if name in columns})
    return rows if filters.get("corrected") else rows.filter(superseded=False, withdrawn=False)


def servicing_of(operator: Operator | uuid.UUID, servicing_id: uuid.UUID) -> Servicing:
    """Return one servicing, or refuse."""
    servicing = Servicing.objects.of(operator).filter(pk=servicing_id).first()
    if servicing is None:
        raise Missing("no such servicing")
    return servicing


def valid_servicings(
    operator: Operator | uuid.UUID,
    *,
    strut_id: uuid.UUID | None = None,
    tyre_id: uuid.UUID | None = None,
    since: datetime | None = None,
) -> OwnedQuerySet[Servicing]:
    """Return what was truly done to one part, oldest first."""
    rows = Servicing.objects.of(operator).filter(superseded=False, withdrawn=False)
    rows = rows.filter(**({"strut_id": strut_id} if strut_id else {"tyre_id": tyre_id}))
    if since is not None:
        rows = rows.filter(done_at__gte=since)
    return rows.order_by("done_at", "id")


def top_ups_matching(operator: Operator, filters: dict[str, Any]) -> OwnedQuerySet[TopUp]:
    """Return the top-ups that the documented filters keep."""
    columns = {"aircraft": "leg__aircraft_id", "leg": "leg_id", "strut": "strut_id"}
    rows = TopUp.objects.of(operator).filter(
        **{columns[name]: value for name, value in filters.items() if name in columns}
    )
    finished = filters.get("finished")
    return rows if finished is None else rows.filter(finished_at__isnull=not finished)
