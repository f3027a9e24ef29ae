"""Reading record entries."""

import uuid
from typing import Any

from django.db.models import Exists, OuterRef, Prefetch, Q

from fleet.operators.models import Operator
from fleet.tenancy import OwnedQuerySet
from servicing.records.models import RecordEntry
from servicing.work.models import Servicing


def entries_of(operator: Operator | uuid.UUID) -> OwnedQuerySet[RecordEntry]:
    """Return the operator's entries; each knows what amends it, and whether its work was corrected since."""
    corrections = Servicing.objects.of(operator).filter(
        Q(corrects=OuterRef("servicing"), received_at__gte=OuterRef("created_at"))
        | Q(corrects__isnull=False, top_up=OuterRef("top_up"), received_at__gt=OuterRef("created_at"))
    )
    amendments = Prefetch("amendments", _completed(operator), to_attr="completed_amendments")
    return RecordEntry.objects.of(operator).annotate(corrected_since=Exists(corrections)).prefetch_related(amendments)


def is_corrected_since(entry: RecordEntry) -> bool:
    """Say whether the work of an entry was corrected or taken back after the entry was drafted."""
    if not hasattr(entry, "corrected_since"):  # just written, not read
        entry = entries_of(entry.operator_id).get(pk=entry.pk)
    return bool(entry.corrected_since)  # type: ignore[attr-defined]  # annotated


def amendments_of(entry: RecordEntry) -> list[RecordEntry]:
    """Return the completed entries that amend one, oldest first."""
    if not hasattr(entry, "completed_amendments"):  # just written, not read
        return list(_completed(entry.operator_id).filter(amends=entry))
    return list(entry.completed_amendments)


def _completed(operator: Operator | uuid.UUID) -> OwnedQuerySet[RecordEntry]:
    return RecordEntry.objects.of(operator).filter(completed_at__isnull=False).order_by("number")


def entries_matching(operator: Operator, filters: dict[str, Any]) -> OwnedQuerySet[RecordEntry]:
    """Return the entries that the documented filters keep; discarded ones only when asked for."""
    entries = entries_of(operator)
    if aircraft := filters.get("aircraft"):
        entries = entries.filter(aircraft_id=aircraft)
    match filters.get("state"):
        case "completed":
            return entries.filter(completed_at__isnull=False)
        case "draft":
            return entries.filter(completed_at__isnull=True, discarded_at__isnull=True)
        case "discarded":
            return entries.filter(discarded_at__isnull=False)
    return entries.filter(discarded_at__isnull=True)
