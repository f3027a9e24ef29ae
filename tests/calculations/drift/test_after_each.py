"""The one-sweep replay of findings against as many assessments of cut-off histories as there are readings."""

from dataclasses import replace

import numpy as np
import pytest

from calculations.drift import FINDINGS, LOSSES, Finding, Histories, Settings, assess, replay
from calculations.drift.after_each import findings_after_each
from calculations.drift.assess import alerts_after_each
from calculations.drift.findings import Level, told_level
from calculations.drift.model import STRUT_MODEL
from calculations.drift.replay import cut_off
from calculations.drift.sweep import sweep
from tests.simulator import Scenario, simulate
from tests.simulator.as_histories import histories_of

ONE_KIND = {**dict.fromkeys(LOSSES, Finding.LOSING_CHARGE), Finding.TEMPERATURE_ONLY: Finding.STEADY}


@pytest.fixture(scope="module")
def troubled() -> Histories:
    """Return struts with every trouble: sticky, blundered, standing off target, serviced, one left half unread."""
    scenario = Scenario(struts=14, sticky_share=0.4, blunder_share=0.05, routine_services_per_year=2.0, gap_share=0.3)
    histories = histories_of(simulate(scenario, seed=7711))
    off = np.array([0.7, -0.7, 0.45, -0.45, *[0.0] * 10])[histories.readings.series]
    readings = replace(histories.readings, corrected_in=histories.readings.corrected_in + off)
    return replace(histories, readings=readings)


def test_it_finds_what_assessments_after_every_reading_find(troubled: Histories) -> None:
    settings = Settings()
    swept = sweep(troubled, STRUT_MODEL, settings.habits)
    _, losing = alerts_after_each(swept, settings, STRUT_MODEL)
    series, day = troubled.readings.series[swept.prepared.row], swept.prepared.day

    at_once = findings_after_each(troubled, swept, losing, settings.habits, STRUT_MODEL)
    one_by_one = assess(cut_off(troubled, series, day), now_day=day).finding

    expected = [ONE_KIND.get(FINDINGS[index], FINDINGS[index]) for index in one_by_one]
    assert [FINDINGS[index] for index in at_once] == expected
    assert {Finding.STICKY, Finding.STANDING_HIGH, Finding.STANDING_LOW, Finding.SUSPECT_READING} <= set(expected)


def test_episodes_follow_each_other_and_leave_out_what_nobody_is_told(troubled: Histories) -> None:
    replayed = replay(troubled)
    others = replayed.others

    assert np.all(told_level(others.finding) > Level.NONE)
    assert not np.isin(others.finding, [FINDINGS.index(loss) for loss in LOSSES]).any()
    order = np.lexsort([others.opened_day, others.series])
    np.testing.assert_array_equal(order, np.arange(len(order)))
    same = others.series[1:] == others.series[:-1]
    assert np.all(others.closed_day[:-1][same] <= others.opened_day[1:][same])
    last = np.array([troubled.readings.day[end - 1] for end in troubled.offsets[1:]])
    standing = np.isnan(others.closed_day)
    assert np.all(np.bincount(others.series[standing], minlength=troubled.count) <= 1)
    assert np.all(others.opened_day <= last[others.series])


def test_a_strut_judged_by_one_sheet_and_then_another_is_told_what_each_tells(
    troubled: Histories,
) -> None:
    twice = troubled.select(np.repeat(np.arange(troubled.count), 2))
    middle = np.array([np.median(troubled.readings.day[slice(*troubled.offsets[n : n + 2])]) for n in range(14)])
    since = np.column_stack([np.full(14, -np.inf), middle]).ravel()
    once = replay(troubled).others
    wide = np.where(np.isneginf(since), 0.0, 3.0)
    struts = replace(
        twice.struts, low_limit_in=twice.struts.low_limit_in - wide, high_limit_in=twice.struts.high_limit_in + wide
    )

    alike = replay(twice, since_day=since).others
    widened = replay(replace(twice, struts=struts), since_day=since).others

    np.testing.assert_array_equal(alike.series // 2, once.series)
    np.testing.assert_array_equal(alike.series % 2, once.opened_day >= middle[once.series])
    for column in ("opened_day", "closed_day", "finding"):
        np.testing.assert_array_equal(getattr(alike, column), getattr(once, column))
    beyond = [FINDINGS.index(Finding.STANDING_LOW), FINDINGS.index(Finding.STANDING_HIGH)]
    told = np.isin(widened.finding, beyond)
    assert told.any()
    assert np.all(widened.series[told] % 2 == 0)
    assert np.isfinite(widened.closed_day[told]).all()
