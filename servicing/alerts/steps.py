"""How a change of finding moves an alert; a pure rule, apart from everything that follows from it."""

from datetime import timedelta
from typing import Final

from servicing.alerts.models import AlertStep
from servicing.drift.models import Level

_RANK: Final = {level: rank for rank, level in enumerate(Level.values)}

MAILED: Final = frozenset({AlertStep.OPENED, AlertStep.RAISED, AlertStep.CHANGED, AlertStep.CLOSED})
SEEN_ANEW: Final = frozenset({AlertStep.RAISED, AlertStep.CHANGED})
# A finding that is back at its level within so long hangs on a bound: it was told, and is no news.
BACK_WITHIN: Final = timedelta(days=30)


def next_step(before: tuple[str, str] | None, finding: str, level: str) -> AlertStep | None:
    """Return what happens to an alert that stood at ``before`` (finding, level), or that is not open (None).

    >>> next_step(None, "losing gas", "caution")
    AlertStep.OPENED
    >>> next_step(("losing gas", "caution"), "steady", "none")
    AlertStep.CLOSED
    >>> next_step(None, "steady", "none") is None
    True
    """
    if before is None:
        return None if level == Level.NONE else AlertStep.OPENED
    if level == Level.NONE:
        return AlertStep.CLOSED
    if _RANK[level] != _RANK[before[1]]:
        return AlertStep.RAISED if _RANK[level] > _RANK[before[1]] else AlertStep.LOWERED
    return AlertStep.CHANGED if finding != before[0] else None
