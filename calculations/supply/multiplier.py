"""Multiplier pump: a large piston driven by shop air that presses a small one.

References
----------
.. [1] Balance of forces on two pistons of one rod; shares of friction and delivery are assumed.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from calculations.checks import Checks, FloatArray
from calculations.constants import STANDARD_ATMOSPHERE_PSI
from calculations.gas import Gas, amount_mol

FORCE_SHARE: Final = 0.95  # of the ideal stall pressure, after friction; assumed
DELIVERY_SHARE: Final = 0.90  # of the gas drawn in, delivered; assumed


@dataclass(frozen=True, slots=True)
class Multiplier:
    """A multiplier pump and what drives and feeds it.

    Parameters
    ----------
    area_ratio : array_like
        Drive piston over gas piston.
    drive_psig : array_like
        Shop air [psi gauge].
    intake_in3 : array_like
        Volume drawn in at each cycle [in3].
    intake_psig : array_like
        Of the gas fed to it [psi gauge]; often the shop air itself.
    intake_temperature_f : array_like
        [degF].
    gas : Gas
        What is fed to it.
    force_share, delivery_share : array_like
        Share of the ideal stall pressure and of the gas drawn in that is left.
    """

    area_ratio: ArrayLike
    drive_psig: ArrayLike
    intake_in3: ArrayLike
    intake_psig: ArrayLike
    intake_temperature_f: ArrayLike = 70.0
    gas: Gas = Gas.NITROGEN
    force_share: ArrayLike = FORCE_SHARE
    delivery_share: ArrayLike = DELIVERY_SHARE


def stall_pressure_psia(pump: Multiplier, atmosphere_psia: ArrayLike = STANDARD_ATMOSPHERE_PSI) -> FloatArray:
    """Return the pressure at which the pump stands still.

    Parameters
    ----------
    pump : Multiplier
        Ratio, drive pressure, share left after friction.
    atmosphere_psia : array_like, optional
        Air pressure [psi absolute].

    Returns
    -------
    ndarray
        Stall pressure [psi absolute]. Set the drive so that it stays below what the strut may see.

    Raises
    ------
    CalculationError
        If a figure is out of range.

    Notes
    -----
    P = P_atm + share ratio P_drive.

    References
    ----------
    .. [1] Balance of forces.

    Examples
    --------
    >>> round(float(stall_pressure_psia(Multiplier(4.0, 120.0, 1.2, 120.0))))
    471
    """
    checks = Checks()
    ratio = checks.positive("area_ratio", pump.area_ratio)
    drive = checks.not_negative("drive_psig", pump.drive_psig)
    share = checks.between("force_share", pump.force_share, 0.0, 1.0)
    atmosphere = checks.positive("atmosphere_psia", atmosphere_psia)
    checks.settle()
    return np.asarray(atmosphere + share * ratio * drive)


def gas_per_cycle_mol(pump: Multiplier, atmosphere_psia: ArrayLike = STANDARD_ATMOSPHERE_PSI) -> FloatArray:
    """Return the gas that a cycle brings, as long as the pump does not stall.

    Parameters
    ----------
    pump : Multiplier
        Intake and delivery.
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
    .. [1] Gas law.

    Examples
    --------
    >>> round(float(gas_per_cycle_mol(Multiplier(4.0, 120.0, 1.2, 120.0))), 4)
    0.0067
    """
    checks = Checks()
    volume = checks.positive("intake_in3", pump.intake_in3)
    intake = checks.not_negative("intake_psig", pump.intake_psig)
    share = checks.between("delivery_share", pump.delivery_share, 0.0, 1.0)
    atmosphere = checks.positive("atmosphere_psia", atmosphere_psia)
    checks.settle()
    return np.asarray(share * amount_mol(intake + atmosphere, volume, pump.intake_temperature_f, pump.gas))


def cycles_for_gas(
    gas_mol: ArrayLike, pump: Multiplier, atmosphere_psia: ArrayLike = STANDARD_ATMOSPHERE_PSI
) -> FloatArray:
    """Return how many cycles bring an amount of gas.

    Parameters
    ----------
    gas_mol : array_like
        Wanted [mol].
    pump : Multiplier
        The pump.
    atmosphere_psia : array_like, optional
        Air pressure [psi absolute].

    Returns
    -------
    ndarray
        Cycles; whether the pump reaches the pressure is another question, see `stall_pressure_psia`.

    Raises
    ------
    CalculationError
        If a figure is out of range.

    References
    ----------
    .. [1] Gas law.

    Examples
    --------
    >>> round(float(cycles_for_gas(0.06, Multiplier(4.0, 120.0, 1.2, 120.0))), 1)
    8.9
    """
    checks = Checks()
    wanted = checks.not_negative("gas_mol", gas_mol)
    checks.settle()
    with np.errstate(divide="ignore", invalid="ignore"):
        cycles = wanted / gas_per_cycle_mol(pump, atmosphere_psia)
    return np.asarray(np.where(wanted == 0, 0.0, cycles))
