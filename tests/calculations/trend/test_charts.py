"""CUSUM and EWMA against printed tables of NIST/SEMATECH and Montgomery."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose, assert_array_equal

from calculations.errors import CalculationError
from calculations.trend.charts import cusum, cusum_run_length, ewma

# NIST/SEMATECH e-Handbook 6.3.2.3
NIST_CUSUM = [
    324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125, 324.525, 325.225, 324.600,
    324.625, 325.150, 328.325, 327.250, 327.825, 328.500, 326.675, 327.775, 326.875, 328.350,
]  # fmt: skip
NIST_HIGH = [
    0, 0, 0, 0, 0.0325, 0, 0, 0, 0, 0, 0, 0, 3.0075, 4.9400, 7.4475, 10.6300, 11.9875, 14.4450, 16.0025, 19.0350,
]  # fmt: skip
NIST_LOW = [
    0, 0.0075, 0, 0.3325, 0, 0, 0.5575, 0.7150, 0.1725, 0.2550, 0.3125, 0, 0, 0, 0, 0, 0, 0, 0, 0,
]  # fmt: skip
NIST_SUM = [
    -0.075, -0.400, -0.675, -1.325, -0.975, -0.750, -1.625, -2.100, -1.875, -2.275,
    -2.650, -2.500, 0.825, 3.075, 5.900, 9.400, 11.075, 13.850, 15.725, 19.075,
]  # fmt: skip
# Montgomery & Runger, Applied Statistics and Probability for Engineers, Example 16-6, Table 16-8
MONTGOMERY = [
    102.0, 94.8, 98.3, 98.4, 102.0, 98.5, 99.0, 97.7, 100.0, 98.1,
    101.3, 98.7, 101.1, 98.4, 97.0, 96.7, 100.3, 101.4, 97.2, 101.0,
]  # fmt: skip
MONTGOMERY_HIGH = [2.0, 0, 0, 0, 2.0, 0.5, 0, 0, 0, 0, 1.3, 0, 1.1, 0, 0, 0, 0.3, 1.7, 0, 1.0]
MONTGOMERY_LOW = [0, 3.2, 2.9, 2.5, 0, 0, 0, 0.3, 0, 0, 0, 0, 0, 0, 1.0, 2.3, 0, 0, 0.8, 0]
# NIST/SEMATECH e-Handbook 6.3.2.4
NIST_EWMA = [
    52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5,
    49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1,
]  # fmt: skip
NIST_SMOOTHED = [
    50.60, 49.52, 50.564, 50.1848, 50.1594, 49.2116, 49.7481, 49.8537, 50.2576, 50.3303,
    50.1112, 49.3578, 49.5205, 50.0543, 49.3780, 49.9246, 50.7272, 51.2291, 51.9403, 51.9882,
]  # fmt: skip


def test_nist_cusum_table():
    chart = cusum(NIST_CUSUM, target=325, allowance=0.3175, decision=4.1959)
    assert_allclose(chart.high, NIST_HIGH, rtol=0, atol=0.5e-4)
    assert_allclose(chart.low, NIST_LOW, rtol=0, atol=0.5e-4)
    assert_allclose(chart.cumulative, NIST_SUM, rtol=0, atol=0.5e-3)
    assert chart.first_signal == 14 - 1  # observation 14, counted from 1


def test_montgomery_cusum_table_never_signals():
    chart = cusum(MONTGOMERY, target=99, allowance=1, decision=10)
    assert_allclose(chart.high, MONTGOMERY_HIGH, rtol=0, atol=0.05)
    assert_allclose(chart.low, MONTGOMERY_LOW, rtol=0, atol=0.05)
    assert chart.first_signal == -1


# Montgomery, Introduction to Statistical Quality Control, k = 0.5: from memory, source not seen
@pytest.mark.parametrize(
    ("decision", "shift", "printed", "half_digit"),
    [(4, 0, 168, 0.5), (4, 1, 8.4, 0.05), (5, 0, 465, 0.5), (5, 1, 10.4, 0.05)],
)
def test_average_run_lengths(decision, shift, printed, half_digit):
    assert_allclose(cusum_run_length(allowance=0.5, decision=decision, shift=shift), printed, rtol=0, atol=half_digit)


@pytest.mark.parametrize(("decision", "shift"), [(1e3, 0), (1e300, 1)])
def test_a_chart_that_never_signals_is_refused(decision, shift):
    with pytest.raises(CalculationError, match="no signal comes"):
        cusum_run_length(allowance=0.5, decision=decision, shift=shift)


def test_run_length_agrees_with_simulation():
    rng = np.random.default_rng(11)
    chart = cusum(rng.normal(1.0, 1.0, (4000, 150)), target=0, allowance=0.5, decision=4)
    assert (chart.first_signal >= 0).all()
    mean = (chart.first_signal + 1).mean()
    assert_allclose(mean, cusum_run_length(allowance=0.5, decision=4, shift=1), rtol=0.02)


def test_nist_ewma_table():
    chart = ewma(NIST_EWMA, target=50, sd=2.0539, weight=0.3)
    # the handbook prints two, three or four decimals; each is met to half its last digit
    assert_allclose(chart.smoothed, NIST_SMOOTHED, rtol=0, atol=0.5e-4)
    assert_allclose(chart.upper_asymptote, 52.5884, rtol=0, atol=0.5e-4)
    # The handbook prints 47.4115 below, which its own factor .4201, rounded from sqrt(.3/1.7), gives; the same
    # factor gives 52.5885 above. Both limits lie equally far from the target.
    assert_allclose(50 - 0.4201 * 3 * 2.0539, 47.4115, rtol=0, atol=0.5e-4)
    assert_allclose(chart.lower_asymptote, 2 * 50 - 52.5884, rtol=0, atol=0.5e-4)
    assert chart.first_signal == -1


def test_exact_ewma_limits_widen_to_the_asymptote():
    # Montgomery's exact form, computed for the handbook's figures
    chart = ewma(NIST_EWMA, target=50, sd=2.0539, weight=0.3)
    assert_allclose(chart.upper[[0, 1, 2, 4, 9]], [51.8485, 52.2564, 52.4314, 52.5516, 52.5874], rtol=0, atol=0.5e-4)
    assert_allclose(chart.upper - 50, 50 - chart.lower)


def test_a_sum_signals_only_beyond_the_decision_limit():
    assert cusum([1.0, 1.0, 1.0], target=0, allowance=0.5, decision=1.0).first_signal == 2


def test_many_series_at_once_equal_one_by_one():
    rng = np.random.default_rng(2)
    values, targets = rng.normal(size=(3, 20)), np.array([0.0, 0.5, 5.0])
    together = cusum(values, target=targets, allowance=0.1, decision=[1.0, 2.0, 3.0])
    averages = ewma(values, target=targets, sd=[1.0, 2.0, 0.2], weight=0.2)
    for i in range(3):
        alone = cusum(values[i], target=targets[i], allowance=0.1, decision=i + 1.0)
        assert_array_equal(together.low[i], alone.low)
        assert together.first_signal[i] == alone.first_signal
        average = ewma(values[i], target=targets[i], sd=[1.0, 2.0, 0.2][i], weight=0.2)
        assert_array_equal(averages.smoothed[i], average.smoothed)
        assert averages.first_signal[i] == average.first_signal
    assert averages.first_signal[2] == 0


@pytest.mark.parametrize(
    ("call", "fields"),
    [
        (lambda: cusum([], target=0, allowance=-1, decision=0), {"values", "allowance", "decision"}),
        (lambda: cusum(3.0, target=0, allowance=0, decision=1), {"values"}),
        (lambda: ewma([1.0], target=0, sd=0, weight=0, width=0), {"sd", "weight", "width"}),
        (lambda: cusum_run_length(allowance=-1, decision=0, shift=float("nan")), {"allowance", "decision", "shift"}),
    ],
)
def test_settings_out_of_range_are_refused(call, fields):
    with pytest.raises(CalculationError) as error:
        call()
    assert {fault.field for fault in error.value.faults} == fields


@given(st.lists(st.floats(-10, 10), min_size=1, max_size=30), st.floats(0, 2), st.floats(0.1, 20))
def test_turning_the_sign_swaps_the_sums(values, allowance, decision):
    chart = cusum(values, target=0, allowance=allowance, decision=decision)
    turned = cusum(-np.asarray(values), target=0, allowance=allowance, decision=decision)
    assert_array_equal(chart.high, turned.low)
    assert chart.first_signal == turned.first_signal


@given(st.lists(st.floats(-10, 10), min_size=1, max_size=30))
def test_an_average_with_full_weight_is_the_observation(values):
    assert_array_equal(ewma(values, target=0, sd=1, weight=1.0).smoothed, values)
