"""A level that wanders, seen through noise: the simplest Kalman filter.

References
----------
.. [1] J. Durbin and S. J. Koopman, *Time Series Analysis by State Space Methods*, 2nd ed., Oxford
       University Press, 2012, chapter 2.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from calculations.checks import Checks, FloatArray


@dataclass(frozen=True, slots=True)
class LocalLevel:
    """Result of one pass of the filter.

    Parameters
    ----------
    predicted, predicted_variance : ndarray
        Level before each observation and after the last, shape (n + 1,) [units of values, squared].
    innovation, innovation_variance : ndarray
        Observation less prediction, shape (n,).
    log_likelihood : float
        Of all observations given the start.
    """

    predicted: FloatArray
    predicted_variance: FloatArray
    innovation: FloatArray
    innovation_variance: FloatArray
    log_likelihood: float


@dataclass(frozen=True, slots=True)
class LocalLevelFit:
    """Variances that make a series most likely.

    Parameters
    ----------
    observation_variance, level_variance : float
        Of the noise, and of the level's step over one unit of time [units of values squared].
    log_likelihood : float
        Diffuse log-likelihood at the maximum.
    """

    observation_variance: float
    level_variance: float
    log_likelihood: float


def filter_local_level(
    values: ArrayLike,
    *,
    observation_variance: float,
    level_variance: float,
    first_level: float,
    first_variance: float,
    gaps: ArrayLike = 1.0,
) -> LocalLevel:
    """Follow the level through a series.

    Parameters
    ----------
    values : array_like
        Observations in order of time, shape (n,).
    observation_variance, level_variance : float
        Of the noise, and of the level's step over one unit of time.
    first_level, first_variance : float
        What is known of the level before the first observation.
    gaps : array_like, optional
        Time from each observation to the next, shape (n,) or one for all.

    Returns
    -------
    LocalLevel
        Predictions, innovations and likelihood.

    Raises
    ------
    CalculationError
        If the series is empty, a variance is out of range, or a gap is negative.

    Notes
    -----
    v = y - a, F = P + s_e, K = P/F, a' = a + K v, P' = P (1 - K) + gap s_h, eq. 2.15 of [1]_.

    References
    ----------
    .. [1] Durbin and Koopman (2012), section 2.2.

    Examples
    --------
    >>> out = filter_local_level(
    ...     [1120, 1160], observation_variance=15099, level_variance=1469.1, first_level=0, first_variance=1e7
    ... )
    >>> out.predicted.round(1).tolist()
    [0.0, 1118.3, 1140.1]
    """
    checks = Checks()
    y = checks.finite("values", values)
    checks.require(y.ndim == 1 and y.size > 0, "values", "too_few", "must hold at least one observation")
    noise = float(checks.positive("observation_variance", observation_variance))
    step = float(checks.not_negative("level_variance", level_variance))
    level = float(checks.finite("first_level", first_level))
    variance = float(checks.not_negative("first_variance", first_variance))
    waits = checks.not_negative("gaps", gaps)
    checks.settle()
    waits = np.broadcast_to(waits, y.shape)
    predicted, spread = np.empty(y.size + 1), np.empty(y.size + 1)
    for i in range(y.size):
        predicted[i], spread[i] = level, variance
        gain = variance / (variance + noise)
        level = level + gain * (y[i] - level)
        variance = variance * (1 - gain) + waits[i] * step
    predicted[-1], spread[-1] = level, variance
    innovation, innovation_variance = y - predicted[:-1], spread[:-1] + noise
    terms = np.log(2 * np.pi * innovation_variance) + innovation**2 / innovation_variance
    return LocalLevel(predicted, spread, innovation, innovation_variance, float(-0.5 * terms.sum()))


def diffuse_log_likelihood(values: ArrayLike, *, observation_variance: float, level_variance: float) -> float:
    """Return the log-likelihood when nothing is known of the level beforehand.

    Parameters
    ----------
    values : array_like
        Observations in order of time, evenly spaced, shape (n,), at least 2.
    observation_variance, level_variance : float
        Of the noise and of the level's step.

    Returns
    -------
    float
        Exact diffuse log-likelihood.

    Raises
    ------
    CalculationError
        If the series is too short or a variance is out of range.

    Notes
    -----
    The first observation only sets the level and counts as -log(2 pi)/2, section 2.10 of [1]_.

    References
    ----------
    .. [1] Durbin and Koopman (2012), section 2.10.

    Examples
    --------
    >>> round(diffuse_log_likelihood([1.0, 1.5, 0.5], observation_variance=1, level_variance=0), 3)
    -3.556
    """
    checks = Checks()
    y = checks.finite("values", values)
    checks.require(y.ndim == 1 and y.size > 1, "values", "too_few", "must hold at least two observations")
    checks.settle()
    rest = filter_local_level(
        y[1:],
        observation_variance=observation_variance,
        level_variance=level_variance,
        first_level=float(y[0]),
        first_variance=observation_variance + level_variance,
    )
    return rest.log_likelihood - 0.5 * float(np.log(2 * np.pi))


def fit_local_level(values: ArrayLike) -> LocalLevelFit:
    """Find the two variances by maximum likelihood.

    Parameters
    ----------
    values : array_like
        Observations in order of time, evenly spaced, shape (n,), at least 3.

    Returns
    -------
    LocalLevelFit
        Variances and likelihood.

    Raises
    ------
    CalculationError
        If the series is too short or does not vary.

    Notes
    -----
    For a ratio q of the variances the noise variance that fits best is known in closed form
    (concentrated likelihood, section 2.10.2 of [1]_), so only q is searched, by golden section in
    ln q from 1e-8 to 1e8.

    References
    ----------
    .. [1] Durbin and Koopman (2012), section 2.10.

    Examples
    --------
    >>> fit = fit_local_level([3.0, 1.0, 2.0, 1.5, 2.5, 2.0])
    >>> fit.level_variance < 1e-6 * fit.observation_variance
    True
    """
    checks = Checks()
    y = checks.finite("values", values)
    enough = y.ndim == 1 and y.size > 2
    checks.require(enough, "values", "too_few", "must hold at least three observations")
    checks.require(not enough or np.ptp(y) > 0, "values", "no_variation", "must not all be the same")
    checks.settle()

    def fit_at(log_ratio: float) -> LocalLevelFit:
        ratio = float(np.exp(log_ratio))
        unit = filter_local_level(
            y[1:], observation_variance=1.0, level_variance=ratio, first_level=y[0], first_variance=1 + ratio
        )
        noise = float(np.mean(unit.innovation**2 / unit.innovation_variance))
        spread = float(np.log(noise * unit.innovation_variance).sum())
        likelihood = -0.5 * (y.size * float(np.log(2 * np.pi)) + spread + y.size - 1)
        return LocalLevelFit(noise, noise * ratio, likelihood)

    golden = (5**0.5 - 1) / 2
    low, high = float(np.log(1e-8)), float(np.log(1e8))
    left, right = high - golden * (high - low), low + golden * (high - low)
    fit_left, fit_right = fit_at(left), fit_at(right)
    while high - low > 1e-7:
        if fit_left.log_likelihood > fit_right.log_likelihood:
            high, right, fit_right = right, left, fit_left
            left = high - golden * (high - low)
            fit_left = fit_at(left)
        else:
            low, left, fit_left = left, right, fit_right
            right = low + golden * (high - low)
            fit_right = fit_at(right)
    return max(fit_left, fit_right, key=lambda fit: fit.log_likelihood)


def steady_state(*, observation_variance: float, level_variance: float) -> tuple[float, float]:
    """Return the variance of the prediction and the gain that the filter settles to.

    Parameters
    ----------
    observation_variance, level_variance : float
        Of the noise and of the level's step.

    Returns
    -------
    predicted_variance, gain : float
        P = (s_h + sqrt(s_h^2 + 4 s_h s_e))/2, K = P/(P + s_e).

    Raises
    ------
    CalculationError
        If a variance is out of range.

    Notes
    -----
    Solution of P = P - P^2/(P + s_e) + s_h, section 2.11 of [1]_.

    References
    ----------
    .. [1] Durbin and Koopman (2012), section 2.11.

    Examples
    --------
    >>> variance, gain = steady_state(observation_variance=15099, level_variance=1469.1)
    >>> round(variance, 4), round(gain, 6)
    (5501.2579, 0.267048)
    """
    checks = Checks()
    noise = float(checks.positive("observation_variance", observation_variance))
    step = float(checks.not_negative("level_variance", level_variance))
    checks.settle()
    predicted = (step + (step**2 + 4 * step * noise) ** 0.5) / 2
    return predicted, predicted / (predicted + noise)
