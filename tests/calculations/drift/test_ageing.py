"""What the calendar alone changes, it changes on the day that was told, and nothing before."""

from dataclasses import replace

import numpy as np
import pytest

from calculations.drift import Assessments, Events, Histories, Seen, assess
from calculations.drift.findings import FINDINGS, Finding
from tests.simulator import Scenario, simulate
from tests.simulator.as_histories import histories_of

DAYS_AHEAD = (0.5, 2.0, 6.0, 13.0, 29.0, 60.0, 119.0, 179.0)


@pytest.fixture(scope="module", params=[0.0, 0.05, 0.2])
def histories(request: pytest.FixtureRequest) -> Histories:
    fleet = simulate(Scenario(struts=300, leak_in_per_month=request.param, months=14.0), seed=8)
    plain = histories_of(fleet)
    series = np.arange(0, 300, 3)
    kinds = np.tile([int(Seen.FLUID_WET), int(Seen.FLUID_LEVEL_OK)], 50)
    days = np.linspace(200.0, 425.0, 100)
    offsets = np.searchsorted(series, np.arange(301))
    return replace(plain, seen=Events(series, days, kinds), seen_offsets=offsets)


def told(found: Assessments) -> list[tuple[int, int]]:
    return list(zip(found.finding.tolist(), found.level.tolist(), strict=True))


def test_nothing_changes_before_the_day_that_was_told(histories: Histories) -> None:
    today = 427.0
    before = assess(histories, now_day=today)

    for ahead in DAYS_AHEAD:
        later = told(assess(histories, now_day=today + ahead))
        still = ~(before.changes_day <= today + ahead)
        changed = [number for number in np.flatnonzero(still) if told(before)[number] != later[number]]
        assert changed == []


def test_what_changes_is_told_beforehand(histories: Histories) -> None:
    today = 427.0
    before, after = assess(histories, now_day=today), assess(histories, now_day=today + 200.0)
    changed = np.array([one != other for one, other in zip(told(before), told(after), strict=True)])

    assert changed.mean() > 0.5
    assert np.isfinite(before.changes_day[changed]).all()
    assert (before.changes_day[np.isfinite(before.changes_day)] > today).all()


def test_settling_ends_on_its_day(histories: Histories) -> None:
    settling = FINDINGS.index(Finding.SETTLING)
    today = 427.0
    found = assess(histories, now_day=today)
    ends = np.where(found.finding == settling, found.changes_day, np.nan)

    for number in np.flatnonzero(np.isfinite(ends)):
        alone = histories.select(np.array([number]))
        assert assess(alone, now_day=ends[number] - 1e-6).finding[0] == settling
