"""What is known against an aircraft, in words of our own. Advice: it never says that an aircraft is fit to fly."""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Final

from fleet.operators.local_day import today_at
from servicing.alerts.models import Alert
from servicing.alerts.wording import plain_words
from servicing.drift.models import Level
from servicing.reinspection.models import Reason, Reinspection
from servicing.reinspection.queries import Judged
from servicing.reinspection.rules import READING_EXPECTED_DAYS


class Readiness(StrEnum):
    """What the person who hands out the aircraft does next; the later ones outweigh the earlier."""

    NOTHING_KNOWN = "nothing known against it"
    PUT_OFF = "known and put off"
    NO_READINGS = "no current readings"
    LOOK_FIRST = "look first"
    DECIDE = "coordinator must decide"


ORDER: Final = tuple(Readiness)
ADVICE: Final = (
    "Advice from what was read and reported here. It says nothing about anything else on the aircraft; the pilot in "
    "command and maintenance decide, by the aircraft's own manual and local rules."
)
# Beyond a limit by more than this many standard uncertainties it is no longer the reading that may be wrong.
_SURELY: Final = 1.645


@dataclass(frozen=True, slots=True)
class AgainstIt:
    """One reason, and what it asks for."""

    asks: Readiness
    code: str
    position: str
    part: str
    words: str
    since: datetime | date | None = None


@dataclass(frozen=True, slots=True)
class LastStrutReading:
    """The last live reading of a strut, at its sheet's conditions, and whether the assessment set it aside."""

    taken_at: datetime
    corrected_in: float
    uncertainty_in: float
    set_aside: bool


def readiness_of(reasons: list[AgainstIt]) -> Readiness:
    """Return what the weightiest reason asks for."""
    return max((reason.asks for reason in reasons), key=ORDER.index, default=Readiness.NOTHING_KNOWN)


def against_by_alert(alert: Alert, position: str, today: date) -> AgainstIt:
    """Return what an open alert asks for, at the position where its part is now."""
    part = "strut" if alert.strut_id else "tyre"
    words = f"{plain_words(alert.finding)}, {alert.level}"
    asks = Readiness.DECIDE if alert.level == Level.WARNING else Readiness.LOOK_FIRST
    if alert.put_off_until and alert.put_off_until > today and alert.level != Level.WARNING:
        asks, words = Readiness.PUT_OFF, f"{words}; put off until {alert.put_off_until.isoformat()}"
    return AgainstIt(asks, "alert", position, part, words, alert.opened_at)


def against_by_look(judged: Judged) -> AgainstIt | None:
    """Return what a look that is due asks for."""
    look, due = judged
    if not due.now:
        return None
    asks = Readiness.DECIDE if look.reason == Reason.HARD_LANDING else Readiness.LOOK_FIRST
    words = f"reinspection {due.state}: {Reason(look.reason).label}"
    return AgainstIt(asks, "reinspection", look.leg.position, _part(look), words, look.due_on)


def _part(look: Reinspection) -> str:
    return "strut" if look.strut_id else "tyre"


def against_by_strut(position: str, last: LastStrutReading | None, low_in: float, high_in: float) -> list[AgainstIt]:
    """Return what the last reading of a strut asks for: outside the limits, or not there."""
    if last is None:
        return [AgainstIt(Readiness.NO_READINGS, "never_read", position, "strut", "never read")]
    outside = max(low_in - last.corrected_in, last.corrected_in - high_in)
    if outside <= 0:
        return []
    sure = outside > _SURELY * last.uncertainty_in and not last.set_aside
    side = "below the low limit" if last.corrected_in < low_in else "above the high limit"
    asks = Readiness.DECIDE if sure else Readiness.LOOK_FIRST
    words = f"last reading {side} at the sheet's conditions"
    return [AgainstIt(asks, "outside_limits", position, "strut", words, last.taken_at)]


def against_by_age(
    position: str, part: str, last_at: datetime | None, today: date, time_zone: str
) -> list[AgainstIt]:
    """Return that a reading is too old to say anything; a part that is never read is its club's choice."""
    if last_at is None:
        return []
    days = (today - today_at(time_zone, last_at)).days
    if days <= READING_EXPECTED_DAYS:
        return []
    return [AgainstIt(Readiness.NO_READINGS, "stale_reading", position, part, f"last read {days} days ago", last_at)]
