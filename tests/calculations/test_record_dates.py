"""Calendar months, 100 h and retention: 14 CFR 91.409 and 91.417."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculations.errors import CalculationError
from calculations.record_dates import due_after_calendar_months, hundred_hour_due, retention_met_on


# 14 CFR 91.409(a), twelve calendar months, from memory
@pytest.mark.parametrize(
    ("done", "months", "due"),
    [
        (date(2026, 3, 14), 12, date(2027, 3, 31)),
        (date(2023, 2, 1), 12, date(2024, 2, 29)),
        (date(2026, 12, 31), 1, date(2027, 1, 31)),
        (date(2026, 8, 31), 24, date(2028, 8, 31)),
    ],
)
def test_calendar_months_run_to_the_end_of_the_month(done, months, due):
    assert due_after_calendar_months(done, months) == due


def test_an_interval_shorter_than_a_month_is_refused():
    with pytest.raises(CalculationError, match="1 or more"):
        due_after_calendar_months(date(2026, 3, 14), 0)


# 14 CFR 91.409(b); excess rule from memory
@pytest.mark.parametrize(
    ("due", "done", "next_due", "excess", "allowed"),
    [
        (1100.0, 1104.0, 1200.0, 4.0, True),
        (1100.0, 1110.0, 1200.0, 10.0, True),
        (1100.0, 1111.0, 1200.0, 11.0, False),
        (1100.0, 1095.0, 1195.0, 0.0, True),
    ],
)
def test_hours_over_come_off_the_next_hundred(due, done, next_due, excess, allowed):
    found = hundred_hour_due(due, done)
    assert (found.next_due_h, found.excess_h, found.excess_allowed) == (next_due, excess, allowed)


def test_negative_hours_are_refused_together():
    with pytest.raises(CalculationError) as error:
        hundred_hour_due(-1.0, float("nan"))
    assert [fault.field for fault in error.value.faults] == ["due_h", "done_h"]


# 14 CFR 91.417(b)(1); the year from memory
@pytest.mark.parametrize(
    ("done", "superseded", "met"),
    [
        (date(2026, 3, 14), None, date(2027, 3, 14)),
        (date(2026, 3, 14), date(2026, 9, 1), date(2026, 9, 1)),
        (date(2026, 3, 14), date(2028, 9, 1), date(2027, 3, 14)),
        (date(2024, 2, 29), None, date(2025, 3, 1)),
    ],
)
def test_retention_is_met_when_superseded_or_after_a_year(done, superseded, met):
    assert retention_met_on(done, superseded) == met


def test_work_cannot_be_superseded_before_it_was_done():
    with pytest.raises(CalculationError, match="must not be before"):
        retention_met_on(date(2026, 3, 14), date(2026, 3, 13))


@given(st.dates(date(1990, 1, 1), date(2080, 1, 1)), st.integers(1, 60))
def test_the_due_day_ends_a_month(done, months):
    due = due_after_calendar_months(done, months)
    assert (due + timedelta(days=1)).day == 1
    assert (due.year - done.year) * 12 + due.month - done.month == months
