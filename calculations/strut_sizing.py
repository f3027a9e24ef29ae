"""How much stroke a touchdown asks for: the sizing rule of textbooks, read backwards for a strut that exists.

References
----------
.. [1] D. P. Raymer, "Aircraft Design: A Conceptual Approach", AIAA: stroke and efficiencies (from memory,
       source not seen).
.. [2] J. Roskam, "Airplane Design", part IV: efficiencies 0.80 of strut and 0.47 of tyre (from memory, source not
       seen).
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from calculations.checks import Checks, FloatArray
from calculations.constants import INCH_M, STANDARD_GRAVITY

# Work taken up, over stroke times greatest load: least and greatest, [1]
FIXED_ORIFICE_EFFICIENCY: Final = (0.65, 0.80)
METERED_EFFICIENCY: Final = (0.75, 0.90)
TYRE_EFFICIENCY: Final = 0.47  # [1], [2]

_GRAVITY_IN_S2: Final = STANDARD_GRAVITY / INCH_M


def stroke_for_descent_in(
    descent_ft_s: ArrayLike,
    load_factor: ArrayLike,
    *,
    efficiency: ArrayLike = FIXED_ORIFICE_EFFICIENCY[0],
    tyre_deflection_in: ArrayLike = 0.0,
    tyre_efficiency: ArrayLike = TYRE_EFFICIENCY,
) -> FloatArray:
    """Return the stroke, from full extension, that takes up a descent without exceeding a load.

    Parameters
    ----------
    descent_ft_s : array_like
        Vertical speed at touchdown [ft/s].
    load_factor : array_like
        Greatest load on the leg over the weight it carries at rest [-], above 0.
    efficiency : array_like, optional
        Of the strut [-]; the least of a fixed orifice unless told, which asks for the longest stroke.
    tyre_deflection_in : array_like, optional
        Of the tyre under that load [in]; 0, on the safe side, when not told.
    tyre_efficiency : array_like, optional
        Of the tyre [-].

    Returns
    -------
    ndarray
        Vertical stroke [in]; 0 where the tyre alone takes up the descent.

    Raises
    ------
    CalculationError
        Descent or deflection below 0, load factor not above 0, an efficiency not above 0 or above 1.

    Notes
    -----
    ``S = V^2/(2 g eta N) - (eta_T/eta) S_T`` [1]_: the wing carries the weight, the leg the energy of the descent.
    A strut hangs at full extension in flight whatever its charge: low gas does not shorten this stroke, it makes
    the spring softer, see `calculations.strut_curve.reserve`.

    References
    ----------
    .. [1] Raymer (from memory, source not seen).

    Examples
    --------
    >>> round(float(stroke_for_descent_in(10.0, 3.0, efficiency=0.8, tyre_deflection_in=2.0)), 2)
    6.6
    """
    checks = Checks()
    descent = checks.not_negative("descent_ft_s", descent_ft_s)
    factor = checks.positive("load_factor", load_factor)
    deflection = checks.not_negative("tyre_deflection_in", tyre_deflection_in)
    shares = []
    for name, given in (("efficiency", efficiency), ("tyre_efficiency", tyre_efficiency)):
        shares.append(checks.positive(name, given))
        checks.require(~(shares[-1] > 1), name, "out_of_range", "must be 1 or less")
    checks.settle()
    strut, tyre = shares
    fall_in = (descent * 12) ** 2 / (2 * _GRAVITY_IN_S2)  # the free fall that ends at this speed
    return np.maximum((fall_in / factor - tyre * deflection) / strut, 0.0)
