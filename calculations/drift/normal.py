"""The standard normal distribution on arrays, without a statistics library at run time.

References
----------
.. [1] M. Abramowitz and I. A. Stegun, *Handbook of Mathematical Functions*, NBS, 1964, 26.2.17:
       absolute error below 7.5e-8.
"""

from typing import Final

import numpy as np

from calculations.drift.histories import FloatArray

_T: Final = 0.2316419
_B: Final = (0.319381530, -0.356563782, 1.781477937, -1.821255978, 1.330274429)

NORMAL_05: Final = 1.6448536269514722
"""Upper 5 % point: half-width of a 90 % interval in standard deviations."""


def normal_cdf(z: FloatArray) -> FloatArray:
    """Return the distribution function.

    Examples
    --------
    >>> round(float(normal_cdf(np.array(1.959964))), 6)
    0.975
    """
    size = np.abs(z)
    t = 1.0 / (1.0 + _T * size)
    polynomial = t * (_B[0] + t * (_B[1] + t * (_B[2] + t * (_B[3] + t * _B[4]))))  # 26.2.17 in [1]
    upper = np.exp(-0.5 * size * size) / np.sqrt(2.0 * np.pi) * polynomial
    return np.asarray(np.where(z >= 0.0, 1.0 - upper, upper))
