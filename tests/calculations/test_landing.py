"""Certification descent rates, drop heights and load factors, 14 CFR 23.473 and 23.725 before amendment 23-64.

23.725(a) was read; 23.473 and the equation of 23.725(b) are from memory, source not seen.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from calculations.errors import CalculationError
from calculations.landing import (
    GREATEST_WING_LIFT,
    LARGE_LANDING_DESCENT_FT_S,
    LARGE_TAKE_OFF_DESCENT_FT_S,
    LEAST_INERTIA_LOAD_FACTOR,
    design_descent_ft_s,
    drop_height_in,
    effective_drop_weight_lbf,
    ground_load_factor,
)


# Computed from 4.4 (W/S)^1/4, 23.473(d), and 3.6 (W/S)^1/2, 23.725(a), raw and within the limits of the rules
@pytest.mark.parametrize(
    ("wing_loading", "raw_descent", "descent", "raw_height", "height"),
    [
        (5, 6.580, 7.000, 8.050, 9.200),
        (10, 7.824, 7.824, 11.384, 11.384),
        (16, 8.800, 8.800, 14.400, 14.400),
        (20, 9.305, 9.305, 16.100, 16.100),
        (30, 10.298, 10.000, 19.718, 18.700),
    ],
)
def test_descent_rate_and_drop_height_follow_wing_loading(wing_loading, raw_descent, descent, raw_height, height):
    assert_allclose(design_descent_ft_s(wing_loading), descent, rtol=0, atol=0.0005)
    assert_allclose(drop_height_in(wing_loading), height, rtol=0, atol=0.0005)
    # the raw figures lie outside the limits; scaled back to 16 lb/ft2, which lies within, they are ours
    ratio = wing_loading / 16
    assert_allclose(design_descent_ft_s(16) * ratio**0.25, raw_descent, rtol=0, atol=0.0005)
    assert_allclose(drop_height_in(16) * ratio**0.5, raw_height, rtol=0, atol=0.0005)


# Computed: (7/4.4)^4, (10/4.4)^4, (9.2/3.6)^2, (18.7/3.6)^2
@pytest.mark.parametrize(
    ("function", "wing_loading", "limit", "inward"),
    [
        (design_descent_ft_s, 6.406, 7.0, 1),
        (design_descent_ft_s, 26.680, 10.0, -1),
        (drop_height_in, 6.531, 9.2, 1),
        (drop_height_in, 26.982, 18.7, -1),
    ],
)
def test_limits_begin_at_the_computed_wing_loadings(function, wing_loading, limit, inward):
    half_digit = 0.0005 * inward
    assert function(wing_loading - half_digit) == limit
    assert inward * (function(wing_loading + half_digit) - limit) > 0


def test_drop_heights_are_the_free_fall_equivalents_of_the_descent_rates():
    # computed: sqrt(2 g h) with g = 32.174 ft/s2; 9.2 in -> 7.024 ft/s, 18.7 in -> 10.014, coefficient 4.3937
    heights = drop_height_in([1.0, 100.0, 16.0])
    falls = np.sqrt(2 * 32.174 * heights / 12)
    assert_allclose(falls[:2], [7.024, 10.014], rtol=0, atol=0.0005)
    assert_allclose(falls[2] / 16**0.25, 4.3937, rtol=0, atol=0.00005)
    # 23.473(d) rounds the coefficient to 4.4: its descents are 0.14 % above free fall from the rule's heights
    assert_allclose(design_descent_ft_s(16.0) / falls[2] - 1, 0.0014, rtol=0, atol=0.00005)


def test_load_factors_are_at_least_those_of_the_rule():
    # 14 CFR 23.473(e): wing lift at most 2/3 of the weight; (g): 2.67 and 2.0; from memory, source not seen
    assert GREATEST_WING_LIFT == 2 / 3
    assert LEAST_INERTIA_LOAD_FACTOR == 2.67
    assert_allclose(ground_load_factor(4.0, [0.0, 0.5, 2 / 3]), [4.0, 3.5, 4 - 2 / 3], rtol=1e-12)
    # the two least values are one: 2.67 less the greatest wing lift is 2.0 to the printed digit, and not below
    least = ground_load_factor(LEAST_INERTIA_LOAD_FACTOR)
    assert_allclose(least, 2.0, rtol=0, atol=0.05)
    assert least >= 2.0


def test_effective_weight_of_the_drop_test():
    # 14 CFR 23.725(b), equation from memory: 1000 lb, 12 in, 8 in, lift 2/3
    assert_allclose(effective_drop_weight_lbf(1000, 12, 8), 733.33, rtol=0, atol=0.005)


def test_wing_lift_beyond_two_thirds_and_bad_figures_are_refused():
    with pytest.raises(CalculationError) as error:
        effective_drop_weight_lbf(0, -1, -1, 0.7)
    assert {fault.field for fault in error.value.faults} == {
        "weight_lbf",
        "drop_height_in",
        "compression_in",
        "wing_lift_share",
    }
    with pytest.raises(CalculationError) as error:
        ground_load_factor(2.66, 0.7)
    assert {fault.field for fault in error.value.faults} == {"inertia_load_factor", "wing_lift_share"}
    for function in (design_descent_ft_s, drop_height_in):
        with pytest.raises(CalculationError, match="above 0"):
            function(0)


def test_large_aircraft_land_at_ten_feet_a_second_and_at_six_when_heavy():
    # 14 CFR 25.473, read; the light-aircraft rule never asks for more than the first
    assert (LARGE_LANDING_DESCENT_FT_S, LARGE_TAKE_OFF_DESCENT_FT_S) == (10.0, 6.0)
    assert float(design_descent_ft_s(100.0)) == LARGE_LANDING_DESCENT_FT_S
