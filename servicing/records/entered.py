"""Gas of a top-up that has an entry of its own, such as one made before a flight between two sittings."""

import uuid
from dataclasses import replace

from fleet.refusals import Refused
from servicing.records.drafting import Source
from servicing.records.models import RecordEntry
from servicing.work.models import Servicing


def not_entered(source: Source) -> Source:
    """Return the source without gas that was entered by itself, or refuse where nothing is left."""
    if source.top_up is None:
        return source
    entries = RecordEntry.objects.of(source.top_up.operator_id).filter(
        top_up__isnull=True, amends__isnull=True, discarded_at__isnull=True, servicing__top_up=source.top_up
    )
    entered = set(entries.values_list("servicing_id", flat=True))
    left = tuple(servicing for servicing in source.servicings if not _versions(servicing) & entered)
    if not left:
        raise Refused("all gas of this top-up has been entered already", code="entered_already")
    return replace(source, servicings=left)


def _versions(servicing: Servicing) -> set[uuid.UUID]:
    """Return the servicing and every row that it put right."""
    found = {servicing.id}
    before = servicing.corrects
    while before is not None:
        found.add(before.id)
        before = before.corrects
    return found
