"""Loss in 24 h and stretch of a new tyre: FAA AC 20-97B as care manuals repeat it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calculations.errors import CalculationError
from calculations.tyre_loss import LossVerdict, StretchStage, pressure_loss, stretch_stage

SAME = {"before_temperature_f": 60.0, "after_temperature_f": 60.0}


# AC 20-97B, as care manuals cite it, and NAVEDTRA 14018 ch. 11, read: 5 % in 24 h. A tyre maker's manual, read:
# 2.5 % in 12 h as alternate test; more than 10 % at a daily check (item G of its removal list) takes the tyre off
@pytest.mark.parametrize(
    ("after", "hours", "verdict"),
    [
        (39.9, 24, LossVerdict.WITHIN),  # exactly 5.0 %
        (39.8, 24, LossVerdict.EXCEEDED),  # 5.24 %
        (42 * 0.975, 12, LossVerdict.WITHIN),
        (42 * 0.974, 12, LossVerdict.EXCEEDED),
        (37.8, 24, LossVerdict.EXCEEDED),  # exactly 10 %
        (37.7, 24, LossVerdict.REMOVE),
        (37.7, 6, LossVerdict.REMOVE),
        (42 * 0.96, 6, LossVerdict.EXCEEDED),  # fast, but not yet 10 %
        (40.0, 72, LossVerdict.WITHIN),
        (39.0, 72, LossVerdict.UNDECIDED),
        (35.6, 72, LossVerdict.EXCEEDED),
        (29.0, 72, LossVerdict.REMOVE),
        (43.0, 24, LossVerdict.WITHIN),
    ],
)
def test_loss_in_a_day(after, hours, verdict):
    assert pressure_loss(42.0, after, hours, **SAME).verdict == verdict


def test_printed_losses_are_shares_of_the_earlier_gauge_pressure():
    # computed: 42.0 to 39.9 psi is exactly 5.0 %, to 39.8 psi 5.24 %; a limit of 5 % in 24 h is 2.5 % in 12 h
    found = pressure_loss(42.0, [39.9, 39.8, 42.0], [24, 24, 12], **SAME)
    assert_allclose(found.loss_share[0], 0.05, rtol=1e-12)
    assert_allclose(100 * found.loss_share[1], 5.24, rtol=0, atol=0.005)
    assert_allclose(100 * found.allowed_share, [5.0, 5.0, 2.5], rtol=1e-12)


def test_loss_is_taken_at_one_temperature_and_given_as_rate_of_gas():
    # computed, gas law: 29 psig at 59 degF are 26.725 at 32 degF; half a printed digit of that is 1.8e-5 of 29
    found = pressure_loss(29.0, 26.725, 24, before_temperature_f=59, after_temperature_f=32)
    assert_allclose(found.loss_share, 0.0, atol=1.8e-5)
    assert found.verdict == LossVerdict.WITHIN
    found = pressure_loss(30.0, 29.0, [6, 48], **SAME)
    assert_allclose(found.percent_per_day[1], 100 * np.log((30 + 14.69595) / (29 + 14.69595)) / 2, rtol=1e-6)
    assert found.long_enough.tolist() == [False, True]
    assert_allclose(found.allowed_share, [0.0125, 0.10])


# AC 20-97B as tabulated by a tyre maker: hold 12 h or more, readjust, then a retention test of 24 h or more
def test_a_new_tyre_is_held_readjusted_and_tested():
    nan = float("nan")
    ages = [0, 11.9, 12, 30, 13, 36, 37]
    since = [nan, 1, nan, 20, 1, 23.9, 24]
    names = [StretchStage(int(stage)).name for stage in stretch_stage(ages, since)]
    # the fourth was readjusted after 10 h, before the hold was over: do it again
    assert names == ["STRETCHING"] * 2 + ["READJUST"] * 2 + ["RETENTION_TEST"] * 2 + ["READY"]


@pytest.mark.parametrize(
    ("call", "fields"),
    [
        (lambda: pressure_loss(0, -1, 0, **SAME), {"before_psig", "after_psig", "hours"}),
        (lambda: stretch_stage(-1, -1), {"hours_since_inflation", "hours_since_readjustment"}),
        (lambda: stretch_stage(5, 6), {"hours_since_readjustment"}),
    ],
)
def test_impossible_figures_are_refused(call, fields):
    with pytest.raises(CalculationError) as error:
        call()
    assert {fault.field for fault in error.value.faults} == fields


@given(st.floats(20.0, 60.0), st.floats(10.0, 60.0), st.floats(10.0, 60.0), st.floats(1.0, 200.0))
def test_a_lower_reading_never_has_a_better_verdict(before, one, other, hours):
    low, high = sorted((one, other))
    worse, better = pressure_loss(before, [low, high], hours, **SAME).verdict
    assert worse >= better
