"""Quantiles of leaks against their distribution functions, by SciPy and by NumPy's interpolation."""

import numpy as np
import pytest
from scipy.stats import norm

from calculations.drift import FleetHabits, Histories
from calculations.drift.close_look import Leaks, look_closely
from calculations.drift.filter import run_filter
from calculations.drift.forecast import (
    LEAKS_TO_NONE,
    NOT_RULED_OUT_TAIL,
    RATE_HIGH_TAILS,
    RATE_LOW_TAIL,
    Mixture,
    fine,
    leak_mixture,
    loss_quantiles,
    not_ruled_out,
)
from calculations.drift.lanes import lay_out, prepare
from calculations.drift.model import STRUT_MODEL
from calculations.drift.sweep import possible_readings, strut_priors
from tests.calculations.drift.test_filter import NOT_ROBUST, without_work


@pytest.mark.parametrize("unit", [0.005, 0.025, 0.1])
def test_quantiles_of_the_rate_are_where_its_distribution_says(unit: float) -> None:
    rng = np.random.default_rng(11)
    shape = (96, 40)
    weight = rng.exponential(1.0, shape) ** 3
    nothing = np.zeros(shape)
    mixture = Mixture(
        weight=weight / weight.sum(axis=0),
        loss=rng.gamma(1.0, 0.15, shape),
        level=nothing,
        loss_variance=rng.uniform(0.002, 0.05, shape) ** 2,
        level_variance=nothing,
        covariance=nothing,
        onset_day=nothing,
    )

    found = loss_quantiles(mixture, unit)

    relative, tails = zip(*RATE_HIGH_TAILS, strict=True)
    mean = (mixture.weight * mixture.loss).sum(axis=0)
    high_tail = np.interp(np.log(mean / unit), np.log(relative), tails)
    for value, wanted in ((found.median, 0.5), (found.low, RATE_LOW_TAIL), (found.high, 1.0 - high_tail)):
        chance = (mixture.weight * norm.cdf(value, mixture.loss, np.sqrt(mixture.loss_variance))).sum(axis=0)
        assert chance == pytest.approx(np.broadcast_to(wanted, 40), abs=2e-5)


@pytest.mark.parametrize("readings", [25, 60])
def test_a_mixture_has_the_moments_that_dense_matrices_give(leaking_histories: Histories, readings: int) -> None:
    """Of one onset: level at the last reading and loss per month, at each rate by conditioning normal variables."""
    model = fine(NOT_ROBUST)
    one = without_work(leaking_histories.select(np.array([3])))
    usable = possible_readings(one)
    usable[readings:] = False
    prepared, priors = prepare(one, usable, model, FleetHabits()), strut_priors(one, model, FleetHabits())
    lanes = lay_out(prepared, np.array([0]))
    filtered = run_filter(lanes, priors, model)
    leaks = look_closely(lanes, filtered, lanes.position >= 0, np.zeros(1, np.float32), model)
    slot = int(np.argmin(np.abs(leaks.onset_day[:, 0] - prepared.day[readings // 2])))
    alone = Leaks(leaks.log_ratio[:, [slot]], leaks.response[:, [slot]], leaks.onset_day[[slot]])

    mixture = leak_mixture(lanes, filtered, alone, model, np.ones(len(model.rates_per_month)))

    def moments(weight, level, loss, own):
        mean = weight @ level, weight @ loss
        off = np.array([level - mean[0], loss - mean[1]])
        return [*mean, *((off * weight) @ off.T + own)[np.triu_indices(2)]]

    weight, level, loss = mixture.weight[:, 0], mixture.level[:, 0], mixture.loss[:, 0]
    within = [[mixture.level_variance, mixture.covariance], [mixture.covariance, mixture.loss_variance]]
    found = moments(weight, level, loss, np.array(within)[..., 0] @ weight)
    h, month = filtered.h[:, :, 0], lanes.month[:, 0]
    walk = model.level_walk_per_month**2 * np.minimum.outer(month, month)
    spread = h @ np.diag(priors.variance[:, 0]) @ h.T + walk + np.diag(prepared.variance)
    wanted = np.array([[1.0, month[-1], 0, 0, 0], [0, -1.0, 0, 0, 0]])  # level on its line, and the seep
    shared = wanted @ np.diag(priors.variance[:, 0]) @ h.T + np.outer([1.0, 0.0], walk[-1])
    gain = np.linalg.solve(spread, shared.T).T
    own = wanted @ np.diag(priors.variance[:, 0]) @ wanted.T + np.diag([walk[-1, -1], 0.0]) - gain @ shared.T
    ramp = -np.maximum(prepared.day - alone.onset_day[0, 0], 0.0) / 30.44
    half = np.sqrt(model.rates_per_month[1] / model.rates_per_month[0])
    rates = np.geomspace(model.rates_per_month[0] / half, model.rates_per_month[-1] * half, 4000)
    error = prepared.value - h @ priors.mean[:, 0] - rates[:, None] * ramp
    explained = -0.5 * np.einsum("ri,ri->r", error, np.linalg.solve(spread, error.T).T)
    weight = np.exp(explained - explained.max())
    level, loss = (wanted @ priors.mean[:, 0])[:, None] + gain @ error.T + [rates * ramp[-1], rates]
    expected = moments(weight / weight.sum(), level, loss, own)
    assert found == pytest.approx(expected, rel=0.02)


def test_a_leak_not_found_may_be_as_fast_as_the_odds_leave_possible() -> None:
    of_each_rate = np.random.default_rng(12).exponential(1.0, (len(STRUT_MODEL.rates_per_month), 50))

    found = not_ruled_out(of_each_rate, STRUT_MODEL)

    rates = np.log(STRUT_MODEL.rates_per_month)
    middles = (rates[1:] + rates[:-1]) / 2.0
    edges = [rates[0] - (middles[0] - rates[0]), *middles, rates[-1] + (rates[-1] - middles[-1])]
    for rate, odds in zip(found, LEAKS_TO_NONE * of_each_rate.T, strict=True):
        slower = np.concatenate([[1.0], 1.0 + np.cumsum(odds)]) / (1.0 + odds.sum())
        assert np.interp(np.log(rate), edges, slower) == pytest.approx(1.0 - NOT_RULED_OUT_TAIL)


def test_where_the_odds_of_any_leak_are_small_none_is_left_possible() -> None:
    assert not_ruled_out(np.full((5, 1), 0.03), STRUT_MODEL).tolist() == [0.0]
    assert not_ruled_out(np.zeros((5, 1)), STRUT_MODEL).tolist() == [0.0]
