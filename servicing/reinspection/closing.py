"""The end of a look that no reading did."""

from datetime import datetime
from typing import Final

from django.db.models import F, Q

from fleet.operators.models import Operator
from servicing.reinspection.models import Reinspection

ON_NO_AIRCRAFT: Final = "the part is on no aircraft in service"
# A look that rests with its part on a shelf is asked again once the part is installed, unless it has ended meanwhile.
STILL_ASKED: Final = Q(done_at__isnull=True) | Q(closed_reason=ON_NO_AIRCRAFT)


def close_look(*, operator: Operator, look: Reinspection, now: datetime, reason: str) -> bool:
    """Close a look that is still asked for, for a reason other than a reading; say whether it was."""
    return bool(
        Reinspection.objects.of(operator)
        .filter(STILL_ASKED, pk=look.pk)
        .update(done_at=now, closed_reason=reason, version=F("version") + 1)
    )
