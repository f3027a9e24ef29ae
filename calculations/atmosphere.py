"""Air pressure and temperature at an elevation, in the standard atmosphere.

References
----------
.. [1] U.S. Standard Atmosphere, NOAA/NASA/USAF, 1976 (equal to the ICAO atmosphere below 32 km).
"""

from typing import Final

import numpy as np
import numpy.typing as npt

from calculations.checks import Checks
from calculations.constants import INCH_M, STANDARD_ATMOSPHERE_PSI, ZERO_FAHRENHEIT_K

FOOT_M: Final = 12 * INCH_M
LOWEST_ELEVATION_FT: Final = -2000.0  # no airfield on land lies lower
HIGHEST_ELEVATION_FT: Final = 36000.0  # top of the layer of constant lapse rate, [1]

_SEA_LEVEL_TEMPERATURE_K: Final = 288.15  # [1]
_LAPSE_K_M: Final = 0.0065  # [1]
_EXPONENT: Final = 5.25588  # g M / (R L), [1]


def standard_pressure_psia(elevation_ft: npt.ArrayLike) -> npt.NDArray[np.float64]:
    """Return the absolute air pressure [psi] at an elevation in the standard atmosphere.

    Parameters
    ----------
    elevation_ft : array_like
        Elevation above sea level, taken as geopotential altitude [ft], -2000 to 36000.

    Returns
    -------
    ndarray
        Absolute pressure [psi].

    Raises
    ------
    CalculationError
        Elevation outside the range.

    Notes
    -----
    ``p = p0 (1 - L H / T0)**5.25588`` [1]_. A geometric altitude read as geopotential is wrong by
    less than 13 Pa at 10 000 ft; weather moves the pressure by some 1 % (0.15 psi), seldom 3 %, which is more.

    References
    ----------
    .. [1] U.S. Standard Atmosphere, NOAA/NASA/USAF, 1976.

    Examples
    --------
    >>> [round(float(p), 4) for p in standard_pressure_psia([0, 5000])]
    [14.6959, 12.2277]
    """
    return np.asarray(
        STANDARD_ATMOSPHERE_PSI * (_temperature_k(elevation_ft) / _SEA_LEVEL_TEMPERATURE_K) ** _EXPONENT
    )


def standard_temperature_f(elevation_ft: npt.ArrayLike) -> npt.NDArray[np.float64]:
    """Return the air temperature [degF] at an elevation in the standard atmosphere.

    Parameters
    ----------
    elevation_ft : array_like
        Elevation above sea level, taken as geopotential altitude [ft], -2000 to 36000.

    Returns
    -------
    ndarray
        Temperature [degF].

    Raises
    ------
    CalculationError
        Elevation outside the range.

    Notes
    -----
    ``T = T0 - L H`` [1]_. Real air differs by tens of degrees: measure it where a strut or tyre is read.

    References
    ----------
    .. [1] U.S. Standard Atmosphere, NOAA/NASA/USAF, 1976.

    Examples
    --------
    >>> [round(float(t), 2) for t in standard_temperature_f([0, 5000])]
    [59.0, 41.17]
    """
    return np.asarray((_temperature_k(elevation_ft) - ZERO_FAHRENHEIT_K) * 1.8)


def _temperature_k(elevation_ft: npt.ArrayLike) -> npt.NDArray[np.float64]:
    checks = Checks()
    elevation = checks.between("elevation_ft", elevation_ft, LOWEST_ELEVATION_FT, HIGHEST_ELEVATION_FT)
    checks.settle()
    return np.asarray(_SEA_LEVEL_TEMPERATURE_K - _LAPSE_K_M * FOOT_M * elevation)
