"""Certification descent rates and drop heights, 14 CFR 23.473(d) and 23.725 before amendment 23-64."""

import pytest
from numpy.testing import assert_allclose

from calculations.errors import CalculationError
from calculations.landing import (
    LARGE_LANDING_DESCENT_FT_S,
    LARGE_TAKE_OFF_DESCENT_FT_S,
    design_descent_ft_s,
    drop_height_in,
    effective_drop_weight_lbf,
)


# Computed from 4.4 (W/S)^1/4 and 3.6 (W/S)^1/2 with the limits of the rules; 23.473(d) from memory
@pytest.mark.parametrize(
    ("wing_loading", "descent", "height"),
    [(5, 7.000, 9.200), (10, 7.824, 11.384), (16, 8.800, 14.400), (20, 9.305, 16.100), (30, 10.000, 18.700)],
)
def test_descent_rate_and_drop_height_follow_wing_loading(wing_loading, descent, height):
    assert_allclose(design_descent_ft_s(wing_loading), descent, atol=0.0005)
    assert_allclose(drop_height_in(wing_loading), height, atol=0.0005)


@pytest.mark.parametrize(
    ("function", "wing_loading", "limit"),
    [
        (design_descent_ft_s, 6.406, 7.0),
        (design_descent_ft_s, 26.680, 10.0),
        (drop_height_in, 6.531, 9.2),
        (drop_height_in, 26.982, 18.7),
    ],
)
def test_limits_begin_at_the_computed_wing_loadings(function, wing_loading, limit):
    assert_allclose(function(wing_loading), limit, atol=0.0005)
    beyond = 0.99 if limit in (7.0, 9.2) else 1.01
    assert_allclose(function(wing_loading * beyond), limit, atol=1e-9)
    assert abs(float(function(wing_loading / beyond)) - limit) > 0.01


@pytest.mark.parametrize(("height", "descent"), [(9.2, 7.024), (18.7, 10.014)])
def test_drop_heights_are_the_free_fall_equivalents_of_the_descent_rates(height, descent):
    assert_allclose((2 * 32.174 * height / 12) ** 0.5, descent, atol=0.0005)


def test_effective_weight_of_the_drop_test():
    # 14 CFR 23.725(b), equation from memory: 1000 lb, 12 in, 8 in, lift 2/3
    assert_allclose(effective_drop_weight_lbf(1000, 12, 8), 733.33, atol=0.005)


def test_wing_lift_beyond_two_thirds_and_bad_figures_are_refused():
    with pytest.raises(CalculationError) as error:
        effective_drop_weight_lbf(0, -1, -1, 0.7)
    assert {fault.field for fault in error.value.faults} == {
        "weight_lbf",
        "drop_height_in",
        "compression_in",
        "wing_lift_share",
    }
    for function in (design_descent_ft_s, drop_height_in):
        with pytest.raises(CalculationError, match="above 0"):
            function(0)


def test_large_aircraft_land_at_ten_feet_a_second_and_at_six_when_heavy():
    # 14 CFR 25.473; the light-aircraft rule never asks for more than the first
    assert (LARGE_LANDING_DESCENT_FT_S, LARGE_TAKE_OFF_DESCENT_FT_S) == (10.0, 6.0)
    assert float(design_descent_ft_s(100.0)) == LARGE_LANDING_DESCENT_FT_S
