"""Reading record entries."""

import uuid
from typing import Any

from django.db.models import Exists, OuterRef, Q

from fleet.operators.models import Operator
from fleet.tenancy import OwnedQuerySet
from servicing.records.models import RecordEntry
from servicing.work.models import Servicing


def entries_of(operator: Operator | uuid.UUID) -> OwnedQuerySet[RecordEntry]:
    """Return the operator's entries; each knows whether its work was corrected after it was drafted."""
    corrections = Servicing.objects.of(operator).filter(
        Q(corrects=OuterRef("servicing"), received_at__gte=OuterRef("created_at"))
        | Q(corrects__isnull=False, top_up=OuterRef("top_up"), received_at__gt=OuterRef("created_at"))
    )
    return RecordEntry.objects.of(operator).annotate(corrected_since=Exists(corrections))


def is_corrected_since(entry: RecordEntry) -> bool:
    """Say whether the work of an entry was corrected or taken back after the entry was drafted."""
    if not hasattr(entry, "corrected_since"):  # just written, not read
        entry = entries_of(entry.operator_id).get(pk=entry.pk)
    return bool(entry.corrected_since)  # type: ignore[attr-defined]  # annotated


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
