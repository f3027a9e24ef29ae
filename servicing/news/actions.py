"""Marking parts for which something new is known."""

import uuid
from collections.abc import Collection

from django.db.models import F

from servicing.news.models import PartNews


def mark_news(
    *, operator_id: uuid.UUID, strut_ids: Collection[uuid.UUID] = (), tyre_ids: Collection[uuid.UUID] = ()
) -> None:
    """Count one arrival for each part, in the transaction of whatever arrived."""
    for name, ids in (("strut_id", set(strut_ids)), ("tyre_id", set(tyre_ids))):
        if not ids:
            continue
        rows = PartNews.objects.of(operator_id).filter(**{f"{name}__in": ids})
        if rows.update(arrived=F("arrived") + 1) < len(ids):
            known = set(rows.values_list(name, flat=True))
            PartNews.objects.bulk_create(
                [PartNews(operator_id=operator_id, **{name: part_id}) for part_id in ids - known],
                ignore_conflicts=True,
            )
            rows.exclude(**{f"{name}__in": known}).update(arrived=F("arrived") + 1)
