"""Tread: how many landings are left in it, and what else takes a tyre off.

References
----------
.. [1] FAA AC 43.13-1B, paragraph 9-14: removal criteria.
.. [2] NAVEDTRA 14018, ch. 11: 1/32 in of tread, 1/4 in of slip.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from calculations.checks import BoolArray, Checks, FloatArray
from calculations.distributions import normal_quantile

LEAST_TREAD_IN: Final = 1 / 32  # [in], [2], where the type gives no wear limit
GREATEST_SLIP_IN: Final = 0.25  # [in], [2]
WEAR_PRIOR_IN: Final = 4e-4  # [in per landing], assumed for light aircraft
WEAR_PRIOR_SHARE: Final = 0.5  # standard uncertainty of it, assumed
READING_SD_IN: Final = 0.012  # [in], assumed for a depth gauge read by hand
NEW_DEPTH_SD_IN: Final = 0.05  # [in], assumed for the depth of a new tyre

# [1] in our words, with what a picture or a finger can tell
REMOVAL_CRITERIA: Final = (
    "worn to the base of a groove at any spot, to the maker's minimum, or to fabric anywhere in the tread",
    "a cut that reaches a carcass ply, or wider than half a rib and deeper than half the groove that is left",
    "cracks in sidewall or bead that reach a carcass ply, bulges, groove cracks that show fabric",
    "flat spots that show fabric or shake the wheel",
)
TURNING_ADVICE: Final = "an unevenly worn tyre may be turned on its wheel while no fabric shows"


@dataclass(frozen=True, slots=True)
class TreadWear:
    """Wear of a tyre and what is left.

    Parameters
    ----------
    depth_now_in : ndarray
        Fitted depth at the last reading [in].
    wear_in : ndarray
        Wear per landing [in].
    wear_uncertainty_in : ndarray
        Its standard uncertainty [in].
    landings_left : ndarray
        From the last reading to the limit; infinite when no wear is seen.
    low, high : ndarray
        Interval of `landings_left`.
    """

    depth_now_in: FloatArray
    wear_in: FloatArray
    wear_uncertainty_in: FloatArray
    landings_left: FloatArray
    low: FloatArray
    high: FloatArray


def landings_left(
    landings: ArrayLike,
    depths_in: ArrayLike,
    *,
    limit_in: ArrayLike,
    new_depth_in: ArrayLike,
    confidence: float = 0.80,
) -> TreadWear:
    """Forecast landings to removal from tread depths.

    Parameters
    ----------
    landings : array_like
        Landings on this tyre at each reading, along the last axis.
    depths_in : array_like
        Depth at the most worn spot [in], along the last axis.
    limit_in : array_like
        Depth at which the tyre comes off [in].
    new_depth_in : array_like
        Depth when new, as the maker gives it or as first read [in].
    confidence : float, optional
        Of the interval.

    Returns
    -------
    TreadWear
        Fit and forecast; `landings_left` is 0 where the limit is reached.

    Raises
    ------
    CalculationError
        If there is no reading, shapes differ, or a figure is out of range.

    Notes
    -----
    depth = d0 - w landings, with priors d0 = new depth -+ 0.05 in and w = 4e-4 -+ 50 % per landing,
    readings good to 0.012 in: all assumed. Life = (d0 - limit)/w; its interval comes from the delta
    method on the logarithm of life, because life is a ratio and skewed [1]_.

    References
    ----------
    .. [1] A. Gelman et al., *Bayesian Data Analysis*, 3rd ed., CRC, 2013, section 14.8 (normal
       regression with conjugate prior); delta method: any text on statistics.

    Examples
    --------
    >>> wear = landings_left(
    ...     [0, 60, 120, 180, 240], [0.274, 0.189, 0.195, 0.153, 0.125], limit_in=1 / 16, new_depth_in=0.274
    ... )
    >>> round(float(wear.landings_left)), round(float(wear.low)), round(float(wear.high))
    (109, 76, 145)
    """
    checks = Checks()
    count = checks.not_negative("landings", landings)
    depth = checks.not_negative("depths_in", depths_in)
    limit = checks.not_negative("limit_in", limit_in)
    new = checks.positive("new_depth_in", new_depth_in)
    checks.require(
        count.ndim > 0 and count.shape == depth.shape and count.size > 0,
        "depths_in",
        "shape",
        "must hold one depth for each count of landings, at least one",
    )
    checks.require(~(new <= limit), "new_depth_in", "below_limit", "must be deeper than the wear limit")
    checks.require(0 < confidence < 1, "confidence", "out_of_range", f"must be in (0, 1), is {confidence:g}")
    checks.settle()
    # Normal equations of d0 and w with the priors as two more readings
    weight, n = READING_SD_IN**-2, count.shape[-1]
    new_weight, wear_weight = NEW_DEPTH_SD_IN**-2, (WEAR_PRIOR_SHARE * WEAR_PRIOR_IN) ** -2
    a = weight * n + new_weight
    b = -weight * count.sum(axis=-1)
    c = weight * (count**2).sum(axis=-1) + wear_weight
    right_new = weight * depth.sum(axis=-1) + new_weight * new
    right_wear = -weight * (count * depth).sum(axis=-1) + wear_weight * WEAR_PRIOR_IN
    determinant = a * c - b**2
    start = (c * right_new - b * right_wear) / determinant
    wear = (a * right_wear - b * right_new) / determinant
    start_variance, wear_variance, covariance = c / determinant, a / determinant, -b / determinant
    last = count.max(axis=-1)
    thick = start - limit
    with np.errstate(divide="ignore", invalid="ignore"):
        life = np.where(wear > 0, thick / wear, np.inf)
        log_sd = np.sqrt(start_variance / thick**2 + wear_variance / wear**2 - 2 * covariance / (thick * wear))
    stretch = np.exp(normal_quantile(0.5 + confidence / 2) * np.where(np.isfinite(life) & (thick > 0), log_sd, 0.0))
    fastest = np.maximum(wear + normal_quantile(0.5 + confidence / 2) * np.sqrt(wear_variance), np.finfo(float).tiny)
    least = np.where(np.isfinite(life), life / stretch, thick / fastest)
    return TreadWear(
        depth_now_in=np.asarray(start - wear * last),
        wear_in=np.asarray(wear),
        wear_uncertainty_in=np.asarray(np.sqrt(wear_variance)),
        landings_left=np.maximum(life - last, 0.0),
        low=np.maximum(least - last, 0.0),
        high=np.maximum(life * stretch - last, 0.0),
    )


def has_slipped(mark_offset_in: ArrayLike) -> BoolArray:
    """Tell whether a tube tyre has crept on its rim too far.

    Parameters
    ----------
    mark_offset_in : array_like
        Offset of the two halves of the slip mark [in].

    Returns
    -------
    ndarray of bool
        True beyond 1/4 in: the valve stem is at risk, remove.

    Raises
    ------
    CalculationError
        If the offset is negative.

    References
    ----------
    .. [1] NAVEDTRA 14018, ch. 11: mark 1 in wide and 2 in long.

    Examples
    --------
    >>> has_slipped([0.25, 0.3]).tolist()
    [False, True]
    """
    checks = Checks()
    offset = checks.not_negative("mark_offset_in", mark_offset_in)
    checks.settle()
    return np.asarray(offset > GREATEST_SLIP_IN)
