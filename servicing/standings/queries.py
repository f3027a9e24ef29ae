"""Reading how parts stand, each with its place and the limits that hold there."""

import uuid
from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Exists, OuterRef

from fleet.gear.kinds import STRUT, TYRE, PartKind
from fleet.operators.models import Operator
from fleet.refusals import Missing
from fleet.tenancy import OwnedQuerySet
from servicing.drift.models import FindingChange, StrutStanding, TyreStanding
from servicing.readings.models import StrutReading, TyreReading
from servicing.work.models import Servicing

_STANDINGS: Mapping[PartKind, Any] = {STRUT: StrutStanding, TYRE: TyreStanding}
_READINGS: Mapping[PartKind, Any] = {STRUT: StrutReading, TYRE: TyreReading}


def standings_matching(operator: Operator, kind: PartKind, filters: Mapping[str, Any]) -> OwnedQuerySet[Any]:
    """Return the standings that the documented filters keep, each with its part."""
    rows: OwnedQuerySet[Any] = _STANDINGS[kind].objects.of(operator).select_related(kind.noun)
    rows = rows.filter(**{name: filters[name] for name in ("finding", "level") if filters.get(name)})
    present = kind.installations(operator).filter(removed_at__isnull=True, leg__aircraft__retired_at__isnull=True)
    places = {"leg": filters.get("leg"), "leg__aircraft": filters.get("aircraft")}
    here = present.filter(**{name: value for name, value in places.items() if value})
    if any(places.values()) or filters.get("installed", True):
        rows = rows.filter(Exists(here.filter(**{kind.noun: OuterRef(f"{kind.noun}_id")})))
    return rows


def places_of(operator: Operator, kind: PartKind, part_ids: Iterable[uuid.UUID]) -> dict[uuid.UUID, Any]:
    """Return the present installation of each part, with leg, aircraft and sheet."""
    rows = kind.installations(operator).filter(**{f"{kind.noun}__in": list(part_ids)}, removed_at__isnull=True)
    return {getattr(row, f"{kind.noun}_id"): row for row in rows.select_related("leg__aircraft", "leg__sheet")}


def standing_of(operator: Operator, kind: PartKind, part_id: uuid.UUID) -> Any:
    """Return how one part stands; an unread part has a standing that says so."""
    part = kind.part_of(operator, part_id)
    row = _STANDINGS[kind].objects.of(operator).filter(**{kind.noun: part_id}).select_related(kind.noun).first()
    return row or _STANDINGS[kind](operator=operator, **{kind.noun: part})


def readings_of(operator: Operator, kind: PartKind, part_id: uuid.UUID, *, now: datetime, days: int) -> Any:
    """Return one part's live readings of the last days, oldest first."""
    kind.part_of(operator, part_id)
    rows = _READINGS[kind].objects.of(operator).filter(**{kind.noun: part_id}, superseded=False, withdrawn=False)
    return rows.filter(taken_at__gte=now - timedelta(days=days)).order_by("taken_at", "id")


def work_of(operator: Operator, kind: PartKind, part_id: uuid.UUID, *, now: datetime, days: int) -> Any:
    """Return one part's servicings of the last days, oldest first."""
    rows = Servicing.objects.of(operator).filter(**{kind.noun: part_id}, superseded=False, withdrawn=False)
    return rows.filter(done_at__gte=now - timedelta(days=days)).order_by("done_at", "id")


def changes_of(operator: Operator, kind: PartKind, part_id: uuid.UUID, *, now: datetime, days: int) -> Any:
    """Return one part's changes of finding of the last days, oldest first."""
    rows = FindingChange.objects.of(operator).filter(**{kind.noun: part_id})
    return rows.filter(at__gte=now - timedelta(days=days)).order_by("at", "id")


def stays_of(operator: Operator, kind: PartKind, part_id: uuid.UUID) -> Any:
    """Return where one part was, oldest first."""
    rows = kind.installations(operator).filter(**{kind.noun: part_id}).select_related("leg__aircraft")
    return rows.order_by("installed_at", "id")


def require_trend(trend: Any) -> Any:
    """Return a trend that is there, or refuse."""
    if trend is None:
        raise Missing("no trend: this part was never on a leg, or its sheet has no figure to compare with")
    return trend
