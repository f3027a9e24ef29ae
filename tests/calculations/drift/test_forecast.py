"""Quantiles of leaks against their distribution functions, by SciPy and by NumPy's interpolation."""

import numpy as np
import pytest
from scipy.stats import norm

from calculations.drift.forecast import (
    LEAKS_TO_NONE,
    NOT_RULED_OUT_TAIL,
    RATE_HIGH_TAILS,
    RATE_LOW_TAIL,
    Mixture,
    loss_quantiles,
    not_ruled_out,
)
from calculations.drift.model import STRUT_MODEL


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
