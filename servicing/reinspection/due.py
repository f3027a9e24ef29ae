"""Whether a look is due: by date, landings or hours, whichever is first. A pure rule."""

from dataclasses import dataclass
from datetime import date
from typing import Final

from fleet.operators.local_day import today_at
from servicing.reinspection.models import Reinspection
from servicing.usage.queries import Totals

SOON_DAYS: Final = 7
SOON_LANDINGS: Final = 2
SOON_HOURS: Final = 2.0
DUE_STATES: Final = ("waiting", "soon", "due", "overdue", "done", "closed")


@dataclass(frozen=True, slots=True)
class Due:
    """How far a look is, and what is left."""

    state: str
    days_left: int
    landings_left: int | None
    hours_left: float | None

    @property
    def now(self) -> bool:
        """Whether someone must look now."""
        return self.state in ("due", "overdue")


def judge_due(look: Reinspection, today: date, used: Totals, time_zone: str) -> Due:
    """Return how far a look is on a day of the operator's own, with what its aircraft has flown until then."""
    days = (look.due_on - today).days
    landings = None if look.due_landings is None else look.due_landings - used.landings
    hours = None if look.due_hours is None else look.due_hours - used.hours
    can_count = today_at(time_zone, look.counts_from) <= today
    return Due(_state(look, can_count, days, landings, hours), days, landings, hours)


def _state(look: Reinspection, can_count: bool, days: int, landings: int | None, hours: float | None) -> str:
    if look.done_at is not None:
        return "done" if look.done_by_reading else "closed"
    if days < 0:
        return "overdue"
    flown_out = (landings is not None and landings <= 0) or (hours is not None and hours <= 0)
    # Before it can count, a reading would not do the look: flying alone does not make it due.
    if days == 0 or (flown_out and can_count):
        return "due"
    nearly = (landings is not None and landings <= SOON_LANDINGS) or (hours is not None and hours <= SOON_HOURS)
    return "soon" if nearly or days <= SOON_DAYS else "waiting"
