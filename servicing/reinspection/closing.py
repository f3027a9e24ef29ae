"""The end of a look that no reading did."""

from datetime import datetime

from django.db.models import F

from fleet.operators.models import Operator
from servicing.reinspection.models import Reinspection


def close_look(*, operator: Operator, look: Reinspection, now: datetime, reason: str) -> bool:
    """Close an open look for a reason other than a reading; say whether it was still open."""
    return bool(
        Reinspection.objects.of(operator)
        .filter(pk=look.pk, done_at__isnull=True)
        .update(done_at=now, closed_reason=reason, version=F("version") + 1)
    )
