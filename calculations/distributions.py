"""Normal and Student t distribution, of which numpy has only random draws.

References
----------
.. [1] M. Abramowitz and I. A. Stegun (eds.), *Handbook of Mathematical Functions*, National
       Bureau of Standards, 1964, eqs. 26.2.2, 26.7.3 and 26.7.4.
"""

import math
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike

from calculations.checks import Checks, FloatArray

_error_function_complement = np.vectorize(math.erfc, otypes=[np.float64])


def normal_upper_tail(z: ArrayLike) -> FloatArray:
    """Return the chance that a standard normal variate exceeds `z`.

    Parameters
    ----------
    z : array_like
        Standardised value [1].

    Returns
    -------
    ndarray
        Upper-tail probability [1], accurate far into the tail.

    Examples
    --------
    >>> round(float(normal_upper_tail(1.959964)), 6)
    0.025
    """
    upper: FloatArray = 0.5 * _error_function_complement(np.asarray(z, dtype=np.float64) / math.sqrt(2))
    return upper


def normal_quantile(probability: float) -> float:
    """Return the standard normal value below which `probability` lies.

    Examples
    --------
    >>> round(normal_quantile(0.975), 6)
    1.959964
    """
    return NormalDist().inv_cdf(probability)


def student_t_upper_tail(t: ArrayLike, degrees: ArrayLike) -> FloatArray:
    """Return the chance that a Student t variate with whole `degrees` exceeds `t`.

    Parameters
    ----------
    t : array_like
        Standardised value [1].
    degrees : array_like
        Degrees of freedom [1], whole numbers from 1 up.

    Returns
    -------
    ndarray
        Upper-tail probability [1].

    Raises
    ------
    CalculationError
        If `t` is not finite or `degrees` is not a whole number above 0.

    Notes
    -----
    The finite series of [1]_, one for odd and one for even degrees; exact, with no iteration.
    Far in the tail the result carries the rounding of 1 - A(t), about 1e-16.

    References
    ----------
    .. [1] Abramowitz and Stegun (1964), eqs. 26.7.3 and 26.7.4.

    Examples
    --------
    >>> round(float(student_t_upper_tail(2.228, 10)), 4)
    0.025
    """
    checks = Checks()
    values = checks.finite("t", t)
    freedom = checks.positive("degrees", degrees)
    checks.require(freedom == np.round(freedom), "degrees", "not_whole", "must be a whole number")
    checks.settle()
    values, freedom = np.broadcast_arrays(values, freedom)
    theta = np.arctan(values / np.sqrt(freedom))
    cosine, sine = np.cos(theta), np.sin(theta)
    odd = freedom % 2 == 1
    term = np.where(odd, cosine, 1.0)
    total = np.where(odd & (freedom == 1), 0.0, term)
    factor = np.where(odd, 2.0, 1.0)  # numerator of the next coefficient; its denominator is one more
    for _ in range(int(freedom.max()) // 2):
        term = term * cosine**2 * factor / (factor + 1)
        total = total + np.where(factor + 2 <= freedom - 1, term, 0.0)
        factor = factor + 2
    within = np.where(odd, 2 / np.pi * (theta + sine * total), sine * total)  # eqs. 26.7.3, 26.7.4
    return np.asarray(0.5 - 0.5 * within)


def student_t_quantile(probability: float, degrees: int) -> float:
    """Return the Student t value below which `probability` lies.

    Parameters
    ----------
    probability : float
        Between 0 and 1, both excluded [1].
    degrees : int
        Degrees of freedom [1].

    Returns
    -------
    float
        Quantile [1], found by bisection of the distribution function.

    Raises
    ------
    CalculationError
        If the probability is 0 or less, or 1 or more.

    Examples
    --------
    >>> round(student_t_quantile(0.975, 10), 3)
    2.228
    """
    checks = Checks()
    checks.require(0 < probability < 1, "probability", "out_of_range", f"must be in (0, 1), is {probability:g}")
    checks.settle()
    low, high = -1.0, 1.0
    while student_t_upper_tail(low, degrees) < 1 - probability:
        low *= 2
    while student_t_upper_tail(high, degrees) > 1 - probability:
        high *= 2
    for _ in range(80):
        middle = (low + high) / 2
        if student_t_upper_tail(middle, degrees) > 1 - probability:
            low = middle
        else:
            high = middle
    return (low + high) / 2
