"""Rise per stroke learned from a log: worked example, batch against sequence, and the normal equations."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy import stats

from calculations.dosing import DoseLog, falls_short, learn, prior_calibration, surprise
from calculations.errors import CalculationError


def test_a_new_pump_is_expected_to_give_a_quarter_inch():
    # numerical study made for this project, example 1: b .250 -+ .088, which is .35 x .25 = .0875 rounded up
    known = prior_calibration()
    assert known.rise_per_unit_in == 0.250
    assert_allclose(known.uncertainty_in, 0.0875, rtol=1e-12)
    assert known.degrees_of_freedom == 6


def test_three_doses_of_the_log():
    # study, example 2: 4 strokes .9 in, 4 strokes 1.1 in, 3 strokes .7 in: b .246 -+ .015
    known = learn(prior_calibration(), DoseLog([4, 4, 3], [0.9, 1.1, 0.7]))
    assert_allclose(known.rise_per_unit_in, 0.246, rtol=0, atol=0.0005)
    assert_allclose(known.uncertainty_in, 0.015, rtol=0, atol=0.0005)
    assert known.degrees_of_freedom == 9  # six and the number of doses


def test_three_doses_teach_a_pump_to_five_percent():
    # study: 5 % after three doses; of five strokes each, the first dose that a new pump is given
    known = learn(prior_calibration(), DoseLog([5, 5, 5], [1.25, 1.25, 1.25]))
    scale = np.sqrt(known.shape / known.rate)  # of a noise as large as expected: scale 1
    assert_allclose(100 * scale * known.uncertainty_in / known.rise_per_unit_in, 5, rtol=0, atol=0.5)


def test_the_posterior_is_that_of_weighted_least_squares_with_the_prior_as_one_more_row():
    units, rise = np.array([4.0, 4.0, 3.0]), np.array([0.9, 1.1, 0.7])
    settled, ratio = np.array([True, False, True]), np.array([1.0, 0.9, 1.1])
    noise = 2 * 0.06**2 + 0.12**2 * 0.25**2 * units + np.where(settled, 0, 0.2**2)
    rows = np.concatenate((units * ratio / np.sqrt(noise), [1 / (0.35 * 0.25)]))
    right = np.concatenate((rise / np.sqrt(noise), [1 / 0.35]))
    mean = rows @ right / (rows @ rows)
    known = learn(prior_calibration(), DoseLog(units, rise, settled, ratio))
    assert_allclose(known.rise_per_unit_in, mean)
    assert_allclose(known.precision, rows @ rows)
    assert_allclose(known.rate, 3 + 0.5 * np.sum((right - rows * mean) ** 2))
    assert known.shape == 4.5


def test_a_dose_of_nothing_teaches_nothing():
    known = learn(prior_calibration(), DoseLog([4, 0], [0.9, 5.0]))
    alone = learn(prior_calibration(), DoseLog([4], [0.9]))
    assert_allclose(known.rise_per_unit_in, alone.rise_per_unit_in)
    assert known.shape == alone.shape


def test_many_struts_learn_at_once():
    together = learn(prior_calibration([0.25, 0.20]), DoseLog([[4, 3], [5, 0]], [[0.9, 0.8], [1.0, 0.0]]))
    for i, log in enumerate((DoseLog([4, 3], [0.9, 0.8]), DoseLog([5], [1.0]))):
        alone = learn(prior_calibration([0.25, 0.20][i]), log)
        assert_allclose(together.rise_per_unit_in[i], alone.rise_per_unit_in)
        assert_allclose(together.uncertainty_in[i], alone.uncertainty_in)


def test_a_strut_that_does_not_move_after_exercise_is_a_surprise():
    # 15 strokes and nothing seen after exercise: gas went elsewhere or the strut is bound
    known = learn(prior_calibration(), DoseLog([4, 4, 3], [0.9, 1.1, 0.7]))
    bound = surprise(known, 15, 0.1)
    assert_allclose(bound.expected_in, 15 * known.rise_per_unit_in)
    assert bound.chance_of_less < 0.001
    assert_allclose(bound.chance_of_less + bound.chance_of_more, 1)
    usual = surprise(known, 4, 1.0)
    assert 0.3 < usual.chance_of_more < 0.7
    assert surprise(known, 4, 0.6, settled=False).chance_of_less > surprise(known, 4, 0.6).chance_of_less


def test_surprise_is_the_predictive_student_t():
    known = learn(prior_calibration(), DoseLog([4, 4, 3], [0.9, 1.1, 0.7]))
    variance = known.rate / known.shape * (25 * 0.9**2 / known.precision + 2 * 0.06**2 + 0.12**2 * 0.25**2 * 5)
    found = surprise(known, 5, 1.0, pressure_ratio=0.9)
    expected = stats.t.sf((1.0 - 4.5 * known.rise_per_unit_in) / np.sqrt(variance), 9)
    assert_allclose(found.chance_of_more, expected)


@pytest.mark.parametrize(("expected", "variation"), [(0.25, 0.35), (0.1, 0.35), (0.5, 1.0)])
def test_a_dose_falls_short_below_the_lower_hundredth_of_a_lognormal_rise(expected, variation):
    # scipy's lognormal with the same median and relative spread, less two standard deviations of strokes and readings
    units = np.array([1.0, 5.0, 20.0])
    least = stats.lognorm.ppf(0.01, np.sqrt(np.log(1 + variation**2)), scale=expected)
    for settled, unsettled in ((True, 0.0), (False, 0.2)):
        allowed = 2 * np.sqrt(2 * 0.06**2 + 0.12**2 * expected**2 * units + unsettled**2)
        edge = units * 0.9 * least - allowed
        prior = prior_calibration(expected, variation)
        assert falls_short(prior, DoseLog(units, edge - 1e-9, settled, 0.9)).all()
        assert not falls_short(prior, DoseLog(units, edge + 1e-9, settled, 0.9)).any()


def test_nothing_given_and_more_than_expected_never_fall_short():
    assert not falls_short(prior_calibration(), DoseLog([0, 5, 1], [-1.0, 30.0, 0.0])).any()


@pytest.mark.parametrize(
    ("call", "fields"),
    [
        (lambda: prior_calibration(0, -1), {"rise_per_unit_in", "variation"}),
        (
            lambda: learn(prior_calibration(), DoseLog([-1], ["x"], True, [0])),
            {"units", "rise_in", "pressure_ratio"},
        ),
        (
            lambda: falls_short(prior_calibration(), DoseLog([-1], ["x"], True, [0])),
            {"units", "rise_in", "pressure_ratio"},
        ),
        (
            lambda: surprise(prior_calibration(), 0, float("nan"), pressure_ratio=0),
            {"units", "rise_in", "pressure_ratio"},
        ),
    ],
)
def test_impossible_figures_are_refused(call, fields):
    with pytest.raises(CalculationError) as error:
        call()
    assert {fault.field for fault in error.value.faults} == fields


doses = st.lists(st.tuples(st.integers(1, 12), st.floats(-0.5, 4.0), st.booleans()), min_size=1, max_size=8)


@given(doses, st.randoms(use_true_random=False))
def test_dose_by_dose_in_any_order_is_the_same_as_all_at_once(log, random):
    units, rise, settled = (np.array(column) for column in zip(*log, strict=True))
    at_once = learn(prior_calibration(), DoseLog(units, rise, settled))
    known, order = prior_calibration(), list(range(len(log)))
    random.shuffle(order)
    for i in order:
        known = learn(known, DoseLog(units[[i]], rise[[i]], settled[[i]]))
    assert_allclose(known.rise_per_unit_in, at_once.rise_per_unit_in, rtol=1e-9)
    assert_allclose(
        [known.precision, known.shape, known.rate], [at_once.precision, at_once.shape, at_once.rate], rtol=1e-9
    )


@given(doses, st.floats(0.5, 2.0))
def test_rise_per_stroke_scales_with_the_load_it_is_referred_to(log, ratio):
    # the same doses under another pressure: b times the ratio is what is seen
    units, rise, settled = (np.array(column) for column in zip(*log, strict=True))
    here = learn(prior_calibration(0.25, 1e6), DoseLog(units, rise, settled))
    there = learn(prior_calibration(0.25, 1e6), DoseLog(units, rise, settled, ratio))
    assert_allclose(there.rise_per_unit_in * ratio, here.rise_per_unit_in, rtol=1e-6, atol=1e-9)
