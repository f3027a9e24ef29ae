"""Quantiles of a mixture of leaks against its distribution function by SciPy."""

import numpy as np
import pytest
from scipy.stats import norm

from calculations.drift.forecast import Mixture, loss_quantiles


@pytest.mark.parametrize("tail", [0.02, 0.07, 0.2])
def test_quantiles_of_the_rate_are_where_its_distribution_says(tail: float) -> None:
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

    found = loss_quantiles(mixture, tail)

    for value, wanted in ((found.median, 0.5), (found.low, tail), (found.high, 1.0 - tail)):
        chance = (mixture.weight * norm.cdf(value, mixture.loss, np.sqrt(mixture.loss_variance))).sum(axis=0)
        assert chance == pytest.approx(np.full(40, wanted), abs=2e-5)
