"""Pitch, roll and propeller clearance: worked geometry and 14 CFR 23.925."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calculations.errors import CalculationError
from calculations.stance import (
    LEAF_SPRING_LOAD_FACTOR,
    LEAST_CLEARANCE_NOSE_WHEEL_IN,
    LEAST_CLEARANCE_TAIL_WHEEL_IN,
    LEAST_CLEARANCE_WATER_IN,
    GearGeometry,
    LegHeights,
    leg_rise_in,
    propeller_clearance,
    rise_of_leaf_spring_in,
    rise_when_flat_and_bottomed_in,
    stance,
)

# Invented single: wheelbase 80 in, propeller 10 in ahead of the nose wheel
SINGLE = GearGeometry(80.0, 100.0, 90.0)


# Numerical study made for this project
@pytest.mark.parametrize(
    ("extension", "pitch", "clearance"),
    [(7.00, 2.7, 4.2), (1.00, -1.6, -2.5)],  # nose 3.75 in too long; nose 3.25 -> 1 in
)
def test_a_nose_strut_tilts_the_aircraft(extension, pitch, clearance):
    nose = leg_rise_in(extension_in=extension, reference_extension_in=3.25)
    found = stance(LegHeights(nose, 0.0, 0.0), SINGLE)
    assert_allclose(found.pitch_deg, pitch, rtol=0, atol=0.05)
    assert_allclose(found.clearance_change_in, clearance, rtol=0, atol=0.05)
    assert found.roll_deg == 0


def test_published_minimum_clearances():
    # 14 CFR 23.925(a) before amendment 23-64, read: 7 in nose wheel, 9 in tail wheel; (c) 18 in above water
    assert (LEAST_CLEARANCE_NOSE_WHEEL_IN, LEAST_CLEARANCE_TAIL_WHEEL_IN) == (7, 9)
    assert LEAST_CLEARANCE_WATER_IN == 18
    # CS-23, in a page that quotes it, asks 180 and 230 mm: rounded up, 2.2 and 1.4 mm more than 7 and 9 in
    least_mm = 25.4 * np.array([LEAST_CLEARANCE_NOSE_WHEEL_IN, LEAST_CLEARANCE_TAIL_WHEEL_IN])
    assert_allclose(np.array([180, 230]) - least_mm, [2.2, 1.4], rtol=0, atol=1e-9)
    found = propeller_clearance([9.5, 9.5], [-2.5, -2.6], LEAST_CLEARANCE_NOSE_WHEEL_IN)
    assert found.enough.tolist() == [True, False]
    assert_allclose(found.margin_in, [0.0, -0.1], atol=1e-12)


def test_a_low_left_main_rolls_left_and_a_long_tail_pitches_down():
    low_left = stance(LegHeights(0.0, -2.0, 0.0), SINGLE)
    assert low_left.roll_deg < 0
    assert low_left.pitch_deg > 0
    taildragger = GearGeometry(-200.0, 80.0, 30.0)
    long_tail = stance(LegHeights(2.0, 0.0, 0.0), taildragger)
    assert long_tail.pitch_deg < 0
    assert_allclose(long_tail.clearance_change_in, -2.0 * 30 / 200)


def test_a_propeller_on_the_low_side_comes_nearer_to_the_ground():
    twin = GearGeometry(80.0, 100.0, 20.0, propeller_right_in=[-60.0, 60.0])
    found = stance(LegHeights(0.0, -1.0, 1.0), twin)
    assert_allclose(found.clearance_change_in, [-1.2, 1.2])


def test_rake_and_tyres_count():
    raked = leg_rise_in(extension_in=5.0, reference_extension_in=4.0, rake_deg=20.0)
    assert_allclose(raked, np.cos(np.radians(20.0)))
    soft = leg_rise_in(
        extension_in=4.0, reference_extension_in=4.0, tyre_deflection_in=1.72, reference_tyre_deflection_in=1.16
    )
    assert_allclose(soft, -0.56)


def test_clearance_with_a_flat_tyre_and_a_bottomed_strut():
    # 14 CFR 23.925(a) before amendment 23-64, read: clearance must stay positive
    sunk = rise_when_flat_and_bottomed_in(reference_extension_in=3.25, loaded_radius_in=6.80, flange_diameter_in=7.25)
    assert_allclose(sunk, -(3.25 + 6.80 - 3.625))
    change = stance(LegHeights(sunk, 0.0, 0.0), SINGLE).clearance_change_in
    assert propeller_clearance(9.5, change, 0.0).enough
    assert not propeller_clearance(7.0, change, 0.0).enough


def test_clearance_on_leaf_springs_at_one_and_a_half_times_their_load():
    # 14 CFR 23.925(a) before amendment 23-64, read: clearance must stay positive at 1.5 g
    assert LEAF_SPRING_LOAD_FACTOR == 1.5
    sunk = rise_of_leaf_spring_in(4.0)
    assert_allclose([sunk, rise_of_leaf_spring_in(4.0, 1.0), rise_of_leaf_spring_in(4.0, 3.0)], [-2.0, 0.0, -8.0])
    # on all three legs the aircraft only sinks, on the mains alone the nose rises by the lever 90/80 - 1
    assert_allclose(stance(LegHeights(sunk, sunk, sunk), SINGLE).clearance_change_in, -2.0)
    assert_allclose(stance(LegHeights(0.0, sunk, sunk), SINGLE).clearance_change_in, 2.0 * (90 / 80 - 1))


@pytest.mark.parametrize(
    ("call", "fields"),
    [
        (
            lambda: leg_rise_in(extension_in=-1, reference_extension_in=-1, tyre_deflection_in=-1, rake_deg=90),
            {"extension_in", "reference_extension_in", "tyre_deflection_in", "rake_deg"},
        ),
        (
            lambda: stance(LegHeights("x", 0, 0), GearGeometry(0, 0, 0)),
            {"third_leg_in", "track_in", "third_leg_ahead_in"},
        ),
        (lambda: propeller_clearance(float("nan"), 0, -1), {"reference_clearance_in", "minimum_in"}),
        (
            lambda: rise_when_flat_and_bottomed_in(
                reference_extension_in=3, loaded_radius_in=3, flange_diameter_in=7
            ),
            {"flange_diameter_in"},
        ),
        (lambda: rise_of_leaf_spring_in(-1, 0.9), {"static_deflection_in", "load_factor"}),
    ],
)
def test_impossible_figures_are_refused(call, fields):
    with pytest.raises(CalculationError) as error:
        call()
    assert {fault.field for fault in error.value.faults} == fields


heights = st.floats(-5.0, 5.0)


@given(heights, heights, heights, st.booleans())
def test_stance_is_the_plane_through_the_three_legs(third, left, right, tail_wheel):
    base = -180.0 if tail_wheel else 80.0
    geometry = GearGeometry(base, 100.0, [base, 0.0, 0.0], [0.0, -50.0, 50.0])
    found = stance(LegHeights(third, left, right), geometry)
    assert_allclose(found.clearance_change_in, [third, left, right], atol=1e-9)


@given(heights)
def test_all_legs_together_only_lift(height):
    found = stance(LegHeights(height, height, height), SINGLE)
    assert_allclose([found.pitch_deg, found.roll_deg], 0, atol=1e-12)
    assert_allclose(found.clearance_change_in, height)
