"""Readings on the upper stop: their length is no evidence of drift, but they are of a strut that stands high."""

import numpy as np
import pytest

from calculations.drift import DISPOSITIONS, FINDINGS, Disposition, Finding, Level, Seen, Work, assess, replay
from tests.calculations.drift.test_assess import DAYS, LOSING, STEADY, found, strut_history

STOP_IN = 8.5
LAST = len(DAYS) - 1


def on_stop(corrected_in: np.ndarray, *at: int) -> np.ndarray:
    lengths = corrected_in.copy()
    lengths[list(at)] = STOP_IN
    return lengths


def stops(*at: int) -> tuple[tuple[float, Seen], ...]:
    return tuple((float(DAYS[one]), Seen.TOPPED_OUT) for one in at)


def test_readings_on_the_stop_leave_rate_and_level_as_if_they_were_not() -> None:
    at = (20, 21, 22)
    without = np.delete(np.arange(len(DAYS)), at)

    result = assess(strut_history(on_stop(STEADY, *at), DAYS, seen=stops(*at)), now_day=300.0)
    plain = assess(strut_history(STEADY[without], DAYS[without]), now_day=300.0)

    assert found(result) is Finding.STEADY
    assert (result.level_in[0], result.loss_in_per_month[0]) == (plain.level_in[0], plain.loss_in_per_month[0])
    assert {DISPOSITIONS[result.disposition[one]] for one in at} == {Disposition.TOPPED_OUT}
    assert (result.readings_set_aside[0], result.readings_used[0]) == (3, len(DAYS) - 3)


def test_a_strut_last_seen_on_its_stop_stands_high_and_has_no_length_to_tell() -> None:
    result = assess(strut_history(on_stop(STEADY, LAST), DAYS, seen=stops(LAST)), now_day=300.0)

    assert (found(result), result.level[0]) == (Finding.STANDING_HIGH, Level.CAUTION)
    assert np.isnan(result.level_in[0])


def test_the_very_first_reading_may_be_on_the_stop() -> None:
    result = assess(strut_history(np.array([STOP_IN]), DAYS[:1], seen=stops(0)), now_day=1.0)

    assert found(result) is Finding.STANDING_HIGH


def test_work_after_it_and_another_reading_end_it() -> None:
    history = on_stop(STEADY, LAST)
    day = float(DAYS[LAST])

    served = strut_history(history, DAYS, seen=stops(LAST), work=((day + 0.5, Work.GAS_RELEASED),))
    assert found(assess(served, now_day=day + 0.6)) is not Finding.STANDING_HIGH

    read = strut_history(on_stop(STEADY, LAST - 1), DAYS, seen=stops(LAST - 1))
    assert found(assess(read, now_day=300.0)) is Finding.STEADY


def test_under_a_light_load_the_stop_may_be_where_it_belongs() -> None:
    corrected = STEADY.copy()
    corrected[LAST] = 4.9  # at the sheet's load it would be shorter
    raw = on_stop(STEADY, LAST)

    result = assess(strut_history(corrected, DAYS, raw_in=raw, seen=stops(LAST)), now_day=300.0)

    assert found(result) is Finding.STEADY


def test_a_loss_that_stands_speaks_first() -> None:
    result = assess(strut_history(on_stop(LOSING, LAST), DAYS, seen=stops(LAST)), now_day=300.0)

    assert found(result) is Finding.LOSING_CHARGE
    assert np.isfinite(result.level_in[0])


@pytest.mark.parametrize("at", [0, 30, LAST])
def test_the_backtest_tells_it_from_that_reading_to_the_next(at: int) -> None:
    told = replay(strut_history(on_stop(STEADY, at), DAYS, seen=stops(at))).others

    assert [FINDINGS[one] for one in told.finding] == [Finding.STANDING_HIGH]
    assert told.opened_day[0] == DAYS[at]
    assert told.closed_day[0] == DAYS[at + 1] if at < LAST else np.isnan(told.closed_day[0])


def test_in_the_backtest_too_a_loss_that_stands_speaks_first() -> None:
    told = replay(strut_history(on_stop(LOSING, LAST), DAYS, seen=stops(LAST)))

    assert np.isnan(told.closed_day[-1])
    assert Finding.STANDING_HIGH not in {FINDINGS[one] for one in told.others.finding}
