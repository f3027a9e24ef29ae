"""Which look follows which cause: when a reading counts for it, and when it is due."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from servicing.drift.models import Level
from servicing.reinspection.models import Reason
from servicing.work.models import Work


@dataclass(frozen=True, slots=True)
class Rule:
    """One look: due when days, landings or hours are over, whichever is first, but never before it can count."""

    look_for: str
    counts_after: timedelta
    due_after_days: int
    due_after_landings: int | None = None
    due_after_hours: float | None = None


# Where no source is named, the figures are this service's choice from common practice.
RULES: Final[Mapping[Reason, Rule]] = {
    # A strut that stuck while it was filled finds its place over the next flights and days; days 3 to 7.
    # Hours: ASSUMED, common practice, no source.
    Reason.AFTER_TOP_UP: Rule(
        "Extension after the next flights, strut exercised first: too long now means friction had hidden gas.",
        timedelta(days=3),
        due_after_days=7,
        due_after_landings=2,
        due_after_hours=5.0,
    ),
    # In the air the strut hangs at full length, cold: long flights with few landings try new seals as well.
    # Hours: ASSUMED, common practice, no source.
    Reason.NEW_SEALS: Rule(
        "Extension and a dry tube: new seals bed in, and fresh fluid takes up gas so that the strut settles down.",
        timedelta(days=1),
        due_after_days=7,
        due_after_landings=5,
        due_after_hours=10.0,
    ),
    # 12 h hold after the first inflation before it is adjusted: tyre care manuals citing AC 20-97B.
    Reason.NEW_TYRE: Rule(
        "Pressure, cold: a new tyre stretches in its first 12 to 24 hours and loses pressure by that alone.",
        timedelta(hours=12),
        due_after_days=1,
    ),
    Reason.HARD_LANDING: Rule(
        "Before the next flight: the manual's hard-landing check; extension, fluid at the seal, tyre and wheel.",
        timedelta(0),
        due_after_days=0,
    ),
    Reason.SUSPECT: Rule(
        "Read again, strut exercised, with temperature and fuel on board: the last reading does not fit the others.",
        timedelta(0),
        due_after_days=1,
    ),
    Reason.OPEN_TOP_UP: Rule(
        "Exercise and read the strut, then go on with the top-up or finish it: it was left between two doses.",
        timedelta(0),
        due_after_days=3,
    ),
    Reason.OVERDUE: Rule(
        "A reading: the last one is too long ago to say anything about this leg.",
        timedelta(0),
        due_after_days=0,
    ),
}

REASON_AFTER_WORK: Final[Mapping[Work, Reason]] = {
    Work.GAS_ADDED: Reason.AFTER_TOP_UP,
    Work.GAS_RELEASED: Reason.AFTER_TOP_UP,
    Work.FLUID_ADDED: Reason.AFTER_TOP_UP,
    Work.FLUID_CHANGED: Reason.AFTER_TOP_UP,
    Work.VALVE_CORE: Reason.AFTER_TOP_UP,
    Work.SEALS: Reason.NEW_SEALS,
    Work.OVERHAULED: Reason.NEW_SEALS,
    Work.TYRE_CHANGED: Reason.NEW_TYRE,
}

# A leg without any reading for this long is worth a look of its own.
READING_EXPECTED_DAYS: Final = 30
# Work and landings longer ago than this no longer ask for a look: late settling is over, and the
# nightly assessment has seen the readings since.
CAUSE_FORGOTTEN_DAYS: Final = 60
# A caution without a date of breach is looked at within this.
CAUTION_DAYS: Final = 7


def due_after_finding(level: str, today: date, *, breach_on: date | None, notice_days: int) -> date:
    """Return the day by which a finding of ``level`` must be looked at.

    A warning waits for nothing. A caution waits half of the time that the forecast leaves, at most a week; an
    advisory until the next routine reading, which is the operator's notice away.
    """
    if level == Level.WARNING:
        return today
    if level == Level.CAUTION:
        left = (breach_on - today).days // 2 if breach_on else CAUTION_DAYS
        return today + timedelta(days=max(0, min(left, CAUTION_DAYS, notice_days)))
    return today + timedelta(days=notice_days)
