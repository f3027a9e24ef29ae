"""Local level filter on the Nile series, against Durbin & Koopman and statsmodels."""

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calculations.errors import CalculationError
from calculations.trend.local_level import (
    diffuse_log_likelihood,
    filter_local_level,
    fit_local_level,
    steady_state,
)

# Durbin & Koopman (2012), table 2.1: from memory, source not seen
NOISE, STEP = 15099.0, 1469.1


@pytest.fixture(scope="module")
def nile():
    return sm.datasets.nile.load_pandas().data.volume.to_numpy()


def test_the_series_is_that_of_the_nile(nile):
    assert (nile.size, nile[:3].tolist(), nile[-1]) == (100, [1120, 1160, 963], 740)


def test_filter_values_as_printed(nile):
    # independent run with a1 = 0, P1 = 1e7
    out = filter_local_level(
        nile, observation_variance=NOISE, level_variance=STEP, first_level=0.0, first_variance=1e7
    )
    assert_allclose(
        out.predicted[[1, 2, 3, 99, 100]], [1118.3115, 1140.1084, 1072.3160, 819.6373, 798.3703], rtol=0, atol=0.5e-4
    )
    assert_allclose(out.predicted_variance[1:4], [16545.336, 9363.658, 7248.597], rtol=0, atol=0.5e-3)
    assert_allclose(out.innovation[:4], [1120, 41.6885, -177.1084, 137.6840], rtol=0, atol=0.5e-4)


def test_steady_state_as_printed():
    # analytic, computed for the same variances
    predicted, gain = steady_state(observation_variance=NOISE, level_variance=STEP)
    assert_allclose(predicted, 5501.2579, rtol=0, atol=0.5e-4)
    assert_allclose(gain, 0.267048, rtol=0, atol=0.5e-6)
    assert_allclose(STEP / NOISE, 0.097298, rtol=0, atol=0.5e-6)


def test_the_filter_settles_to_the_steady_state(nile):
    out = filter_local_level(
        nile, observation_variance=NOISE, level_variance=STEP, first_level=0.0, first_variance=1e7
    )
    predicted, _ = steady_state(observation_variance=NOISE, level_variance=STEP)
    assert_allclose(out.predicted_variance[-1], predicted, rtol=1e-9)


def test_fit_of_the_nile(nile):
    fit = fit_local_level(nile)
    # Durbin & Koopman: 15099 and 1469.1, from memory; variances to 1 %
    assert_allclose([fit.observation_variance, fit.level_variance], [NOISE, STEP], rtol=0.01)
    # An independent re-fit printed 15103.6...15108.3 and 1461.4...1463.5: where two of statsmodels' searches stop
    # with its own start, variance 1e6. Ours must be more likely.
    for noise, step in ((15103.6, 1461.4), (15108.3, 1463.5), (NOISE, STEP)):
        assert fit.log_likelihood >= diffuse_log_likelihood(nile, observation_variance=noise, level_variance=step)


def test_diffuse_likelihood_equals_that_of_statsmodels(nile):
    model = sm.tsa.UnobservedComponents(nile, "local level", use_exact_diffuse=True)
    ours = diffuse_log_likelihood(nile, observation_variance=NOISE, level_variance=STEP)
    assert_allclose(ours, model.loglike([NOISE, STEP]), rtol=1e-12)


def test_the_printed_likelihood_is_that_of_a_start_with_variance_one_million(nile):
    # -632.5377 is printed as "exact diffuse". It is the likelihood of observations 2..100 after a
    # start with variance 1e6 (statsmodels' default). The exact diffuse value is -633.4646, or
    # -632.5456 when the first observation is not counted with its -log(2 pi)/2.
    out = filter_local_level(
        nile, observation_variance=15103.56, level_variance=1461.364, first_level=0.0, first_variance=1e6
    )
    terms = np.log(2 * np.pi * out.innovation_variance) + out.innovation**2 / out.innovation_variance
    assert_allclose(-0.5 * terms[1:].sum(), -632.5377, rtol=0, atol=0.5e-4)
    fit = fit_local_level(nile)
    assert_allclose(fit.log_likelihood, -633.4646, rtol=0, atol=0.5e-4)
    again = diffuse_log_likelihood(
        nile, observation_variance=fit.observation_variance, level_variance=fit.level_variance
    )
    assert_allclose(again, fit.log_likelihood, rtol=1e-14)


def test_a_long_gap_equals_missing_observations(nile):
    start = {"observation_variance": NOISE, "level_variance": STEP, "first_level": 0.0, "first_variance": 1e7}
    gaps = np.ones(3)
    gaps[1] = 5
    out = filter_local_level(nile[:3], gaps=gaps, **start)
    even = filter_local_level(nile[:2], **start)
    assert_allclose(out.predicted_variance[2], even.predicted_variance[2] + 4 * STEP)
    assert_allclose(out.predicted[2], even.predicted[2])


@pytest.mark.parametrize(
    ("call", "fields"),
    [
        (
            lambda: filter_local_level(
                [], observation_variance=0, level_variance=-1, first_level=0, first_variance=-1, gaps=-1
            ),
            {"values", "observation_variance", "level_variance", "first_variance", "gaps"},
        ),
        (lambda: diffuse_log_likelihood([1.0], observation_variance=1, level_variance=1), {"values"}),
        (lambda: fit_local_level([1.0, 2.0]), {"values"}),
        (lambda: fit_local_level([1.0, 1.0, 1.0]), {"values"}),
        (
            lambda: steady_state(observation_variance=0, level_variance=-1),
            {"observation_variance", "level_variance"},
        ),
    ],
)
def test_impossible_settings_are_refused(call, fields):
    with pytest.raises(CalculationError) as error:
        call()
    assert {fault.field for fault in error.value.faults} == fields


@settings(deadline=None, max_examples=30)
@given(st.integers(0, 2**32), st.floats(0.01, 100), st.floats(-100, 100))
def test_the_fit_follows_a_change_of_unit(seed, scale, shift):
    rng = np.random.default_rng(seed)
    y = np.cumsum(rng.normal(size=15)) + rng.normal(size=15)
    before, after = fit_local_level(y), fit_local_level(y * scale + shift)
    tiny = 1e-5 * before.observation_variance * scale**2
    assert_allclose(after.observation_variance, before.observation_variance * scale**2, rtol=1e-3, atol=tiny)
