"""What a resting strut asks of any supply: a pressure to beat and gas to move it.

References
----------
.. [1] Statics of a piston and the gas law; real gas by `calculations.gas`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from calculations.checks import BoolArray, Checks, FloatArray
from calculations.constants import STANDARD_ATMOSPHERE_PSI
from calculations.gas import Gas, amount_mol


@dataclass(frozen=True, slots=True)
class RestingStrut:
    """A strut at rest, as a supply sees it.

    Parameters
    ----------
    pressure_psia : array_like
        That its load asks for [psi absolute]; the same at every extension.
    tube_area_in2 : array_like
        Area of the tube at the seal [in2].
    temperature_f : array_like
        Of its gas [degF].
    gas : Gas
        What it is filled with.
    """

    pressure_psia: ArrayLike
    tube_area_in2: ArrayLike
    temperature_f: ArrayLike
    gas: Gas = Gas.NITROGEN


@dataclass(frozen=True, slots=True)
class Reach:
    """Whether a supply gets to the pressure at all.

    Parameters
    ----------
    reachable : ndarray of bool
        True where the supply's highest pressure exceeds what the strut holds.
    highest_psia, needed_psia : ndarray
        Of the supply and of the strut [psi absolute].
    margin_psi : ndarray
        The one less the other [psi]; at or below 0 no gas flows.
    """

    reachable: BoolArray
    highest_psia: FloatArray
    needed_psia: FloatArray
    margin_psi: FloatArray


def reach(highest_psia: ArrayLike, strut: RestingStrut) -> Reach:
    """Compare a supply's highest pressure with that of the strut.

    Parameters
    ----------
    highest_psia : array_like
        Of the supply [psi absolute].
    strut : RestingStrut
        What is to be filled.

    Returns
    -------
    Reach
        Reachable or not, and by how much.

    Raises
    ------
    CalculationError
        If a pressure is not above 0.

    Notes
    -----
    Equal pressures do not move gas: they count as out of reach. A strut that is jacked or held by
    friction asks for another pressure than at rest.

    References
    ----------
    .. [1] Gas flows from higher to lower pressure.

    Examples
    --------
    A shop compressor of 120 psi and a strut of 180 psi.

    >>> bool(reach(134.7, RestingStrut(195.3, 4.43, 70.0)).reachable)
    False
    """
    checks = Checks()
    highest = checks.positive("highest_psia", highest_psia)
    needed = checks.positive("pressure_psia", strut.pressure_psia)
    checks.settle()
    highest, needed = np.broadcast_arrays(highest, needed)
    return Reach(np.asarray(highest > needed), highest, needed, np.asarray(highest - needed))


def compressor_highest_psia(
    setting_psig: ArrayLike, atmosphere_psia: ArrayLike = STANDARD_ATMOSPHERE_PSI
) -> FloatArray:
    """Return the highest pressure of a compressor or regulator set to a gauge pressure.

    Parameters
    ----------
    setting_psig : array_like
        Of the compressor's switch or the regulator [psi gauge].
    atmosphere_psia : array_like, optional
        Air pressure [psi absolute].

    Returns
    -------
    ndarray
        Highest pressure [psi absolute].

    Raises
    ------
    CalculationError
        If a pressure is out of range.

    References
    ----------
    .. [1] Absolute pressure is gauge pressure and that of the air.

    Examples
    --------
    >>> round(float(compressor_highest_psia(120)), 1)
    134.7
    """
    checks = Checks()
    setting = checks.not_negative("setting_psig", setting_psig)
    atmosphere = checks.positive("atmosphere_psia", atmosphere_psia)
    checks.settle()
    return np.asarray(setting + atmosphere)


def gas_for_rise_mol(rise_in: ArrayLike, strut: RestingStrut) -> FloatArray:
    """Return the gas that lengthens a resting strut.

    Parameters
    ----------
    rise_in : array_like
        Wanted change of extension [in]; below 0 to shorten it.
    strut : RestingStrut
        Which strut.

    Returns
    -------
    ndarray
        Gas to add [mol]; below 0 to let out.

    Raises
    ------
    CalculationError
        If a figure is out of range.

    Notes
    -----
    n = A dx P/(Z R T). Neither the extension nor the gas column matters, because the load holds the
    pressure.

    References
    ----------
    .. [1] Gas law at constant pressure.

    Examples
    --------
    A main strut from 3.0 to 4.5 in.

    >>> round(float(gas_for_rise_mol(1.5, RestingStrut(195.3, 4.43, 70.0))), 3)
    0.06
    """
    checks = Checks()
    rise = checks.finite("rise_in", rise_in)
    area = checks.positive("tube_area_in2", strut.tube_area_in2)
    checks.settle()
    return np.asarray(rise * amount_mol(strut.pressure_psia, area, strut.temperature_f, strut.gas))


def rise_of_gas_in(gas_mol: ArrayLike, strut: RestingStrut) -> FloatArray:
    """Return how far an amount of gas lengthens a resting strut, the inverse of `gas_for_rise_mol`.

    Parameters
    ----------
    gas_mol : array_like
        Gas added [mol]; below 0 let out.
    strut : RestingStrut
        Which strut.

    Returns
    -------
    ndarray
        Change of extension [in], before friction holds any of it back.

    Raises
    ------
    CalculationError
        If a figure is out of range.

    References
    ----------
    .. [1] Gas law at constant pressure.

    Examples
    --------
    >>> round(float(rise_of_gas_in(0.06, RestingStrut(195.3, 4.43, 70.0))), 2)
    1.5
    """
    checks = Checks()
    gas = checks.finite("gas_mol", gas_mol)
    checks.settle()
    return np.asarray(gas / gas_for_rise_mol(1.0, strut))
