"""Leg loads against published weight and balance examples, statics and their own inverse."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calculations.balance import AVGAS_LB_PER_US_GAL, OIL_LB_PER_US_GAL, balance_from_scales, balance_of_items
from calculations.errors import CalculationError
from calculations.loads import (
    SYMMETRIC,
    LegLoading,
    leg_reactions,
    leg_reactions_with_lateral,
    load_on_leg,
    share_on_legs,
)


def codes(error: pytest.ExceptionInfo[CalculationError]) -> set[tuple[str, str]]:
    return {(fault.field, fault.code) for fault in error.value.faults}


# FAA-H-8083-1B ch. 10 calculator example, as a page quotes it: 340 lb on the nose, 78 in ahead of the mains,
# 2006 lb. Printed figure and the exact one, computed from D - F L/W and -(D + F L/W).
@pytest.mark.parametrize(
    ("main_arm", "expected", "exact"),
    [
        (0.0, -13.2, -13.2203),  # arms from the mains: 13.2 in forward of them
        (128.0, 114.8, 114.7797),  # datum 128 in ahead of the mains; printed value from memory, source not seen
        (-75.0, -88.2, -88.2203),  # datum 75 in behind the mains; printed value from memory, source not seen
    ],
)
def test_nose_wheel_scales_give_the_published_centre_of_gravity(main_arm, expected, exact):
    found = balance_from_scales(340, 833, 833, third_leg_arm_in=main_arm - 78, main_arm_in=main_arm, track_in=120)
    assert found.weight_lbf == 2006
    assert_allclose(found.centre_of_gravity_in, expected, rtol=0, atol=0.05)
    assert_allclose(found.centre_of_gravity_in, exact, rtol=0, atol=0.00005)


def test_tail_wheel_scales_give_the_published_centre_of_gravity():
    # FAA-H-8083-1B ch. 10, tail wheel: D 7.5, L 67, R 222 lb, W 1218 lb (from memory, source not seen): 19.7 in;
    # exact by D + R L/W
    found = balance_from_scales(222, 498, 498, third_leg_arm_in=74.5, main_arm_in=7.5, track_in=80)
    assert_allclose(found.centre_of_gravity_in, 19.7, rtol=0, atol=0.05)
    assert_allclose(found.centre_of_gravity_in, 19.7118, rtol=0, atol=0.00005)


def test_three_scales_in_kilograms_give_the_examination_answer():
    # EASA question bank item, read: nose 285, left 1465, right 1395 kg; wheelbase 7 ft 8 in: 83.7 in aft of the
    # nose wheel, 8.3 in ahead of the mains
    found = balance_from_scales(285, 1465, 1395, third_leg_arm_in=0, main_arm_in=92, track_in=100)
    assert found.weight_lbf == 3145
    assert_allclose(found.centre_of_gravity_in, 83.7, rtol=0, atol=0.05)
    assert_allclose(92 - found.centre_of_gravity_in, 8.3, rtol=0, atol=0.05)
    assert_allclose(found.centre_of_gravity_in, 83.6630, rtol=0, atol=0.00005)
    assert_allclose(92 - found.centre_of_gravity_in, 8.3370, rtol=0, atol=0.00005)
    assert found.lateral_moment_lbf_in == (1395 - 1465) * 50


def test_three_jacks_give_the_published_answer():
    # Published exercise on three jacks, read; its book was not noted: nose 6488 kg at 161 in, mains 17783 kg each
    # at 775 in
    found = balance_from_scales(6488, 17783, 17783, third_leg_arm_in=161, main_arm_in=775, track_in=300)
    assert found.weight_lbf == 42054
    assert_allclose(found.centre_of_gravity_in, 680.3, rtol=0, atol=0.05)
    assert_allclose(found.centre_of_gravity_in, 680.2734, rtol=0, atol=0.00005)


def test_many_wheels_give_the_published_answer():
    # Published exercise, read; its book was not noted: nose 1000 kg, mains 24000 kg together, 10 m apart: 9.6 m aft
    found = balance_from_scales(1000, 12000, 12000, third_leg_arm_in=0, main_arm_in=10, track_in=4)
    assert_allclose(found.centre_of_gravity_in, 9.6, atol=1e-12)


# Computed: the weighings above, turned round
@pytest.mark.parametrize(
    ("weight", "centre", "third_arm", "main_arm", "third", "half_digit"),
    [
        (2006, 114.77966, 50, 128, 340.00, 0.005),
        (3145, 83.66296, 0, 92, 285.00, 0.005),
        (42054, 680.2734, 161, 775, 6488.0, 0.05),
        (1218, 19.7118, 74.5, 7.5, 222.00, 0.005),
    ],
)
def test_reactions_are_the_inverse_of_the_published_weighings(weight, centre, third_arm, main_arm, third, half_digit):
    found = leg_reactions(weight, centre, third_leg_arm_in=third_arm, main_arm_in=main_arm)
    assert_allclose(found.third_leg_lbf, third, rtol=0, atol=half_digit)
    assert_allclose(found.left_main_lbf, (weight - third) / 2, rtol=0, atol=half_digit)


def test_the_nose_wheel_example_leaves_833_on_each_main_and_says_it_assumed_symmetry():
    found = leg_reactions(2006, 114.77966, third_leg_arm_in=50, main_arm_in=128)
    assert_allclose([found.left_main_lbf, found.right_main_lbf], 833.0, rtol=0, atol=0.05)
    assert SYMMETRIC in found.assumptions


def test_known_main_loads_are_kept_apart():
    # EASA question bank item, read: left 1465, right 1395: 70 apart must come back
    weighed = balance_from_scales(285, 1465, 1395, third_leg_arm_in=0, main_arm_in=92, track_in=100)
    found = leg_reactions_with_lateral(weighed, third_leg_arm_in=0, main_arm_in=92, track_in=100)
    assert_allclose([found.third_leg_lbf, found.left_main_lbf, found.right_main_lbf], [285, 1465, 1395])
    assert SYMMETRIC not in found.assumptions


def test_a_gallon_weighs_what_is_remembered():
    # avgas 6 lb, oil 7.5 lb per US gallon: from memory, source not seen
    assert (AVGAS_LB_PER_US_GAL, OIL_LB_PER_US_GAL) == (6.0, 7.5)


def test_forty_eight_gallons_and_two_people_load_the_legs_as_the_invented_example_does():
    # Invented light single of the numerical study behind this package: nose arm 22, mains 109.7;
    # 48 US gal puts 120 lb on each main and 48 on the nose, two 170 lb people 113 lb on every leg.
    fuel = 48 * AVGAS_LB_PER_US_GAL
    nose, main = share_on_legs(95.0, third_leg_arm_in=22.0, main_arm_in=109.7)
    assert_allclose([fuel * nose, fuel * main], [48, 120], rtol=0, atol=0.5)
    nose, main = share_on_legs(80.5, third_leg_arm_in=22.0, main_arm_in=109.7)
    assert_allclose([340 * nose, 340 * main], [113, 113], rtol=0, atol=0.5)


def test_load_of_a_leg_follows_fuel_and_people_with_its_uncertainty():
    sheet = LegLoading(800.0, 288.0, 0.416, reference_occupants_lb=0.0, load_per_occupant=1 / 3)
    found = load_on_leg([288, 100], [0, 170], sheet, fuel_uncertainty_lb=15, occupants_uncertainty_lb=10)
    assert_allclose(found.load_lbf, [800.0, 800 - 0.416 * 188 + 170 / 3])
    assert_allclose(found.uncertainty_lbf, np.hypot(0.416 * 15, 10 / 3))


def test_loads_per_pound_from_arms_agree_with_full_weight_and_balance():
    empty, full = [1500.0, 100.0, 340.0], [1500.0, 288.0, 340.0]
    arms = [87.0, 95.0, 80.5]
    before, after = (balance_of_items(items, arms) for items in (empty, full))
    legs = [
        leg_reactions(b.weight_lbf, b.centre_of_gravity_in, third_leg_arm_in=22, main_arm_in=109.7)
        for b in (before, after)
    ]
    nose, main = share_on_legs(95.0, third_leg_arm_in=22, main_arm_in=109.7)
    sheet = LegLoading(legs[0].left_main_lbf, 100.0, main)
    assert_allclose(load_on_leg(288, 0, sheet).load_lbf, legs[1].left_main_lbf)
    sheet = LegLoading(legs[0].third_leg_lbf, 100.0, nose)
    assert_allclose(load_on_leg(288, 0, sheet).load_lbf, legs[1].third_leg_lbf)


def test_all_faults_are_named_at_once():
    with pytest.raises(CalculationError) as error:
        balance_from_scales(-1, "x", 0, third_leg_arm_in=0, main_arm_in=float("nan"), track_in=0)
    assert {
        ("third_leg_lbf", "negative"),
        ("left_main_lbf", "not_a_number"),
        ("main_arm_in", "not_a_number"),
        ("track_in", "not_positive"),
    } <= codes(error)


@pytest.mark.parametrize(
    ("call", "fault"),
    [
        (
            lambda: balance_from_scales(0, 0, 0, third_leg_arm_in=0, main_arm_in=92, track_in=100),
            ("third_leg_lbf", "no_weight"),
        ),
        (lambda: balance_of_items([0.0, 0.0], [1.0, 2.0]), ("weights_lbf", "not_positive")),
        (lambda: balance_of_items([1.0, -2.0], [1.0, 2.0]), ("weights_lbf", "negative")),
        (
            lambda: leg_reactions(2000, 130, third_leg_arm_in=50, main_arm_in=128),
            ("centre_of_gravity_in", "tips_over"),
        ),
        (
            lambda: leg_reactions(2000, 49, third_leg_arm_in=50, main_arm_in=128),
            ("centre_of_gravity_in", "tips_over"),
        ),
        (lambda: share_on_legs(40, third_leg_arm_in=50, main_arm_in=50), ("third_leg_arm_in", "no_wheelbase")),
        (lambda: load_on_leg(0, 0, LegLoading(100.0, 288.0, 0.416)), ("fuel_lb", "no_load")),
    ],
)
def test_impossible_figures_are_refused(call, fault):
    with pytest.raises(CalculationError) as error:
        call()
    assert fault in codes(error)


def test_a_weight_far_to_one_side_is_refused():
    lopsided = balance_of_items([1500.0, 800.0], [100.0, 100.0], [0.0, 90.0])
    with pytest.raises(CalculationError, match="sideways"):
        leg_reactions_with_lateral(lopsided, third_leg_arm_in=22, main_arm_in=109.7, track_in=60)


weights = st.floats(1.0, 5000.0)


@given(weights, weights, weights, st.floats(10.0, 300.0), st.floats(-500.0, 500.0), st.booleans())
def test_weighing_and_reactions_undo_each_other(third, left, right, wheelbase, main_arm, tail_wheel):
    third_arm = main_arm + (wheelbase if tail_wheel else -wheelbase)
    arms = {"third_leg_arm_in": third_arm, "main_arm_in": main_arm, "track_in": 100.0}
    weighed = balance_from_scales(third, left, right, **arms)
    found = leg_reactions_with_lateral(weighed, **arms)
    assert_allclose(
        [found.third_leg_lbf, found.left_main_lbf, found.right_main_lbf], [third, left, right], rtol=1e-6, atol=1e-6
    )


@given(weights, st.floats(0.0, 1.0), st.floats(-500.0, 500.0))
def test_reactions_add_up_to_the_weight_and_do_not_depend_on_the_datum(weight, place, datum_shift):
    here = leg_reactions(weight, 128 - 78 * place, third_leg_arm_in=50 - 1e-6, main_arm_in=128 + 1e-6)
    there = leg_reactions(
        weight,
        128 - 78 * place + datum_shift,
        third_leg_arm_in=50 - 1e-6 + datum_shift,
        main_arm_in=128 + 1e-6 + datum_shift,
    )
    assert_allclose(here.third_leg_lbf + here.left_main_lbf + here.right_main_lbf, weight)
    assert_allclose(here.third_leg_lbf, there.third_leg_lbf, rtol=1e-7, atol=1e-7)
