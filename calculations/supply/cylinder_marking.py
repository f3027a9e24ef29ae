"""What the marks on a gas cylinder say: how far it may be filled, and which outlet its valve has.

References
----------
.. [1] 49 CFR 178.37: specification 3AA, seamless steel.
.. [2] 49 CFR 173.302a(b): the "+" mark; its title read in a quotation, the share from memory.
.. [3] Compressed Gas Association V-1, outlets for nitrogen; from memory, source not seen.
"""

from enum import StrEnum
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from calculations.checks import BoolArray, Checks, FloatArray
from calculations.errors import refuse

LEAST_SERVICE_PSIG: Final = 150.0  # [psi gauge], [1]
PLUS_SHARE: Final = 0.10  # over service pressure, [2]
GREATEST_580_PSI: Final = 3000.0  # [psi], [3]
GREATEST_680_PSI: Final = 5500.0  # [psi], [3]


class Outlet(StrEnum):
    """Valve outlets of nitrogen cylinders; a regulator fits one of them only."""

    CGA_580 = "CGA 580"
    CGA_680 = "CGA 680"


def filling_pressure_psig(service_psig: ArrayLike, plus_mark: BoolArray | bool) -> FloatArray:
    """Return the pressure at 70 degF to which a cylinder may be filled.

    Parameters
    ----------
    service_psig : array_like
        Service pressure stamped after the specification, as 2400 in "3AA 2400" [psi gauge].
    plus_mark : array_like of bool
        Whether a "+" follows the date of the last test.

    Returns
    -------
    ndarray
        Pressure [psi gauge], 10 % above service pressure with the mark. The filler decides.

    Raises
    ------
    CalculationError
        If the service pressure is below 150 psi, which no such cylinder has.

    References
    ----------
    .. [1] 49 CFR 173.302a(b), share from memory, source not seen; 49 CFR 178.37.

    Examples
    --------
    >>> filling_pressure_psig([2400, 2400], [False, True]).tolist()
    [2400.0, 2640.0]
    """
    checks = Checks()
    service = checks.finite("service_psig", service_psig)
    checks.require(~(service < LEAST_SERVICE_PSIG), "service_psig", "out_of_range", "must be 150 or more")
    checks.settle()
    return np.asarray(service * np.where(plus_mark, 1 + PLUS_SHARE, 1.0))


def outlet_for(filling_psig: float) -> Outlet:
    """Return the outlet that a nitrogen cylinder filled to a pressure has.

    Parameters
    ----------
    filling_psig : float
        Pressure of the full cylinder [psi gauge].

    Returns
    -------
    Outlet
        The regulator's inlet must be of the same kind; never adapt one to another.

    Raises
    ------
    CalculationError
        If the pressure is not above 0, or above 5500 psi, for which there is none here.

    References
    ----------
    .. [1] Compressed Gas Association V-1, from memory, source not seen.

    Examples
    --------
    >>> str(outlet_for(2640)), str(outlet_for(4336))
    ('CGA 580', 'CGA 680')
    """
    checks = Checks()
    checks.positive("filling_psig", filling_psig)
    checks.settle()
    if filling_psig > GREATEST_680_PSI:
        raise refuse("filling_psig", "no_outlet", f"must be 5500 or less for the outlets known, is {filling_psig:g}")
    return Outlet.CGA_580 if filling_psig <= GREATEST_580_PSI else Outlet.CGA_680
