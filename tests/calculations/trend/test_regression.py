"""Least squares against the certified values of NIST StRD, which print 15 digits.

Tolerance: half the last printed digit, but StRD's 15 digits are all that double precision holds and the sums cost
some: here 13 (Norris), 14 (NoInt1) and 12 (Longley, whose columns are nearly dependent) are asked for.
"""

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calculations.errors import CalculationError
from calculations.trend.regression import fit_through_origin, fit_with_intercept

# NIST StRD Norris
NORRIS_X = [
    0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4,
    0.6, 775.5, 666.9, 338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3,
    0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5,
]  # fmt: skip
NORRIS_Y = [
    0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3,
    0.1, 778.1, 668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3,
    0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2,
]  # fmt: skip


def test_norris_certified_values():
    fit = fit_with_intercept(NORRIS_X, NORRIS_Y)
    assert_allclose(fit.coefficients, [-0.262323073774029, 1.00211681802045], rtol=1e-13)
    assert_allclose(fit.standard_errors, [0.232818234301152, 0.429796848199937e-03], rtol=1e-13)
    assert_allclose(fit.residual_sd, 0.884796396144373, rtol=1e-13)
    assert_allclose(fit.r_squared, 0.999993745883712, rtol=1e-14)
    assert_allclose(fit.f_statistic, 5436385.54079785, rtol=1e-12)
    assert_allclose(fit.residual_sum_of_squares, 26.6173985294224, rtol=1e-13)
    assert fit.degrees_of_freedom == 34


def test_no_intercept_certified_values():
    # NIST StRD NoInt1: x 60..70, y 130..140
    fit = fit_through_origin(np.arange(60, 71), np.arange(130, 141))
    assert_allclose(fit.coefficients, [2.07438016528926], rtol=1e-14)
    assert_allclose(fit.standard_errors, [0.0165289256198347], rtol=1e-14)
    assert_allclose(fit.residual_sd, 3.56753034006338, rtol=1e-14)
    assert_allclose(fit.r_squared, 0.999365492298663, rtol=1e-14)


def test_longley_certified_values():
    # NIST StRD Longley
    data = sm.datasets.longley.load_pandas()
    fit = fit_with_intercept(data.exog.to_numpy(), data.endog.to_numpy())
    certified = [
        (-3482258.63459582, 890420.383607373),
        (15.0618722713733, 84.9149257747669),
        (-0.358191792925910e-01, 0.334910077722432e-01),
        (-2.02022980381683, 0.488399681651699),
        (-1.03322686717359, 0.214274163161675),
        (-0.511041056535807e-01, 0.226073200069370),
        (1829.15146461355, 455.478499142212),
    ]
    assert_allclose(np.column_stack((fit.coefficients, fit.standard_errors)), certified, rtol=1e-12)
    assert_allclose(fit.residual_sd, 304.854073561965, rtol=1e-13)
    assert_allclose(fit.r_squared, 0.995479004577296, rtol=1e-14)
    assert_allclose(fit.f_statistic, 330.285339234588, rtol=1e-12)


def test_nile_slope_as_printed():
    # independent run on the Nile series 1871-1970
    data = sm.datasets.nile.load_pandas().data
    fit = fit_with_intercept(data.year.to_numpy(), data.volume.to_numpy())
    assert_allclose(fit.coefficients[1], -2.714305, rtol=0, atol=0.5e-6)
    assert_allclose(fit.standard_errors[1], 0.521554, rtol=0, atol=0.5e-6)
    assert_allclose(fit.coefficients[0], 6132.1736, rtol=0, atol=0.5e-4)
    assert_allclose(fit.r_squared, 0.216529, rtol=0, atol=0.5e-6)


def test_one_misreading_pulls_the_line():
    # computed toy series of extensions with one reading 0.1 in low
    values = [2.50, 2.48, 2.47, 2.45, 2.44, 2.30, 2.41, 2.39, 2.38, 2.36]
    fit = fit_with_intercept(np.arange(10), values)
    assert_allclose(fit.coefficients[1], -0.015879, rtol=0, atol=0.5e-6)
    assert_allclose(fit.r_squared, 0.605, rtol=0, atol=0.0005)


def test_agrees_with_statsmodels_on_random_models():
    rng = np.random.default_rng(7)
    x = rng.normal(size=(40, 3)) * [1, 100, 0.01] + [0, 1900, 3]
    y = x @ [1.0, -0.5, 20.0] + rng.normal(size=40)
    ours, theirs = fit_with_intercept(x, y), sm.OLS(y, sm.add_constant(x)).fit()
    assert_allclose(ours.coefficients, theirs.params, rtol=1e-8)
    assert_allclose(ours.standard_errors, theirs.bse, rtol=1e-8)
    assert_allclose(ours.interval(1, 0.9), theirs.conf_int(0.1)[1], rtol=1e-8)
    assert_allclose(ours.f_statistic, theirs.fvalue, rtol=1e-8)


@pytest.mark.parametrize(
    ("x", "y", "code"),
    [
        ([1, 2, 3], [1, 2], "shape"),
        ([[[1.0]]], [1.0], "shape"),
        ([1, 2], [1, 2], "too_few"),
        ([1, 1, 1, 1], [1, 2, 3, 4], "dependent"),
        ([[1, 2], [2, 4], [3, 6], [5, 10], [7, 14]], [1, 2, 3, 4, 6], "dependent"),
        ([1, 2, float("nan")], [1, 2, 3], "not_a_number"),
    ],
)
def test_hopeless_data_are_refused(x, y, code):
    with pytest.raises(CalculationError) as error:
        fit_with_intercept(x, y)
    assert code in {fault.code for fault in error.value.faults}


def test_an_exact_line_has_no_residual():
    fit = fit_with_intercept([0.0, 1.0, 2.0, 4.0], [1.0, 1.0, 1.0, 1.0])
    assert fit.residual_sum_of_squares == 0
    assert_allclose(fit.coefficients, [1.0, 0.0], atol=1e-15)


@given(st.integers(0, 2**32), st.floats(-1e4, 1e4), st.floats(-1e4, 1e4), st.floats(0.1, 10))
def test_shifting_and_scaling_time_only_changes_the_slope_as_it_must(seed, shift_x, shift_y, scale):
    rng = np.random.default_rng(seed)
    x, y = rng.uniform(0, 100, 12), rng.normal(size=12)
    before, after = fit_with_intercept(x, y), fit_with_intercept(x * scale + shift_x, y + shift_y)
    assert_allclose(after.coefficients[1], before.coefficients[1] / scale, rtol=1e-6, atol=1e-9)
    assert_allclose(after.residual_sd, before.residual_sd, rtol=1e-6)
