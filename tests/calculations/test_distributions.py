"""Normal and Student t tails against printed tables and scipy as oracle."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy import stats

from calculations.distributions import (
    normal_quantile,
    normal_upper_tail,
    student_t_quantile,
    student_t_upper_tail,
)
from calculations.errors import CalculationError


# NIST/SEMATECH e-Handbook 1.3.6.7.2, critical values of Student's t
@pytest.mark.parametrize(
    ("degrees", "probability", "printed"),
    [(1, 0.975, 12.706), (2, 0.95, 2.920), (10, 0.975, 2.228), (30, 0.99, 2.457), (100, 0.999, 3.174)],
)
def test_student_quantiles_match_the_printed_table(degrees, probability, printed):
    assert_allclose(student_t_quantile(probability, degrees), printed, rtol=0, atol=0.0005)


def test_student_tail_matches_scipy_for_odd_and_even_degrees():
    degrees = np.arange(1, 120)[:, None]
    t = np.linspace(-12, 12, 201)
    assert_allclose(student_t_upper_tail(t, degrees), stats.t.sf(t, degrees), atol=1e-15)


def test_normal_tail_and_quantile_match_scipy():
    z = np.linspace(-8, 30, 100)
    assert_allclose(normal_upper_tail(z), stats.norm.sf(z), rtol=1e-12)
    assert_allclose(normal_quantile(0.9), stats.norm.ppf(0.9), rtol=1e-12)


@given(st.floats(-50, 50), st.integers(1, 200))
def test_student_distribution_is_symmetric(t, degrees):
    assert_allclose(student_t_upper_tail(t, degrees) + student_t_upper_tail(-t, degrees), 1, rtol=1e-14)


@given(st.floats(0.001, 0.999), st.integers(1, 60))
def test_quantile_and_tail_undo_each_other(probability, degrees):
    assert_allclose(student_t_upper_tail(student_t_quantile(probability, degrees), degrees), 1 - probability)


def test_impossible_arguments_are_refused():
    with pytest.raises(CalculationError, match="whole"):
        student_t_upper_tail(0.0, 2.5)
    with pytest.raises(CalculationError, match="above 0"):
        student_t_upper_tail(0.0, 0)
    for probability in (0.0, 1.0):
        with pytest.raises(CalculationError, match="must be in"):
            student_t_quantile(probability, 5)
