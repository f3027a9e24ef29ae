"""Reading record entries."""

from typing import Any

from fleet.operators.models import Operator
from fleet.tenancy import OwnedQuerySet
from servicing.records.models import RecordEntry


def entries_matching(operator: Operator, filters: dict[str, Any]) -> OwnedQuerySet[RecordEntry]:
    """Return the entries that the documented filters keep; discarded ones only when asked for."""
    entries = RecordEntry.objects.of(operator).select_related("servicing")
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
