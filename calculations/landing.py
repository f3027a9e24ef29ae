"""Descent rate and drop height that light-aircraft gear is certificated for: what "hard" means.

References
----------
.. [1] 14 CFR 23.473(d) and 23.725 before amendment 23-64 (2017). The text of 23.473 and the
       equation of 23.725(b) are from memory, source not seen; the drop heights of 23.725(a) agree
       with the descent rates of 23.473(d) by free fall.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from calculations.checks import Checks, FloatArray

LEAST_DESCENT_FT_S: Final = 7.0  # [ft/s], [1]
GREATEST_DESCENT_FT_S: Final = 10.0  # [ft/s], [1]
LEAST_DROP_IN: Final = 9.2  # [in], [1]
GREATEST_DROP_IN: Final = 18.7  # [in], [1]
GREATEST_WING_LIFT: Final = 2 / 3  # share of weight carried by the wing, [1]
LEAST_INERTIA_LOAD_FACTOR: Final = 2.67  # [1], from memory, source not seen
# [ft/s] of large aircraft, 14 CFR 25.473: at landing weight and at take-off weight
LARGE_LANDING_DESCENT_FT_S: Final = 10.0
LARGE_TAKE_OFF_DESCENT_FT_S: Final = 6.0


def design_descent_ft_s(wing_loading_psf: ArrayLike) -> FloatArray:
    """Return the descent rate at touchdown that the gear was shown to stand.

    Parameters
    ----------
    wing_loading_psf : array_like
        Design landing weight over wing area [lb/ft2].

    Returns
    -------
    ndarray
        Descent rate [ft/s].

    Raises
    ------
    CalculationError
        If the wing loading is not above 0.

    Notes
    -----
    V = 4.4 (W/S)^(1/4), at least 7 and at most 10 ft/s [1]_. A harder touchdown calls for the
    inspection of the aircraft's own manual; a softer one does not prove that nothing was hurt.

    References
    ----------
    .. [1] 14 CFR 23.473(d) before amendment 23-64, from memory, source not seen.

    Examples
    --------
    >>> round(float(design_descent_ft_s(16)), 3)
    8.8
    """
    checks = Checks()
    loading = checks.positive("wing_loading_psf", wing_loading_psf)
    checks.settle()
    return np.clip(4.4 * loading**0.25, LEAST_DESCENT_FT_S, GREATEST_DESCENT_FT_S)


def drop_height_in(wing_loading_psf: ArrayLike) -> FloatArray:
    """Return the height from which the gear is dropped in the certification test.

    Parameters
    ----------
    wing_loading_psf : array_like
        Design landing weight over wing area [lb/ft2].

    Returns
    -------
    ndarray
        Drop height [in].

    Raises
    ------
    CalculationError
        If the wing loading is not above 0.

    Notes
    -----
    h = 3.6 (W/S)^(1/2), at least 9.2 and at most 18.7 in [1]_.

    References
    ----------
    .. [1] 14 CFR 23.725(a) before amendment 23-64.

    Examples
    --------
    >>> round(float(drop_height_in(16)), 3)
    14.4
    """
    checks = Checks()
    loading = checks.positive("wing_loading_psf", wing_loading_psf)
    checks.settle()
    return np.clip(3.6 * loading**0.5, LEAST_DROP_IN, GREATEST_DROP_IN)


def ground_load_factor(inertia_load_factor: ArrayLike, wing_lift_share: ArrayLike = GREATEST_WING_LIFT) -> FloatArray:
    """Return the share of its weight with which the ground pushes an aircraft as it lands.

    Parameters
    ----------
    inertia_load_factor : array_like
        Acceleration that the structure is designed for over that of gravity, 2.67 or more.
    wing_lift_share : array_like, optional
        Wing lift over weight, at most 2/3.

    Returns
    -------
    ndarray
        Ground reaction over weight; never less than the 2.0 of the rule.

    Raises
    ------
    CalculationError
        If the load factor is below 2.67 or the lift share exceeds 2/3.

    Notes
    -----
    n - L [1]_: a leg was shown to stand at least about twice its static load. A strut that bottoms at less
    does so in landings that its gear was made for.

    References
    ----------
    .. [1] 14 CFR 23.473(e), (g) before amendment 23-64, from memory, source not seen.

    Examples
    --------
    >>> ground_load_factor([2.67, 3.0]).round(3).tolist()
    [2.003, 2.333]
    """
    checks = Checks()
    inertia = checks.finite("inertia_load_factor", inertia_load_factor)
    checks.require(
        ~(inertia < LEAST_INERTIA_LOAD_FACTOR),
        "inertia_load_factor",
        "below_rule",
        "must be 2.67 or more by the rule",
    )
    lift = checks.between("wing_lift_share", wing_lift_share, 0.0, GREATEST_WING_LIFT)
    checks.settle()
    return np.asarray(inertia - lift)


def effective_drop_weight_lbf(
    weight_lbf: ArrayLike,
    drop_height_in: ArrayLike,
    compression_in: ArrayLike,
    wing_lift_share: ArrayLike = GREATEST_WING_LIFT,
) -> FloatArray:
    """Return the weight that stands in for aircraft and wing lift in the drop test.

    Parameters
    ----------
    weight_lbf : array_like
        Static weight on the leg [lbf].
    drop_height_in : array_like
        Height of free drop [in].
    compression_in : array_like
        Tyre deflection and strut travel under the blow [in].
    wing_lift_share : array_like, optional
        Wing lift over weight, at most 2/3.

    Returns
    -------
    ndarray
        Effective weight [lbf].

    Raises
    ------
    CalculationError
        If a figure is negative or the lift share exceeds 2/3.

    Notes
    -----
    W_e = W (h + (1 - L) d)/(h + d) [1]_.

    References
    ----------
    .. [1] 14 CFR 23.725(b) before amendment 23-64; the equation from memory, source not seen.

    Examples
    --------
    >>> round(float(effective_drop_weight_lbf(1000, 12, 8)), 2)
    733.33
    """
    checks = Checks()
    weight = checks.positive("weight_lbf", weight_lbf)
    height = checks.positive("drop_height_in", drop_height_in)
    compression = checks.not_negative("compression_in", compression_in)
    lift = checks.between("wing_lift_share", wing_lift_share, 0.0, GREATEST_WING_LIFT)
    checks.settle()
    return np.asarray(weight * (height + (1 - lift) * compression) / (height + compression))
