"""The level of a loss where no steady leak is: what was lost at once, and last readings that are not on the line."""

from dataclasses import replace

import numpy as np
import pytest

from calculations.drift import Assessments, assess
from calculations.drift.model import STRUT_MODEL
from tests.calculations.drift.test_assess import DAYS, LOSING, STRUT, strut_history


def lost_at_once(drop_in: float, readings: int, resting: bool = False, own_slope: float = 0.0) -> Assessments:
    """Assess a strut that dropped so many readings ago; the last two are read 40 degF above the sheet's."""
    rng, day = np.random.default_rng(7), 5.0 * np.arange(60 + readings)
    warmth = rng.normal(0.0, 20.0, len(day))
    warmth[-2:] = 40.0
    value = 4.5 + rng.normal(0.0, 0.08, len(day)) + own_slope * warmth - drop_in * (np.arange(len(day)) >= 60)
    exercised = np.ones(len(day), bool)
    exercised[-2:] = not resting
    plain = strut_history(value, day, exercised=exercised)
    return assess(replace(plain, readings=replace(plain.readings, temperature_offset_f=warmth)), now_day=day[-1])


@pytest.mark.parametrize("drop_in", [0.75, 1.0, 2.0])
@pytest.mark.parametrize("readings", [3, 5, 8, 40])
def test_it_is_found_and_its_level_held(drop_in: float, readings: int) -> None:
    """No leak of the bank is as fast, and a steady one does not leave it there."""
    result = lost_at_once(drop_in, readings)

    assert result.losing[0]
    assert result.service_now[0]
    assert result.level_low_in[0] <= 4.5 - drop_in <= result.level_high_in[0]


def test_an_old_one_leaves_the_level_where_the_last_two_readings_are() -> None:
    """At the sheet's temperature, by what the strut has shown of its own; two readings at .08 in are known to .1."""
    plain, warm = lost_at_once(1.0, 40), lost_at_once(1.0, 40, own_slope=0.003)

    assert plain.level_in[0] == pytest.approx(3.5, abs=0.1)
    assert warm.level_in[0] == pytest.approx(plain.level_in[0], abs=0.06)


@pytest.mark.parametrize("resting", [False, True])
def test_its_level_is_as_wide_as_such_a_reading_of_this_strut_is(resting: bool) -> None:
    """Upwards, where the line is not: reader, ruler, thermometer, scales, friction, by the noise factor learned."""
    result = lost_at_once(1.0, 40, resting=resting)

    friction = STRUT_MODEL.friction_resting_sd if resting else STRUT_MODEL.friction_exercised_sd
    thermal, loading = STRUT.temperature_slope_in_per_f[0] * 4.0, STRUT.load_slope_in_per_lbf[0] * 8.0
    variance = STRUT_MODEL.reader_sd**2 + 0.125**2 / 12.0 + thermal**2 + loading**2 + friction**2
    factor = result.noise_factor_resting[0] if resting else result.noise_factor_exercised[0]
    half = result.level_high_in[0] - result.level_in[0]
    assert half == pytest.approx(1.645 * np.sqrt(variance * factor), rel=1e-3)


def test_a_loss_that_speeds_up_leaves_the_level_at_the_last_reading() -> None:
    faster = LOSING - np.r_[np.zeros(len(DAYS) - 2), 0.6, 1.8]

    result = assess(strut_history(faster, DAYS), now_day=296.0)

    assert result.losing[0]
    assert result.level_in[0] == pytest.approx(faster[-1], abs=0.05)


def test_a_misread_last_reading_says_nothing() -> None:
    losing = strut_history(LOSING, DAYS)
    misread_last = strut_history(np.append(LOSING, LOSING[-1] + 2.0), np.append(DAYS, DAYS[-1] + 1.0))

    before, after = (assess(histories, now_day=310.0) for histories in (losing, misread_last))

    assert after.suspect_last_reading[0]
    assert after.level_high_in[0] == pytest.approx(before.level_high_in[0], abs=0.05)


def test_one_reading_off_the_line_widens_the_level_and_not_the_line() -> None:
    off = LOSING.copy()
    off[-1] += 0.3

    before, after = (assess(strut_history(value, DAYS), now_day=296.0) for value in (LOSING, off))

    assert after.level_in[0] == pytest.approx(before.level_in[0], abs=0.05)
    assert after.level_high_in[0] > before.level_high_in[0] + 0.2
    assert after.fitted_sd_in[-1] == pytest.approx(before.fitted_sd_in[-1], rel=0.2)


@pytest.mark.parametrize("drop_in", [0.35, 0.4])
def test_the_day_of_breach_goes_by_the_level_that_is_told(drop_in: float) -> None:
    """As many months ahead as the level is above the limit, by the rate."""
    result = lost_at_once(drop_in, 15)

    months = (result.level_in[0] - STRUT.low_limit_in[0]) / result.loss_in_per_month[0]
    assert result.breach_day[0] - 5.0 * 74 == pytest.approx(30.44 * months, rel=0.15)


@pytest.mark.parametrize("drop_in", [0.5, 1.0, 2.0])
def test_the_line_is_drawn_through_the_readings_all_the_same(drop_in: float) -> None:
    result = lost_at_once(drop_in, 40)

    value = np.r_[np.full(60, 4.5), np.full(40, 4.5 - drop_in)]
    since = 5.0 * np.arange(100) >= result.onset_day[0]
    assert np.mean((result.fitted_in - value)[since]) == pytest.approx(0.0, abs=0.12)


def test_a_loss_of_two_inches_a_month_is_told_no_narrower_than_it_is_known() -> None:
    """Every tenth day, six readings since it began: what it may have lost meanwhile depends on when that was."""
    held = []
    for seed in range(60):
        rng, day = np.random.default_rng(seed), 10.0 * np.arange(46)
        value = 7.0 - 2.0 * np.maximum(day - day[39], 0.0) / 30.44 + rng.normal(0.0, 0.09, 46)
        result = assess(strut_history(value, day), now_day=day[-1])
        held.append(result.loss_low[0] <= 2.0 <= result.loss_high[0])

    assert np.mean(held) > 0.6
