"""Stroke that a touchdown asks for. Raymer, Aircraft Design, and Roskam: all from memory, source not seen."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calculations.errors import CalculationError
from calculations.landing import drop_height_in
from calculations.strut_curve import MIXED_EXPONENT, SEPARATED_EXPONENT
from calculations.strut_estimate import REST_SHARE_OF_STROKE
from calculations.strut_sizing import (
    FIXED_ORIFICE_EFFICIENCY,
    METERED_EFFICIENCY,
    TYRE_EFFICIENCY,
    stroke_for_descent_in,
)


def test_figures_of_the_textbooks():
    assert (FIXED_ORIFICE_EFFICIENCY, METERED_EFFICIENCY, TYRE_EFFICIENCY) == ((0.65, 0.80), (0.75, 0.90), 0.47)
    assert REST_SHARE_OF_STROKE == 0.60  # light aircraft; 0.66 and 0.84 of airliners serve nobody here
    assert (MIXED_EXPONENT, SEPARATED_EXPONENT) == (1.1, 1.35)  # Currey, from memory, source not seen


def test_stroke_worked_by_hand():
    # 100/(2 x 32.174 x 0.8 x 3) ft less 0.47/0.8 of 2 in
    assert_allclose(
        stroke_for_descent_in(10.0, 3.0, efficiency=0.8, tyre_deflection_in=2.0), 6.595, rtol=0, atol=0.5e-3
    )


def test_strut_with_the_load_of_one_weight_travels_the_height_of_free_fall():
    # 14 CFR 23.725: 18.7 in is the free fall of 10.014 ft/s, 9.2 in that of 7.024 ft/s
    found = stroke_for_descent_in([10.014, 7.024], 1.0, efficiency=1.0)
    assert_allclose(found, [18.7, 9.2], rtol=0, atol=0.005)
    assert_allclose(found, drop_height_in([40.0, 5.0]), rtol=0, atol=0.005)


@given(st.floats(1.0, 15.0), st.floats(1.0, 6.0), st.floats(0.3, 1.0), st.floats(0.0, 3.0), st.floats(0.3, 1.0))
def test_strut_and_tyre_take_up_the_energy_of_the_descent(descent, factor, strut, deflection, tyre):
    stroke = stroke_for_descent_in(
        descent, factor, efficiency=strut, tyre_deflection_in=deflection, tyre_efficiency=tyre
    )
    energy = (descent * 0.3048) ** 2 / (2 * 9.80665) / 0.0254  # [in lbf] per pound
    if stroke > 0:
        assert_allclose(factor * (strut * stroke + tyre * deflection), energy, rtol=1e-12)
    else:
        assert factor * tyre * deflection >= energy * (1 - 1e-12)


def test_tyre_that_takes_it_all_leaves_the_strut_at_rest():
    assert stroke_for_descent_in(1.0, 3.0, tyre_deflection_in=2.0) == 0


def test_impossible_figures_are_refused_together():
    with pytest.raises(CalculationError) as error:
        stroke_for_descent_in(-1.0, 0.0, efficiency=1.1, tyre_deflection_in=-1.0, tyre_efficiency=0.0)
    assert {(fault.field, fault.code) for fault in error.value.faults} == {
        ("descent_ft_s", "negative"),
        ("load_factor", "not_positive"),
        ("efficiency", "out_of_range"),
        ("tyre_deflection_in", "negative"),
        ("tyre_efficiency", "not_positive"),
    }
