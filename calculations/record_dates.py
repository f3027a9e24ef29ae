"""When inspections fall due and how long records are kept, US rules.

References
----------
.. [1] 14 CFR 91.409, 91.417. The twelve calendar months, the 10 h and the one year are from memory,
       source not seen.
"""

import calendar
from dataclasses import dataclass
from datetime import date
from typing import Final

from calculations.errors import CalculationError, Fault

ANNUAL_MONTHS: Final = 12  # calendar months, 91.409(a)
INSPECTION_INTERVAL_H: Final = 100.0  # [h], 91.409(b)
GREATEST_EXCESS_H: Final = 10.0  # [h], to reach the place of inspection, 91.409(b)
RETENTION_YEARS: Final = 1  # 91.417(b)(1)


@dataclass(frozen=True, slots=True)
class HourlyDue:
    """When the next 100 h inspection is due.

    Parameters
    ----------
    next_due_h : float
        Total time [h].
    excess_h : float
        Hours flown beyond the last due time, which come off the next interval [h].
    excess_allowed : bool
        False beyond 10 h; within 10 h it is allowed only en route to the place of inspection.
    """

    next_due_h: float
    excess_h: float
    excess_allowed: bool


def due_after_calendar_months(done_on: date, months: int = ANNUAL_MONTHS) -> date:
    """Return the last day on which an interval of calendar months still holds.

    Parameters
    ----------
    done_on : date
        When the inspection was done.
    months : int, optional
        Interval.

    Returns
    -------
    date
        Last day of the month that many months later.

    Raises
    ------
    CalculationError
        If the interval is shorter than a month.

    References
    ----------
    .. [1] 14 CFR 91.409(a), from memory, source not seen.

    Examples
    --------
    >>> due_after_calendar_months(date(2026, 3, 14))
    datetime.date(2027, 3, 31)
    """
    if months < 1:
        raise CalculationError([Fault("months", "out_of_range", f"must be 1 or more, is {months}")])
    years, month_index = divmod(done_on.month - 1 + months, 12)
    year, month = done_on.year + years, month_index + 1
    return date(year, month, calendar.monthrange(year, month)[1])


def hundred_hour_due(due_h: float, done_h: float) -> HourlyDue:
    """Return when the next 100 h inspection is due.

    Parameters
    ----------
    due_h : float
        Total time at which the inspection just done was due [h].
    done_h : float
        Total time at which it was done [h].

    Returns
    -------
    HourlyDue
        Done late, the next is counted from when it was due; done early, from when it was done.

    Raises
    ------
    CalculationError
        If a time is negative.

    References
    ----------
    .. [1] 14 CFR 91.409(b); the rule on excess from memory, source not seen.

    Examples
    --------
    >>> hundred_hour_due(1100.0, 1104.0).next_due_h
    1200.0
    """
    times = (("due_h", due_h), ("done_h", done_h))
    faults = [Fault(name, "negative", f"must be 0 or more, is {value:g}") for name, value in times if not value >= 0]
    if faults:
        raise CalculationError(faults)
    excess = max(done_h - due_h, 0.0)
    return HourlyDue(min(due_h, done_h) + INSPECTION_INTERVAL_H, excess, excess <= GREATEST_EXCESS_H)


def retention_met_on(done_on: date, superseded_on: date | None = None) -> date:
    """Return the day from which the rule no longer asks to keep a work record.

    Parameters
    ----------
    done_on : date
        When the work was done.
    superseded_on : date, optional
        When it was repeated or superseded.

    Returns
    -------
    date
        The earlier of that day and one year after the work. This service keeps the record anyway
        and only marks it "retention met". Status records (total time, life limits, directives) are
        never free to go: they move with the aircraft.

    Raises
    ------
    CalculationError
        If the work was superseded before it was done.

    Notes
    -----
    Work of 29 February is kept until 1 March of the next year: a full year and not a day less.

    References
    ----------
    .. [1] 14 CFR 91.417(b); the year from memory, source not seen.

    Examples
    --------
    >>> retention_met_on(date(2026, 3, 14), superseded_on=date(2026, 9, 1))
    datetime.date(2026, 9, 1)
    """
    leap_day = (done_on.month, done_on.day) == (2, 29)
    year_later = (
        date(done_on.year + RETENTION_YEARS, 3, 1)
        if leap_day
        else done_on.replace(year=done_on.year + RETENTION_YEARS)
    )
    if superseded_on is None:
        return year_later
    if superseded_on < done_on:
        message = f"must not be before the work ({done_on}), is {superseded_on}"
        raise CalculationError([Fault("superseded_on", "before_work", message)])
    return min(superseded_on, year_later)
