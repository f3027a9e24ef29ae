"""How long something lasts when not all have failed yet: time between services of a strut.

References
----------
.. [1] E. L. Kaplan and P. Meier, "Nonparametric estimation from incomplete observations", Journal
       of the American Statistical Association 53 (1958) 457-481.
.. [2] J. D. Kalbfleisch and R. L. Prentice, *The Statistical Analysis of Failure Time Data*, 2nd
       ed., Wiley, 2002: Greenwood's formula and the log-log interval.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calculations.checks import Checks, FloatArray
from calculations.distributions import normal_quantile


@dataclass(frozen=True, slots=True)
class SurvivalCurve:
    """Product-limit estimate at each time with an event.

    Parameters
    ----------
    times : ndarray
        When something failed (or was serviced) [units of durations].
    at_risk, events : ndarray of int
        How many were still under watch, and how many failed then.
    survival : ndarray
        Share that lasts longer.
    standard_error : ndarray
        Greenwood's standard error of the share.
    low, high : ndarray
        Log-log confidence limits; not-a-number where the share is 0 and they do not exist.
    median : float
        First time at which the share is at most one half; not-a-number while it is above.
    """

    times: FloatArray
    at_risk: NDArray[np.int64]
    events: NDArray[np.int64]
    survival: FloatArray
    standard_error: FloatArray
    low: FloatArray
    high: FloatArray
    median: float


def kaplan_meier(durations: ArrayLike, failed: ArrayLike, confidence: float = 0.95) -> SurvivalCurve:
    """Estimate the share that lasts beyond each time.

    Parameters
    ----------
    durations : array_like
        How long each was watched, shape (n,), above 0.
    failed : array_like of bool
        True where the watch ended by failure, False where it merely ended (today, part removed).
    confidence : float
        Of the limits.

    Returns
    -------
    SurvivalCurve
        One entry for each time with a failure; empty when there was none.

    Raises
    ------
    CalculationError
        If durations are not above 0, shapes differ, or there are none.

    Notes
    -----
    S = product of (1 - d/n) [1]_; those whose watch ends at a time of failure are at risk there.
    Var S = S^2 sum d/(n (n - d)); limits S^exp(-+ z se/(S ln S)) [2]_.

    References
    ----------
    .. [1] Kaplan and Meier (1958).
    .. [2] Kalbfleisch and Prentice (2002).

    Examples
    --------
    Days between services: two struts serviced, one still going.

    >>> curve = kaplan_meier([90, 200, 250], [True, True, False])
    >>> curve.times.tolist(), curve.survival.round(3).tolist()
    ([90.0, 200.0], [0.667, 0.333])
    """
    checks = Checks()
    checks.require(0 < confidence < 1, "confidence", "out_of_range", f"must be in (0, 1), is {confidence:g}")
    spans = checks.positive("durations", durations)
    ended = np.asarray(failed, dtype=np.bool_)
    checks.require(
        spans.ndim == 1 and spans.shape == ended.shape, "failed", "shape", "must tell of each duration how it ended"
    )
    checks.require(spans.size > 0, "durations", "too_few", "must hold at least one duration")
    checks.settle()
    times, events = np.unique(spans[ended], return_counts=True)
    at_risk = np.sum(spans[np.newaxis, :] >= times[:, np.newaxis], axis=1)
    survival = np.cumprod(1 - events / at_risk)
    with np.errstate(divide="ignore", invalid="ignore"):
        relative = np.cumsum(events / (at_risk * (at_risk - events)))
        # 0 times infinity when all have failed: the share is 0 for certain
        standard_error = np.where(survival > 0, survival * np.sqrt(relative), 0.0)
        reach = normal_quantile(0.5 + confidence / 2) * np.sqrt(relative) / np.abs(np.log(survival))
        low, high = survival ** np.exp(reach), survival ** np.exp(-reach)
    exists = survival > 0
    half = times[survival <= 0.5]
    return SurvivalCurve(
        times=times,
        at_risk=at_risk.astype(np.int64),
        events=events.astype(np.int64),
        survival=survival,
        standard_error=standard_error,
        low=np.where(exists, low, np.nan),
        high=np.where(exists, high, np.nan),
        median=float(half[0]) if half.size else float("nan"),
    )
