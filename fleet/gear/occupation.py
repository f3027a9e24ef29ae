"""Whether a leg and a part are free for a time."""

from typing import Any

from django.db.models import Q

from fleet.gear.kinds import PartKind
from fleet.refusals import Clash, FieldFault, Refused


def refuse_overlap(kind: PartKind, row: Any) -> None:
    """Refuse an installation whose leg or part is taken at any moment of it; also one that ends before it begins."""
    if row.removed_at is not None and row.removed_at <= row.installed_at:
        message = f"must lie after {row.installed_at.isoformat()}, when it went on"
        raise Refused(message, faults=[FieldFault("removed_at", "before_installation", message)])
    part_id = getattr(row, f"{kind.noun}_id")
    meets = Q(removed_at__isnull=True) | Q(removed_at__gt=row.installed_at)
    if row.removed_at is not None:
        meets &= Q(installed_at__lt=row.removed_at)
    others = (
        kind.installations(row.operator_id)
        .filter(Q(leg_id=row.leg_id) | Q(**{f"{kind.noun}_id": part_id}), meets)
        .exclude(pk=row.pk)
        .select_related("leg__aircraft")
        .order_by("installed_at")
    )
    faults = [_fault(kind, row, other) for other in others[:10]]
    if faults:
        raise Clash(f"the leg or the {kind.noun} is taken at that time", code="overlap", faults=faults)


def _fault(kind: PartKind, row: Any, other: Any) -> FieldFault:
    since = other.installed_at.isoformat()
    until = f"until {other.removed_at.isoformat()}" if other.removed_at else "and still is"
    if other.leg_id == row.leg_id:
        return FieldFault("leg", "leg_taken", f"another {kind.noun} is on this leg since {since} {until}")
    return FieldFault(kind.noun, "part_taken", f"it is on {other.leg} since {since} {until}")
