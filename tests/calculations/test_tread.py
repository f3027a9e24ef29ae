"""Tread wear: the worked example, coverage of its interval, removal marks."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calculations.errors import CalculationError
from calculations.tread import (
    GREATEST_SLIP_IN,
    LEAST_TREAD_IN,
    REMOVAL_CRITERIA,
    TURNING_ADVICE,
    has_slipped,
    landings_left,
)


def test_worked_example():
    # Numerical study made for this project: five depths over 240 landings leave 109 (76-145) to
    # 1/16 in. Its prior of the new depth was not printed; the first reading -+ 0.05 in gives all
    # three numbers.
    wear = landings_left(
        [0, 60, 120, 180, 240], [0.274, 0.189, 0.195, 0.153, 0.125], limit_in=1 / 16, new_depth_in=0.274
    )
    assert_allclose([wear.landings_left, wear.low, wear.high], [109, 76, 145], rtol=0, atol=0.5)


def test_interval_holds_what_it_says():
    # Numerical study made for this project: 80 % interval covers 82 % with 3-7 readings, median relative error 16 %
    rng = np.random.default_rng(20)
    covered, errors = [], []
    for readings in (3, 4, 5, 6, 7):
        tyres = 4000
        wear = np.clip(rng.normal(4e-4, 2e-4, tyres), 1e-4, None)
        new = rng.normal(0.28, 0.02, tyres)
        last = 0.6 * (new - 1 / 16) / wear * rng.uniform(0.3, 1.2, tyres)
        landings = np.linspace(0, 1, readings) * last[:, np.newaxis]
        depths = new[:, np.newaxis] - wear[:, np.newaxis] * landings + rng.normal(0, 0.012, landings.shape)
        found = landings_left(landings, depths, limit_in=1 / 16, new_depth_in=0.28)
        truth = (new - 1 / 16) / wear - last
        covered.append((found.low <= truth) & (truth <= found.high))
        errors.append(np.abs(found.landings_left - truth) / truth)
    assert_allclose(np.mean(covered), 0.82, rtol=0, atol=0.005)
    assert_allclose(np.median(np.concatenate(errors)), 0.16, rtol=0, atol=0.005)


def test_a_tyre_at_its_limit_has_no_landings_left():
    wear = landings_left([0, 300], [0.25, 0.03], limit_in=1 / 16, new_depth_in=0.25)
    assert (wear.landings_left, wear.low, wear.high) == (0, 0, 0)


def test_a_tyre_that_starts_at_its_limit_has_no_landings_left():
    wear = landings_left([0.0] * 50, [0.03] * 50, limit_in=1 / 16, new_depth_in=0.07)
    assert wear.landings_left == 0


def test_a_tyre_without_visible_wear_lasts_for_ever_but_a_lower_bound_is_given():
    wear = landings_left([0, 500, 1000], [0.25, 0.35, 0.45], limit_in=1 / 16, new_depth_in=0.25)
    assert wear.wear_in < 0
    assert np.isinf(wear.landings_left)
    assert np.isinf(wear.high)
    assert np.isfinite(wear.low)


def test_published_limits():
    # NAVEDTRA 14018 ch. 11: 1/32 in of tread, slip of more than 1/4 in
    assert LEAST_TREAD_IN == 1 / 32
    assert GREATEST_SLIP_IN == 0.25
    assert has_slipped([0.25, 0.26]).tolist() == [False, True]


# AC 43.13-1B paragraph 9-14, as an owners' list quotes it; in our words
@pytest.mark.parametrize(
    ("damage", "words"),
    [
        (0, ("base of a groove at any spot", "maker's minimum", "fabric anywhere in the tread")),
        (1, ("carcass ply", "wider than half a rib and deeper than half the groove that is left")),
        (2, ("sidewall or bead", "carcass ply", "bulges", "groove cracks that show fabric")),
        (3, ("flat spots", "fabric", "shake the wheel")),
    ],
)
def test_damage_that_takes_a_tyre_off_is_what_the_circular_names(damage, words):
    assert [word for word in words if word not in REMOVAL_CRITERIA[damage]] == []
    assert len(REMOVAL_CRITERIA) == 4


def test_uneven_wear_is_turned_while_no_fabric_shows():
    # AC 43.13-1B paragraph 9-14 b, as an owners' list quotes it
    assert "unevenly worn tyre may be turned" in TURNING_ADVICE
    assert "while no fabric shows" in TURNING_ADVICE


@pytest.mark.parametrize(
    ("call", "fields"),
    [
        (
            lambda: landings_left([0, -1], [0.2], limit_in=-1, new_depth_in=0, confidence=1.0),
            {"landings", "depths_in", "limit_in", "new_depth_in", "confidence"},
        ),
        (lambda: landings_left([], [], limit_in=0.1, new_depth_in=0.2), {"depths_in"}),
        (lambda: landings_left([0.0], [0.2], limit_in=0.1, new_depth_in=0.1), {"new_depth_in"}),
        (lambda: has_slipped(-1), {"mark_offset_in"}),
    ],
)
def test_impossible_figures_are_refused(call, fields):
    with pytest.raises(CalculationError) as error:
        call()
    assert {fault.field for fault in error.value.faults} == fields


@given(st.integers(0, 2**32), st.permutations(range(5)))
def test_order_of_readings_does_not_matter(seed, order):
    rng = np.random.default_rng(seed)
    landings = np.sort(rng.integers(0, 300, 5)).astype(float)
    depths = 0.25 - 4e-4 * landings + rng.normal(0, 0.01, 5)
    one = landings_left(landings, depths, limit_in=0.06, new_depth_in=0.25)
    other = landings_left(landings[order], depths[order], limit_in=0.06, new_depth_in=0.25)
    assert_allclose(one.landings_left, other.landings_left, rtol=1e-7)
    assert one.low <= one.landings_left <= one.high
