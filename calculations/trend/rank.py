"""Slope and trend test from pairs of readings: one misreading does not move them.

References
----------
.. [1] P. K. Sen, "Estimates of the regression coefficient based on Kendall's tau", Journal of the
       American Statistical Association 63 (1968) 1379-1389.
.. [2] M. G. Kendall, *Rank Correlation Methods*, 4th ed., Griffin, 1970: variance with ties.
.. [3] H. B. Mann, "Nonparametric tests against trend", Econometrica 13 (1945) 245-259.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calculations.checks import Checks, FloatArray
from calculations.distributions import normal_quantile, normal_upper_tail


@dataclass(frozen=True, slots=True)
class RankSlope:
    """Theil-Sen line.

    Parameters
    ----------
    slope : float
        Median of the slopes of all pairs [units of values per unit of time].
    intercept : float
        Median of values less slope times median of times [units of values].
    low, high : float
        Confidence limits of the slope.
    """

    slope: float
    intercept: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class TrendTest:
    """Mann-Kendall test.

    Parameters
    ----------
    score : int
        S: pairs that rise less pairs that fall.
    variance : float
        Variance of S when there is no trend, ties taken into account.
    z : float
        Standardised score with continuity correction.
    probability : float
        Two-sided chance of such a score when there is no trend.
    tau_a, tau_b : float
        Kendall's rank correlation, without and with correction for ties.
    """

    score: int
    variance: float
    z: float
    probability: float
    tau_a: float
    tau_b: float


def theil_sen(times: ArrayLike, values: ArrayLike, confidence: float = 0.95) -> RankSlope:
    """Estimate a slope by the median of the slopes of all pairs.

    Parameters
    ----------
    times : array_like
        When, in any order, shape (n,); a pair at one time has no slope and is left out.
    values : array_like
        What was read, shape (n,).
    confidence : float
        Of the interval of the slope.

    Returns
    -------
    RankSlope
        Slope, intercept, interval.

    Raises
    ------
    CalculationError
        If fewer than 3 readings, one time only, or shapes differ.

    Notes
    -----
    With N slopes in order and C = z sqrt(Var S), the interval runs from slope (N - C)/2 to slope
    (N + C)/2 + 1, ranks rounded to the nearest [1]_. Var S carries the ties of values and times [2]_.

    References
    ----------
    .. [1] Sen (1968), section 6.
    .. [2] Kendall (1970).

    Examples
    --------
    A strut that loses 0.015 in per reading, and one misread.

    >>> line = theil_sen(range(10), [2.50, 2.48, 2.47, 2.45, 2.44, 2.30, 2.41, 2.39, 2.38, 2.36])
    >>> round(line.slope, 4)
    -0.015
    """
    checks = Checks()
    checks.require(0 < confidence < 1, "confidence", "out_of_range", f"must be in (0, 1), is {confidence:g}")
    t, y = _as_series(checks, times, values)
    first, second = np.triu_indices(t.size, k=1)
    apart = t[second] != t[first]
    slopes = np.sort((y[second] - y[first])[apart] / (t[second] - t[first])[apart])
    slope = float(np.median(slopes))
    reach = normal_quantile(0.5 + confidence / 2) * _variance_of_score(t, y) ** 0.5
    lower = max(round((slopes.size - reach) / 2) - 1, 0)  # ranks count from 1, indices from 0
    upper = min(round((slopes.size + reach) / 2), slopes.size - 1)
    return RankSlope(
        slope=slope,
        intercept=float(np.median(y) - slope * np.median(t)),
        low=float(slopes[lower]),
        high=float(slopes[upper]),
    )


def mann_kendall(times: ArrayLike, values: ArrayLike) -> TrendTest:
    """Test whether values tend to rise or fall with time.

    Parameters
    ----------
    times : array_like
        When, in any order, shape (n,).
    values : array_like
        What was read, shape (n,).

    Returns
    -------
    TrendTest
        Score, variance with ties, z, two-sided probability, tau.

    Raises
    ------
    CalculationError
        If fewer than 3 readings, one time only, or shapes differ.

    Notes
    -----
    S = sum over pairs of sgn((t_j - t_i)(y_j - y_i)) [1]_; ties *lessen* its variance [2]_. z uses
    S -+ 1. Repeated at every new reading this is a multiple test: do not alarm on it.

    References
    ----------
    .. [1] Mann (1945).
    .. [2] Kendall (1970).

    Examples
    --------
    >>> test = mann_kendall(range(5), [4.5, 4.4, 4.4, 4.3, 4.1])
    >>> test.score, round(test.z, 3)
    (-9, -2.021)
    """
    t, y = _as_series(Checks(), times, values)
    first, second = np.triu_indices(t.size, k=1)
    score = int(np.sum(np.sign(t[second] - t[first]) * np.sign(y[second] - y[first])))
    variance = _variance_of_score(t, y)
    z = (score - np.sign(score)) / variance**0.5 if variance > 0 else 0.0
    pairs = t.size * (t.size - 1) / 2
    untied = (pairs - _tied_pairs(t)) * (pairs - _tied_pairs(y))
    return TrendTest(
        score=score,
        variance=variance,
        z=float(z),
        probability=min(2 * float(normal_upper_tail(abs(z))), 1.0),
        tau_a=score / pairs,
        tau_b=score / untied**0.5 if untied > 0 else 0.0,
    )


def _as_series(checks: Checks, times: ArrayLike, values: ArrayLike) -> tuple[FloatArray, FloatArray]:
    t = checks.finite("times", times)
    y = checks.finite("values", values)
    checks.require(t.ndim == 1 and t.shape == y.shape, "values", "shape", "must hold one value for each time")
    checks.require(t.size >= 3, "times", "too_few", f"must hold 3 readings or more, holds {t.size}")
    checks.require(np.unique(t).size > 1, "times", "one_time", "must hold at least two different times")
    checks.settle()
    return t, y


def _group_sizes(values: FloatArray) -> NDArray[np.int64]:
    return np.unique(values, return_counts=True)[1].astype(np.int64)


def _tied_pairs(values: FloatArray) -> float:
    sizes = _group_sizes(values)
    return float(np.sum(sizes * (sizes - 1)) / 2)


def _variance_of_score(t: FloatArray, y: FloatArray) -> float:
    n = t.size
    u, v = _group_sizes(t), _group_sizes(y)
    plain = n * (n - 1) * (2 * n + 5)
    tied = np.sum(u * (u - 1) * (2 * u + 5)) + np.sum(v * (v - 1) * (2 * v + 5))
    triples = np.sum(u * (u - 1) * (u - 2)) * np.sum(v * (v - 1) * (v - 2)) / (9 * n * (n - 1) * (n - 2))
    pairs = np.sum(u * (u - 1)) * np.sum(v * (v - 1)) / (2 * n * (n - 1))
    return float((plain - tied) / 18 + triples + pairs)  # Kendall (1970), ties in both rankings
