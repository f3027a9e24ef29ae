"""Size, rating, gauge and storage of tyres."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calculations.errors import CalculationError
from calculations.tyre import loaded_pressure_psig
from calculations.tyre_rating import (
    RATINGS,
    WARMEST_STORE_F,
    TyreSize,
    gauge_is_fit,
    may_be_stored_at,
    pressure_for_load_psig,
    read_size,
    stack_height,
)


def test_sizes_are_read_as_the_sidewall_means_them():
    # TSO-C62d (read): "6.00-6" is section and rim, "15x6.00-6" outer diameter, section and rim
    assert read_size("6.00-6") == TyreSize(6.0, 6.0, None)
    assert read_size(" 15X6.00-6 ") == read_size("15×6.00-6") == TyreSize(6.0, 6.0, 15.0)
    with pytest.raises(CalculationError) as error:
        read_size("600x6")
    assert error.value.faults[0].code == "not_a_tyre_size"


def test_ratings_are_those_remembered():
    # Tire and Rim Association and makers' data books, all from memory, source not seen; 23 psi of 8.00-6 4-ply
    # also in a page that quotes it
    table = {(rating.size, rating.ply): (rating.load_lbf, rating.unloaded_psig) for rating in RATINGS}
    assert table == {
        ("5.00-5", 4): (800, 31),
        ("5.00-5", 6): (1285, 50),
        ("6.00-6", 4): (1150, 29),
        ("6.00-6", 6): (1750, 42),
        ("6.00-6", 8): (2350, 55),
        ("7.00-6", 6): (1900, 38),
        ("8.00-6", 4): (1350, 23),
        ("8.00-6", 6): (2050, 35),
        ("8.50-6", 4): (1500, 22),
        ("8.50-6", 6): (2275, 30),
        ("15x6.00-6", 4): (1250, 45),
        ("15x6.00-6", 6): (1950, 68),
    }
    assert all(read_size(rating.size) for rating in RATINGS)


def test_a_lighter_load_asks_for_less_pressure():
    # rule from memory; computed for 6.00-6 4-ply at 920 lb: 23.20 unloaded, 24.13 loaded
    unloaded = pressure_for_load_psig(920, rated_load_lbf=1150, rated_unloaded_psig=29)
    assert_allclose(unloaded, 23.20, rtol=0, atol=0.005)
    assert_allclose(loaded_pressure_psig(unloaded), 24.13, rtol=0, atol=0.005)


def test_a_load_above_the_rating_is_refused_whatever_the_pressure():
    with pytest.raises(CalculationError) as error:
        pressure_for_load_psig(1151, rated_load_lbf=1150, rated_unloaded_psig=29)
    assert error.value.faults[0].code == "above_rated_load"


def test_a_gauge_is_fit_at_a_quarter_percent_and_steps_of_two_psi():
    # a tyre maker's care manual, section 4: its own recommendation
    assert gauge_is_fit([0.0025, 0.003, 0.002], [2, 1, 3]).tolist() == [True, False, False]


def test_tyres_are_stacked_by_diameter_in_a_cool_room():
    # AC 20-97B, as a trade page repeats its table: up to 40 in 5, 40 to 49 in 4, above 49 in 3; 32 to 85 degF
    assert stack_height([17, 40, 40.5, 49, 49.5]).tolist() == [5, 5, 4, 4, 3]
    assert may_be_stored_at([31.9, 32, 85, 85.1]).tolist() == [False, True, True, False]
    # The page prints 0 to 30 degC beside it, the upper figure rounded up by 0.6 K; we hold to the degF.
    assert_allclose(30 - (WARMEST_STORE_F - 32) / 1.8, 0.6, rtol=0, atol=0.05)


@pytest.mark.parametrize(
    ("call", "fields"),
    [
        (lambda: gauge_is_fit(-1, -1), {"error_share", "resolution_psi"}),
        (lambda: stack_height(0), {"outer_diameter_in"}),
        (lambda: may_be_stored_at("x"), {"temperature_f"}),
    ],
)
def test_impossible_figures_are_refused(call, fields):
    with pytest.raises(CalculationError) as error:
        call()
    assert {fault.field for fault in error.value.faults} == fields


@given(st.floats(1.0, 1150.0))
def test_pressure_over_load_is_that_of_the_rating(load):
    found = pressure_for_load_psig(load, rated_load_lbf=1150, rated_unloaded_psig=29)
    assert_allclose(found / load, 29 / 1150)
