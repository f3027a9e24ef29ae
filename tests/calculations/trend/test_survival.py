"""Kaplan-Meier against two textbook tables."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from statsmodels.duration.survfunc import SurvfuncRight

from calculations.errors import CalculationError
from calculations.trend.survival import kaplan_meier

# Freireich et al., Blood 21 (1963) 699, 6-MP arm, weeks of remission
EVENTS = [6, 6, 6, 7, 10, 13, 16, 22, 23]
CENSORED = [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35]
WEEKS = EVENTS + CENSORED
FAILED = [True] * len(EVENTS) + [False] * len(CENSORED)


def test_freireich_table():
    curve = kaplan_meier(WEEKS, FAILED)
    assert curve.times.tolist() == [6, 7, 10, 13, 16, 22, 23]
    assert curve.at_risk.tolist() == [21, 17, 15, 12, 11, 7, 6]
    assert curve.events.tolist() == [3, 1, 1, 1, 1, 1, 1]
    assert_allclose(curve.survival, [0.8571, 0.8067, 0.7529, 0.6902, 0.6275, 0.5378, 0.4482], rtol=0, atol=0.5e-4)
    assert_allclose(
        curve.standard_error, [0.0764, 0.0869, 0.0963, 0.1068, 0.1141, 0.1282, 0.1346], rtol=0, atol=0.5e-4
    )
    assert curve.median == 23
    assert_allclose([curve.low[0], curve.high[0]], [0.6197, 0.9516], rtol=0, atol=0.5e-4)
    assert_allclose([curve.low[-1], curve.high[-1]], [0.1881, 0.6801], rtol=0, atol=0.5e-4)


def test_bewick_table():
    # Bewick, Cheek & Ball, Critical Care 8 (2004) 389, table 2. The two censored times are from
    # memory, source not seen; where in its gap a censored time lies does not change the shares.
    curve = kaplan_meier([1, 1, 4, 5, 6, 9, 20, 22], [True, True, True, True, False, True, False, True])
    assert curve.times.tolist() == [1, 4, 5, 9, 22]
    assert_allclose(curve.survival, [0.750, 0.625, 0.500, 0.333, 0], rtol=0, atol=0.0005)
    assert curve.standard_error[-1] == 0
    assert np.isnan(curve.low[-1])
    assert curve.median == 5


def test_nothing_failed_yet():
    curve = kaplan_meier([10.0, 20.0], [False, False])
    assert curve.times.size == 0
    assert np.isnan(curve.median)


def test_agrees_with_statsmodels():
    rng = np.random.default_rng(5)
    spans, failed = rng.integers(1, 30, 60), rng.random(60) < 0.6
    ours, theirs = kaplan_meier(spans, failed), SurvfuncRight(spans, failed)
    assert_allclose(ours.times, theirs.surv_times)
    assert_allclose(ours.survival, theirs.surv_prob, atol=1e-14)
    assert_allclose(ours.standard_error, theirs.surv_prob_se, atol=1e-12)


def test_faults_are_told_together():
    with pytest.raises(CalculationError) as error:
        kaplan_meier([1.0, 0.0], [True], confidence=1.5)
    assert {fault.field for fault in error.value.faults} == {"durations", "failed", "confidence"}
    with pytest.raises(CalculationError, match="at least one"):
        kaplan_meier([], [])


@given(st.lists(st.floats(0.1, 100), min_size=1, max_size=40))
def test_without_censoring_it_is_the_share_that_lasts_longer(spans):
    curve = kaplan_meier(spans, [True] * len(spans))
    assert_allclose(curve.survival, [np.mean(np.asarray(spans) > t) for t in curve.times], atol=1e-12)
