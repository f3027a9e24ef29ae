"""What gas is in a tyre after it was filled with nitrogen.

References
----------
.. [1] 14 CFR 25.733(e): at most 5 % oxygen in tyres of aircraft above 75 000 lb.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from calculations.checks import BoolArray, Checks, FloatArray
from calculations.constants import STANDARD_ATMOSPHERE_PSI

OXYGEN_IN_AIR: Final = 0.2095  # volume share of dry air
NITROGEN_IN_AIR: Final = 0.7808  # volume share of dry air
GREATEST_OXYGEN_SHARE: Final = 0.05  # [1]
OXYGEN_RULE_WEIGHT_LB: Final = 75_000.0  # [lb] take-off weight above which [1] binds


def gas_share_after_fill(
    pressure_psig: ArrayLike,
    *,
    share_in_source: ArrayLike,
    share_in_air: float = OXYGEN_IN_AIR,
    fills: int = 1,
    atmosphere_psia: ArrayLike = STANDARD_ATMOSPHERE_PSI,
) -> FloatArray:
    """Tell the share of one gas in a tyre that was flat and full of air, then filled.

    Parameters
    ----------
    pressure_psig : array_like
        Pressure of each fill [psi gauge].
    share_in_source : array_like
        Volume share of the gas in the supply: oxygen 0 for pure nitrogen, 0.03 for 97 %.
    share_in_air : float, optional
        Its share in the air that the flat tyre held; oxygen unless told otherwise.
    fills : int, optional
        1 for a single fill, 2 for fill, bleed to flat, fill again.
    atmosphere_psia : array_like, optional
        Air pressure [psi absolute].

    Returns
    -------
    ndarray
        Volume share after the last fill.

    Raises
    ------
    CalculationError
        If a pressure is not above 0, a share is outside 0 to 1, or there is no fill.

    Notes
    -----
    x = (p_atm x_before + p_gauge x_source)/(p_atm + p_gauge) for each fill, gases mixed fully.

    References
    ----------
    .. [1] Dalton's law.

    Examples
    --------
    >>> round(100 * float(gas_share_after_fill(29, share_in_source=0.0)), 2)
    7.05
    """
    checks = Checks()
    gauge = checks.positive("pressure_psig", pressure_psig)
    source = checks.between("share_in_source", share_in_source, 0.0, 1.0)
    before = checks.between("share_in_air", share_in_air, 0.0, 1.0)
    atmosphere = checks.positive("atmosphere_psia", atmosphere_psia)
    checks.require(fills >= 1, "fills", "out_of_range", f"must be 1 or more, is {fills}")
    checks.settle()
    kept = atmosphere / (atmosphere + gauge)
    return np.asarray(source + (before - source) * kept**fills)


def pressure_for_oxygen_share_psig(
    oxygen_share: ArrayLike = GREATEST_OXYGEN_SHARE,
    *,
    share_in_source: ArrayLike = 0.0,
    atmosphere_psia: ArrayLike = STANDARD_ATMOSPHERE_PSI,
) -> FloatArray:
    """Return the pressure at which a single fill brings oxygen down to a share.

    Parameters
    ----------
    oxygen_share : array_like, optional
        Wanted volume share; 5 % unless told otherwise.
    share_in_source : array_like, optional
        Oxygen in the supply.
    atmosphere_psia : array_like, optional
        Air pressure [psi absolute].

    Returns
    -------
    ndarray
        Pressure [psi gauge].

    Raises
    ------
    CalculationError
        If the wanted share is not between that of the supply and that of air.

    Notes
    -----
    The rule of 5 % binds only above 75 000 lb; for light aircraft it is advice: dry nitrogen, and a
    second fill where one does not do.

    References
    ----------
    .. [1] 14 CFR 25.733(e).

    Examples
    --------
    >>> round(float(pressure_for_oxygen_share_psig()), 2)
    46.88
    """
    checks = Checks()
    wanted = checks.between("oxygen_share", oxygen_share, 0.0, OXYGEN_IN_AIR)
    source = checks.between("share_in_source", share_in_source, 0.0, 1.0)
    atmosphere = checks.positive("atmosphere_psia", atmosphere_psia)
    checks.require(~(wanted <= source), "oxygen_share", "unreachable", "must exceed the oxygen in the supply")
    checks.settle()
    return np.asarray(atmosphere * (OXYGEN_IN_AIR - wanted) / (wanted - source))


def second_fill_advised(
    pressure_psig: ArrayLike,
    *,
    share_in_source: ArrayLike = 0.0,
    atmosphere_psia: ArrayLike = STANDARD_ATMOSPHERE_PSI,
) -> BoolArray:
    """Tell where one fill leaves more than 5 % oxygen, so that a bleed and a second fill help.

    Parameters
    ----------
    pressure_psig : array_like
        Pressure of the fill [psi gauge].
    share_in_source : array_like, optional
        Oxygen in the supply; 0 for pure nitrogen.
    atmosphere_psia : array_like, optional
        Air pressure [psi absolute].

    Returns
    -------
    ndarray of bool
        Advice only: the rule binds above 75 000 lb.

    Raises
    ------
    CalculationError
        If a figure is out of range.

    References
    ----------
    .. [1] 14 CFR 25.733(e).

    Examples
    --------
    >>> second_fill_advised([29.0, 50.0]).tolist()
    [True, False]
    """
    share = gas_share_after_fill(pressure_psig, share_in_source=share_in_source, atmosphere_psia=atmosphere_psia)
    return np.asarray(share > GREATEST_OXYGEN_SHARE)
