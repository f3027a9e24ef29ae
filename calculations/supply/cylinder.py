"""Nitrogen cylinder with regulator: what it holds, how many top-ups are left, when to change it.

References
----------
.. [1] Real gas by `calculations.gas`; at 2640 psi an ideal gas would promise 4 % too much.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calculations.checks import BoolArray, Checks, FloatArray
from calculations.constants import CUBIC_INCH_M3, STANDARD_ATMOSPHERE_PSI
from calculations.gas import Gas, amount_mol

LITRE_IN3: Final = 1e-3 / CUBIC_INCH_M3  # [in3]
FLOW_MARGIN_PSI: Final = 50.0  # [psi] above the strut that gas still flows well; assumed
FEW_TOP_UPS: Final = 5  # left, at which to order the next cylinder; assumed


@dataclass(frozen=True, slots=True)
class Cylinder:
    """A cylinder as its gauge shows it.

    Parameters
    ----------
    water_capacity_in3 : array_like
        Volume inside [in3].
    pressure_psig : array_like
        On its own gauge [psi gauge].
    temperature_f : array_like
        Of its gas [degF]; wait for it to settle after use or sun.
    gas : Gas
        What it holds.
    """

    water_capacity_in3: ArrayLike
    pressure_psig: ArrayLike
    temperature_f: ArrayLike = 70.0
    gas: Gas = Gas.NITROGEN


@dataclass(frozen=True, slots=True)
class Outlook:
    """How long a cylinder lasts.

    Parameters
    ----------
    usable_mol : ndarray
        Gas above the least useful pressure [mol], less what was used since it was read.
    top_ups_left : ndarray of int
        Whole top-ups in it.
    days_left : ndarray
        At the rate of use given [d]; infinite when none is used.
    order_next : ndarray of bool
        True when few top-ups are left.
    change_now : ndarray of bool
        True when not one more can be done.
    """

    usable_mol: FloatArray
    top_ups_left: NDArray[np.int64]
    days_left: FloatArray
    order_next: BoolArray
    change_now: BoolArray


def content_mol(cylinder: Cylinder, atmosphere_psia: ArrayLike = STANDARD_ATMOSPHERE_PSI) -> FloatArray:
    """Return all gas in a cylinder.

    Parameters
    ----------
    cylinder : Cylinder
        Which.
    atmosphere_psia : array_like, optional
        Air pressure [psi absolute].

    Returns
    -------
    ndarray
        Gas [mol].

    Raises
    ------
    CalculationError
        If a figure is out of range.

    References
    ----------
    .. [1] Real gas law.

    Examples
    --------
    >>> round(float(content_mol(Cylinder(2.0 * LITRE_IN3, 2000.0))), 2)
    11.18
    """
    checks = Checks()
    volume = checks.positive("water_capacity_in3", cylinder.water_capacity_in3)
    gauge = checks.not_negative("pressure_psig", cylinder.pressure_psig)
    atmosphere = checks.positive("atmosphere_psia", atmosphere_psia)
    checks.settle()
    return amount_mol(gauge + atmosphere, volume, cylinder.temperature_f, cylinder.gas)


def outlook(
    cylinder: Cylinder,
    *,
    gas_per_top_up_mol: ArrayLike,
    strut_psia: ArrayLike,
    hose_in3: ArrayLike = 0.0,
    top_ups_since: ArrayLike = 0.0,
    top_ups_per_day: ArrayLike = 0.0,
    margin_psi: ArrayLike = FLOW_MARGIN_PSI,
    few_top_ups: int = FEW_TOP_UPS,
    atmosphere_psia: ArrayLike = STANDARD_ATMOSPHERE_PSI,
) -> Outlook:
    """Tell how many top-ups are left in a cylinder and when to change it.

    Parameters
    ----------
    cylinder : Cylinder
        Which.
    gas_per_top_up_mol : array_like
        What a usual top-up puts into a strut [mol].
    strut_psia : array_like
        Highest pressure among the struts served [psi absolute].
    hose_in3 : array_like, optional
        Volume between regulator and strut that is vented after each [in3].
    top_ups_since : array_like, optional
        Done since its pressure was read.
    top_ups_per_day : array_like, optional
        Rate of use, from the log.
    margin_psi : array_like, optional
        What the cylinder must keep above the strut [psi].
    few_top_ups : int, optional
        How many left are few.
    atmosphere_psia : array_like, optional
        Air pressure [psi absolute].

    Returns
    -------
    Outlook
        Usable gas, top-ups and days left, order, change.

    Raises
    ------
    CalculationError
        If a figure is out of range.

    Notes
    -----
    The hose is vented full of gas at strut pressure, at the cylinder's temperature.

    References
    ----------
    .. [1] Real gas law.

    Examples
    --------
    >>> left = outlook(Cylinder(2.0 * LITRE_IN3, 2000.0), gas_per_top_up_mol=0.0602, strut_psia=195.3)
    >>> int(left.top_ups_left), bool(left.order_next)
    (162, False)
    """
    checks = Checks()
    dose = checks.positive("gas_per_top_up_mol", gas_per_top_up_mol)
    strut = checks.positive("strut_psia", strut_psia)
    hose = checks.not_negative("hose_in3", hose_in3)
    since = checks.not_negative("top_ups_since", top_ups_since)
    rate = checks.not_negative("top_ups_per_day", top_ups_per_day)
    margin = checks.not_negative("margin_psi", margin_psi)
    checks.settle()
    held = content_mol(cylinder, atmosphere_psia)
    volume = np.asarray(cylinder.water_capacity_in3, dtype=np.float64)
    kept = amount_mol(strut + margin, volume, cylinder.temperature_f, cylinder.gas)
    vented = amount_mol(strut, hose, cylinder.temperature_f, cylinder.gas)
    per_top_up = dose + vented
    usable = np.maximum(held - kept - since * per_top_up, 0.0)
    # A cylinder that holds a whole number on paper may miss it by rounding
    count = np.floor(usable / per_top_up + 1e-9)
    with np.errstate(divide="ignore", invalid="ignore"):
        days = np.where(rate > 0, count / rate, np.inf)
    return Outlook(
        usable_mol=np.asarray(usable),
        top_ups_left=np.asarray(count, dtype=np.int64),
        days_left=np.asarray(days),
        order_next=np.asarray(count <= few_top_ups),
        change_now=np.asarray(count < 1),
    )
