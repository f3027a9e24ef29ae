"""Due by date, landings or hours, whichever is first."""

from datetime import date, datetime, timedelta

import pytest

from fleet.operators.local_day import today_at
from servicing.reinspection.due import judge_due
from servicing.reinspection.models import Reinspection
from servicing.reinspection.rules import due_after_finding
from servicing.usage.queries import Totals
from tests.builders.fleet import NOW

TODAY = date(2026, 3, 2)


def a_look(**values: object) -> Reinspection:
    return Reinspection(**{"counts_from": NOW, "due_on": TODAY + timedelta(days=30), **values})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("look", "used", "state"),
    [
        (a_look(), Totals(), "waiting"),
        (a_look(due_on=TODAY + timedelta(days=8)), Totals(), "waiting"),
        (a_look(due_on=TODAY + timedelta(days=7)), Totals(), "soon"),
        (a_look(due_on=TODAY), Totals(), "due"),
        (a_look(due_on=TODAY - timedelta(days=1)), Totals(), "overdue"),
        (a_look(due_landings=10), Totals(landings=7), "waiting"),
        (a_look(due_landings=10), Totals(landings=8), "soon"),
        (a_look(due_landings=10), Totals(landings=10), "due"),
        (a_look(due_hours=100.0), Totals(hours=97.9), "waiting"),
        (a_look(due_hours=100.0), Totals(hours=98.0), "soon"),
        (a_look(due_hours=100.0), Totals(hours=100.5), "due"),
        (a_look(due_landings=10, counts_from=NOW + timedelta(days=3)), Totals(landings=12), "soon"),
        (a_look(done_at=NOW, closed_reason="not needed"), Totals(), "closed"),
    ],
)
def test_the_first_of_date_landings_and_hours_decides(look: Reinspection, used: Totals, state: str) -> None:
    assert state == judge_due(look, TODAY, used, "UTC").state


@pytest.mark.parametrize(
    ("time_zone", "counts_from", "state"),
    [
        # In the evening of the 2nd over there, though UTC has the 3rd already.
        ("America/Denver", "2026-03-03T03:00:00Z", "due"),
        ("America/Denver", "2026-03-03T08:00:00Z", "soon"),
        # The 3rd over there, though UTC has the 2nd still.
        ("Pacific/Auckland", "2026-03-02T12:00:00Z", "soon"),
        ("Pacific/Auckland", "2026-03-02T10:00:00Z", "due"),
    ],
)
def test_a_look_counts_from_the_operator_s_own_day(time_zone: str, counts_from: str, state: str) -> None:
    look = a_look(due_landings=10, counts_from=datetime.fromisoformat(counts_from))

    assert state == judge_due(look, TODAY, Totals(landings=12), time_zone).state


@pytest.mark.parametrize(
    ("level", "breach_on", "days"),
    [
        ("warning", None, 0),
        ("caution", None, 7),
        ("caution", TODAY + timedelta(days=6), 3),
        ("caution", TODAY - timedelta(days=2), 0),
        ("caution", TODAY + timedelta(days=90), 7),
        ("advisory", None, 30),
    ],
)
def test_a_finding_is_looked_at_as_soon_as_its_level_asks(level: str, breach_on: date | None, days: int) -> None:
    assert TODAY + timedelta(days=days) == due_after_finding(level, TODAY, breach_on=breach_on, notice_days=30)


def test_today_is_the_operator_s_day() -> None:
    late = NOW.replace(hour=23)
    assert date(2026, 3, 3) == today_at("Pacific/Auckland", late)
    assert date(2026, 3, 2) == today_at("UTC", late)
