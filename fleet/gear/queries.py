"""Reading struts and tyres, and where they are and were."""

import uuid
from collections.abc import Collection
from typing import Any

from django.db.models import Exists, OuterRef, Prefetch

from fleet.gear.kinds import PartKind
from fleet.operators.models import Operator
from fleet.refusals import Missing
from fleet.tenancy import OwnedQuerySet


def parts_matching(operator: Operator, kind: PartKind, filters: dict[str, Any]) -> OwnedQuerySet[Any]:
    """Return the parts that the documented filters keep, each with its present place in ``present``."""
    present = kind.installations(operator).filter(removed_at__isnull=True)
    rows = kind.parts(operator).prefetch_related(
        Prefetch("installations", queryset=present.select_related("leg__aircraft"), to_attr="present")
    )
    if serial_number := filters.get("serial_number"):
        rows = rows.filter(serial_number=serial_number)
    places = {"leg_id": filters.get("leg"), "leg__aircraft_id": filters.get("aircraft")}
    here = present.filter(**{name: value for name, value in places.items() if value})
    installed = filters.get("installed")
    on_leg = Exists(here.filter(**{kind.noun: OuterRef("pk")}))
    if any(places.values()) or installed:
        rows = rows.filter(on_leg)
    elif installed is False:
        rows = rows.filter(~on_leg)
    return rows


def part_with_place(operator: Operator, kind: PartKind, part_id: uuid.UUID) -> Any:
    """Return one part with its present place, or refuse."""
    part = parts_matching(operator, kind, {}).filter(pk=part_id).first()
    if part is None:
        raise Missing(f"no such {kind.noun}")
    return part


def installations_of(operator: Operator, kind: PartKind, part_id: uuid.UUID) -> OwnedQuerySet[Any]:
    """Return where a part was, newest first."""
    kind.part_of(operator, part_id)
    return (
        kind.installations(operator)
        .filter(**{kind.noun: part_id})
        .select_related("leg__aircraft")
        .order_by("-installed_at", "-id")
    )


def installation_of(operator: Operator, kind: PartKind, installation_id: uuid.UUID) -> Any:
    """Return one installation with its leg and aircraft, or refuse."""
    row = kind.installations(operator).filter(pk=installation_id).select_related("leg__aircraft").first()
    if row is None:
        raise Missing("no such installation")
    return row


def present_gear(operator: Operator, kind: PartKind, leg_ids: Collection[uuid.UUID]) -> dict[uuid.UUID, Any]:
    """Return what of a kind is installed now, by leg, each with its part."""
    rows = kind.installations(operator).filter(leg__in=leg_ids, removed_at__isnull=True).select_related(kind.noun)
    return {row.leg_id: row for row in rows}
