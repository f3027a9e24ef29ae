"""Theil-Sen and Mann-Kendall against hand calculations, scipy, and permutation of tied values."""

import itertools

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy import stats

from calculations.errors import CalculationError
from calculations.trend.rank import mann_kendall, theil_sen

# J. Little, College of the Holy Cross, worked by hand
LITTLE = [12.9, 14.8, 13.2, 15.7, 13.8, 15.6, 12.9, 11.0, 17.3, 15.9, 19.0, 18.3, 20.1, 21.7]


def test_mann_kendall_by_hand():
    test = mann_kendall(range(1, 15), LITTLE)
    assert test.score == 54  # 72 plus, 18 minus, 1 tie
    assert_allclose(test.variance, 332.6667, rtol=0, atol=0.5e-4)
    assert_allclose(test.z, 2.9058, rtol=0, atol=0.5e-4)
    # computed from the same series
    assert_allclose(test.probability, 0.003663, rtol=0, atol=0.5e-6)
    assert_allclose(test.tau_a, 0.593407, rtol=0, atol=0.5e-6)
    assert_allclose(test.tau_b, 0.596694, rtol=0, atol=0.5e-6)


def test_theil_sen_of_the_same_series():
    line = theil_sen(range(1, 15), LITTLE)
    assert_allclose(line.slope, 0.566667, rtol=0, atol=0.5e-6)
    assert_allclose(line.intercept, 11.40, rtol=0, atol=0.005)
    assert_allclose([line.low, line.high], [0.3250, 0.8667], rtol=0, atol=0.5e-4)


def test_nile_values_as_printed():
    # independent run on the Nile series 1871-1970
    data = sm.datasets.nile.load_pandas().data
    line, test = theil_sen(data.year, data.volume), mann_kendall(data.year, data.volume)
    assert_allclose(line.slope, -2.600, rtol=0, atol=0.0005)
    assert_allclose([line.low, line.high], [-3.62791, -1.42857], rtol=0, atol=0.5e-5)
    assert test.score == -1387
    assert_allclose(test.variance, 112728.333, rtol=0, atol=0.0005)
    assert_allclose(test.z, -4.128067, rtol=0, atol=0.5e-6)
    assert_allclose(test.probability, 3.658e-5, rtol=0, atol=0.5e-8)


def test_sen_1968_example():
    # P. K. Sen, JASA 63 (1968) 1379, section 6, slope 4: from memory, source not seen
    line = theil_sen([1, 2, 3, 4, 10, 12, 18], [9, 15, 19, 20, 45, 55, 78])
    assert line.slope == 4.0


def test_one_misreading_does_not_move_the_slope():
    # computed toy series of extensions with one reading 0.1 in low
    values = [2.50, 2.48, 2.47, 2.45, 2.44, 2.30, 2.41, 2.39, 2.38, 2.36]
    assert_allclose(theil_sen(range(10), values).slope, -0.0150, rtol=0, atol=0.5e-4)


def test_agrees_with_scipy_with_ties():
    rng = np.random.default_rng(3)
    for _ in range(20):
        x, y = rng.integers(0, 15, 30), rng.integers(0, 6, 30)
        slope, intercept, low, high = stats.theilslopes(y, x, 0.9)
        line = theil_sen(x, y, 0.9)
        assert_allclose([line.slope, line.intercept, line.low, line.high], [slope, intercept, low, high])
        assert_allclose(mann_kendall(x, y).tau_b, stats.kendalltau(x, y).statistic)


@pytest.mark.parametrize("values", [[1, 2, 2, 3, 3], [1, 1, 1, 2, 5], [1, 1, 2, 2, 2]])
@pytest.mark.parametrize("times", [[0, 1, 2, 3, 4], [0, 0, 1, 2, 2]])
def test_variance_with_ties_is_that_over_all_permutations(times, values):
    scores = [mann_kendall(times, order).score for order in itertools.permutations(values)]
    assert_allclose(mann_kendall(times, values).variance, np.var(scores))


def test_values_all_alike_show_no_trend():
    test = mann_kendall([0, 1, 2], [5, 5, 5])
    assert (test.score, test.variance, test.z, test.probability, test.tau_b) == (0, 0, 0, 1, 0)


@pytest.mark.parametrize(
    ("times", "values", "code"),
    [
        ([1, 2], [1, 2], "too_few"),
        ([1, 1, 1], [1, 2, 3], "one_time"),
        ([1, 2, 3], [1, 2], "shape"),
        ([1, 2, 3], [1, 2, float("inf")], "not_a_number"),
    ],
)
def test_hopeless_series_are_refused(times, values, code):
    for function in (theil_sen, mann_kendall):
        with pytest.raises(CalculationError) as error:
            function(times, values)
        assert code in {fault.code for fault in error.value.faults}


def test_confidence_out_of_range_is_refused():
    with pytest.raises(CalculationError, match="must be in"):
        theil_sen([1, 2, 3], [1, 2, 3], 1.0)


@given(st.integers(0, 2**32), st.permutations(range(9)))
def test_order_of_arrival_does_not_matter(seed, order):
    rng = np.random.default_rng(seed)
    times, values = rng.integers(0, 12, 9) + np.arange(9) * 1.0, rng.integers(0, 5, 9)
    assert theil_sen(times[order], values[order]) == theil_sen(times, values)
    assert mann_kendall(times[order], values[order]) == mann_kendall(times, values)


@given(st.integers(0, 2**32), st.floats(-2, 2))
def test_adding_a_slope_shifts_the_estimate_and_turning_the_sign_turns_it(seed, slope):
    rng = np.random.default_rng(seed)
    t, y = np.sort(rng.uniform(0, 10, 11)), rng.normal(size=11)
    before, after, turned = theil_sen(t, y), theil_sen(t, y + slope * t), theil_sen(t, -y)
    assert_allclose(after.slope, before.slope + slope, atol=1e-9)
    assert_allclose(turned.slope, -before.slope, atol=1e-12)
    assert mann_kendall(t, -y).score == -mann_kendall(t, y).score
