"""Control charts that add up small shifts: tabular CUSUM and EWMA, over many series at once.

References
----------
.. [1] NIST/SEMATECH, *e-Handbook of Statistical Methods*, sections 6.3.2.3 and 6.3.2.4.
.. [2] D. C. Montgomery, *Introduction to Statistical Quality Control*, Wiley.
.. [3] D. Brook and D. A. Evans, "An approach to the probability distribution of CUSUM run length",
       Biometrika 59 (1972) 539-549.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calculations.checks import BoolArray, Checks, FloatArray
from calculations.distributions import normal_upper_tail
from calculations.errors import refuse

LONGEST_RUN: Final = 1e12  # [observations] beyond which the equations have no digits left


@dataclass(frozen=True, slots=True)
class CusumChart:
    """Tabular cumulative sums.

    Parameters
    ----------
    high, low : ndarray
        Sums above and below target, observations along the last axis [units of values].
    cumulative : ndarray
        Plain running sum of deviations [units of values].
    first_signal : ndarray of int
        Index of the first observation with a sum above the decision limit; -1 when none.
    """

    high: FloatArray
    low: FloatArray
    cumulative: FloatArray
    first_signal: NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class EwmaChart:
    """Exponentially weighted moving average with its limits.

    Parameters
    ----------
    smoothed : ndarray
        The average after each observation [units of values].
    lower, upper : ndarray
        Exact limits at each observation [units of values].
    lower_asymptote, upper_asymptote : ndarray
        What the limits tend to [units of values].
    first_signal : ndarray of int
        Index of the first average outside the exact limits; -1 when none.
    """

    smoothed: FloatArray
    lower: FloatArray
    upper: FloatArray
    lower_asymptote: FloatArray
    upper_asymptote: FloatArray
    first_signal: NDArray[np.int64]


def cusum(values: ArrayLike, *, target: ArrayLike, allowance: ArrayLike, decision: ArrayLike) -> CusumChart:
    """Add up what exceeds the allowance above and below target.

    Parameters
    ----------
    values : array_like
        Observations in order of time along the last axis.
    target : array_like
        Value when nothing is wrong, one per series.
    allowance : array_like
        k: deviation that is let pass, often half of the shift sought [units of values].
    decision : array_like
        h: sum that signals [units of values].

    Returns
    -------
    CusumChart
        Sums and first signal.

    Raises
    ------
    CalculationError
        If there are no observations, or allowance or decision is out of range.

    Notes
    -----
    S_hi = max(0, S_hi + x - target - k), S_lo = max(0, S_lo + target - k - x) [1]_.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook, section 6.3.2.3.

    Examples
    --------
    >>> chart = cusum([4.5, 4.4, 4.3, 4.2], target=4.5, allowance=0.05, decision=0.3)
    >>> chart.low.round(2).tolist(), int(chart.first_signal)
    ([0.0, 0.05, 0.2, 0.45], 3)
    """
    checks = Checks()
    x = _as_observations(checks, values)
    middle = checks.finite("target", target)
    slack = checks.not_negative("allowance", allowance)
    limit = checks.positive("decision", decision)
    checks.settle()
    deviation = x - middle[..., np.newaxis]
    high, low = np.empty_like(deviation), np.empty_like(deviation)
    above = below = np.zeros(deviation.shape[:-1])
    for i in range(deviation.shape[-1]):
        high[..., i] = above = np.maximum(0, above + deviation[..., i] - slack)
        low[..., i] = below = np.maximum(0, below - deviation[..., i] - slack)
    out = np.maximum(high, low) > limit[..., np.newaxis]
    return CusumChart(high, low, np.cumsum(deviation, axis=-1), _first(out))


def ewma(values: ArrayLike, *, target: ArrayLike, sd: ArrayLike, weight: float, width: float = 3.0) -> EwmaChart:
    """Average with weights that fade into the past.

    Parameters
    ----------
    values : array_like
        Observations in order of time along the last axis.
    target : array_like
        Value when nothing is wrong, where the average starts, one per series.
    sd : array_like
        Standard deviation of an observation [units of values], one per series.
    weight : float
        lambda: weight of the newest observation, above 0 and at most 1.
    width : float, optional
        L: limits in standard deviations of the average.

    Returns
    -------
    EwmaChart
        Average, limits, first signal.

    Raises
    ------
    CalculationError
        If there are no observations, or weight, sd or width is out of range.

    Notes
    -----
    z_i = lambda x_i + (1 - lambda) z_(i-1) [1]_; limits target -+ L s sqrt(lambda/(2 - lambda)
    (1 - (1 - lambda)^(2 i))) [2]_.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook, section 6.3.2.4.
    .. [2] Montgomery, *Introduction to Statistical Quality Control*.

    Examples
    --------
    >>> chart = ewma([52.0, 47.0], target=50, sd=2.0539, weight=0.3)
    >>> chart.smoothed.round(2).tolist(), round(float(chart.upper_asymptote), 4)
    ([50.6, 49.52], 52.5884)
    """
    checks = Checks()
    x = _as_observations(checks, values)
    middle = checks.finite("target", target)
    spread = checks.positive("sd", sd)
    checks.require(0 < weight <= 1, "weight", "out_of_range", f"must be above 0 and at most 1, is {weight:g}")
    checks.positive("width", width)
    checks.settle()
    average = middle + np.zeros_like(spread + x[..., 0])
    smoothed = np.empty((*average.shape, x.shape[-1]))
    for i in range(x.shape[-1]):
        average = weight * x[..., i] + (1 - weight) * average
        smoothed[..., i] = average
    asymptote = width * spread * (weight / (2 - weight)) ** 0.5
    ages = np.arange(1, x.shape[-1] + 1)
    reach = asymptote[..., np.newaxis] * np.sqrt(1 - (1 - weight) ** (2 * ages))
    lower, upper = middle[..., np.newaxis] - reach, middle[..., np.newaxis] + reach
    return EwmaChart(
        smoothed=smoothed,
        lower=lower,
        upper=upper,
        lower_asymptote=np.asarray(middle - asymptote),
        upper_asymptote=np.asarray(middle + asymptote),
        first_signal=_first((smoothed < lower) | (smoothed > upper)),
    )


def cusum_run_length(*, allowance: float, decision: float, shift: float, states: int = 400) -> float:
    """Return how many observations a two-sided CUSUM takes to signal, on average.

    Parameters
    ----------
    allowance, decision : float
        k and h in standard deviations of an observation.
    shift : float
        True shift of the mean in standard deviations; 0 gives the run between false alarms.
    states : int, optional
        Steps into which the sum is divided.

    Returns
    -------
    float
        Average run length [observations], independent normal observations assumed.

    Raises
    ------
    CalculationError
        If allowance or decision is out of range.

    Notes
    -----
    Markov chain of [1]_ for each side, joined by 1/ARL = 1/ARL_hi + 1/ARL_lo [2]_.

    References
    ----------
    .. [1] Brook and Evans (1972).
    .. [2] Montgomery, *Introduction to Statistical Quality Control*.

    Examples
    --------
    >>> round(cusum_run_length(allowance=0.5, decision=5, shift=1), 1)
    10.4
    """
    checks = Checks()
    checks.not_negative("allowance", allowance)
    checks.positive("decision", decision)
    checks.finite("shift", shift)
    checks.settle()
    sides = [_one_sided_run_length(allowance, decision, side, states) for side in (shift, -shift)]
    return 1 / sum(1 / side for side in sides)


def _one_sided_run_length(allowance: float, decision: float, shift: float, states: int) -> float:
    step = 2 * decision / (2 * states - 1)
    index = np.arange(states)
    upper_edge = (index[np.newaxis, :] - index[:, np.newaxis] + 0.5) * step + allowance - shift
    below_edge = 1 - normal_upper_tail(upper_edge)
    moves = below_edge.copy()
    moves[:, 1:] -= below_edge[:, :-1]
    try:
        length = float(np.linalg.solve(np.eye(states) - moves, np.ones(states))[0])
    except np.linalg.LinAlgError:
        length = np.inf
    if not 0 < length < LONGEST_RUN:
        raise refuse("decision", "never_signals", f"is so far off that no signal comes within {LONGEST_RUN:g}")
    return length


def _as_observations(checks: Checks, values: ArrayLike) -> FloatArray:
    x = checks.finite("values", values)
    checks.require(x.ndim > 0 and x.shape[-1] > 0, "values", "too_few", "must hold at least one observation")
    return np.atleast_1d(x)


def _first(out: BoolArray) -> NDArray[np.int64]:
    return np.asarray(np.where(out.any(axis=-1), out.argmax(axis=-1), -1), dtype=np.int64)
