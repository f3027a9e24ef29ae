"""The lockstep filter and the bank against slow, independent recomputation."""

from dataclasses import replace

import numpy as np
import pytest
from statsmodels.datasets import nile
from statsmodels.tsa.statespace.structural import UnobservedComponents

from calculations.drift import Events, FleetHabits, Histories, Readings, Struts, arrange
from calculations.drift.close_look import look_closely
from calculations.drift.filter import LEVEL, default_priors, run_filter
from calculations.drift.lanes import lane_groups, lay_out, prepare
from calculations.drift.model import STRUT_MODEL, DriftModel
from calculations.drift.sweep import chunks, possible_readings, strut_priors

NOT_ROBUST = replace(
    STRUT_MODEL, huber=1e9, outlier=1e9, leak_bound=1e9, look_huber=1e9, noise_prior_count=1e12, doubtful=np.inf
)


def plain_histories(value: np.ndarray, day: np.ndarray, work: Events | None = None) -> Histories:
    size = len(value)
    zero, one = np.zeros(size), np.ones(1)
    readings = Readings(
        series=np.zeros(size, np.int64), day=day, corrected_in=value, raw_in=value, temperature_offset_f=zero,
        load_offset_lbf=zero, exercised=np.ones(size, bool), temperature_sd_f=zero, load_sd_lbf=zero, scale_in=zero,
    )  # fmt: skip
    struts = Struts(0 * one, 0 * one, 0 * one, np.nan * one, 0 * one, 0 * one, 0 * one, 0 * one)
    return arrange(readings, struts, work or Events.none())


def test_local_level_agrees_with_the_nile_values_and_with_statsmodels() -> None:
    """Durbin & Koopman's Nile model: variances 15099 and 1469.1; printed a100 = 819.6373, recomputed."""
    volume = nile.load_pandas().data["volume"].to_numpy()
    month = 30.44
    model = replace(NOT_ROBUST, reader_sd=0.0, friction_exercised_sd=15099**0.5, level_walk_per_month=1469.1**0.5)
    histories = plain_histories(volume, month * np.arange(len(volume)))
    prepared = prepare(histories, np.ones(len(volume), bool), model, FleetHabits())
    priors = default_priors(1, model)
    priors.mean[:] = 0.0
    priors.variance[:] = 0.0
    priors.variance[LEVEL] = 1e7

    filtered = run_filter(lay_out(prepared, lane_groups(prepared, 1)[0]), priors, model)

    # The filtered level after the 99th observation is the prediction a100 of the local level model.
    assert filtered.level[98, 0] == pytest.approx(819.6373, abs=5e-5)
    assert filtered.innovation[:4, 0] == pytest.approx([1120.0, 41.6885, -177.1084, 137.6840], abs=5e-5)
    oracle = UnobservedComponents(volume, "llevel")
    oracle.ssm.initialize_known(np.array([0.0]), np.array([[1e7]]))
    expected = oracle.filter([15099.0, 1469.1]).filtered_state[0]
    np.testing.assert_allclose(filtered.level[:, 0], expected, rtol=1e-9)


def batch_log_likelihood(
    value: np.ndarray, h: np.ndarray, prior_mean: np.ndarray, prior_variance: np.ndarray, noise: np.ndarray,
    walk: np.ndarray,
) -> float:  # fmt: skip
    """Gaussian log-likelihood from the full covariance matrix: no recursion at all."""
    covariance = h @ np.diag(prior_variance) @ h.T + np.minimum.outer(walk, walk) + np.diag(noise)
    error = value - h @ prior_mean
    return float(-0.5 * (error @ np.linalg.solve(covariance, error) + np.linalg.slogdet(covariance)[1]))


def without_work(one: Histories) -> Histories:
    return replace(one, work=Events.none(), work_offsets=np.zeros(2, np.int64))


def test_every_onset_and_rate_of_a_close_look_is_the_exact_likelihood_ratio(leaking_histories: Histories) -> None:
    """Without robustness it is linear algebra: compare with dense matrices, ramp by ramp."""
    one = leaking_histories.select(np.array([3]))
    model = replace(NOT_ROBUST, noise_forgetting=1.0)
    usable = possible_readings(one)
    usable[45:] = False
    one = without_work(one)
    prepared = prepare(one, usable, model, FleetHabits())
    priors = strut_priors(one, model, FleetHabits())
    lanes = lay_out(prepared, np.array([0]))

    filtered = run_filter(lanes, priors, model)
    leaks = look_closely(lanes, filtered, lanes.position >= 0, np.zeros(1, np.float32), model)

    h = filtered.h[:, :, 0]
    walk = model.level_walk_per_month**2 * lanes.month[:, 0]
    noise = prepared.variance
    quiet = batch_log_likelihood(prepared.value, h, priors.mean[:, 0], priors.variance[:, 0], noise, walk)
    for slot in np.nonzero(np.isfinite(leaks.onset_day[:, 0]))[0]:
        ramp = -np.maximum(prepared.day - leaks.onset_day[slot, 0], 0.0) / 30.44
        for number, rate in enumerate(model.rates_per_month):
            leak = batch_log_likelihood(
                prepared.value - rate * ramp, h, priors.mean[:, 0], priors.variance[:, 0], noise, walk
            )
            assert leaks.log_ratio[number, slot, 0] == pytest.approx(leak - quiet, abs=2e-3, rel=1e-3)


def test_chunks_of_any_width_give_the_same_answer(leaking_histories: Histories) -> None:
    model = STRUT_MODEL
    prepared = prepare(leaking_histories, possible_readings(leaking_histories), model, FleetHabits())
    priors = strut_priors(leaking_histories, model, FleetHabits())
    last: dict[int, list[float]] = {}
    for width in (1, 7, 60):
        for chunk in chunks(prepared, priors, model, lanes=width):
            steps = (chunk.lanes.position >= 0).sum(axis=0) - 1
            for column, series in enumerate(chunk.lanes.series):
                last.setdefault(int(series), []).append(float(chunk.told.after_each[steps[column], column]))

    for values in last.values():
        assert values == pytest.approx([values[0]] * 3, abs=1e-4)


def test_the_strut_learns_its_own_temperature_slope() -> None:
    """A sheet that is wrong by 0.003 in/degF leaves a yearly wave; the state finds it."""
    rng = np.random.default_rng(5)
    day = np.arange(0.0, 730.0, 4.0)
    warmth = -15 - 25 * np.cos(2 * np.pi * day / 365.25) + rng.normal(0, 8, len(day))
    base = plain_histories(4.5 + 0.003 * warmth + rng.normal(0, 0.08, len(day)), day)
    histories = replace(
        base,
        readings=replace(base.readings, temperature_offset_f=warmth),
        struts=replace(base.struts, target_in=np.array([4.5]), temperature_slope_sd=np.array([0.002])),
    )
    model: DriftModel = STRUT_MODEL
    prepared = prepare(histories, np.ones(len(day), bool), model, FleetHabits())
    priors = strut_priors(histories, model, FleetHabits())

    filtered = run_filter(lay_out(prepared, np.array([0])), priors, model)

    assert filtered.state[2, 0] == pytest.approx(0.003, abs=0.0007)
