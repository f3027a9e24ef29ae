"""Hose: what is lost each time it is opened to a strut.

References
----------
.. [1] Gas law at constant temperature.
"""

import numpy as np
from numpy.typing import ArrayLike

from calculations.checks import Checks, FloatArray
from calculations.constants import STANDARD_ATMOSPHERE_PSI
from calculations.supply.demand import RestingStrut


def extension_lost_in(
    hose_in3: ArrayLike, strut: RestingStrut, hose_psia: ArrayLike = STANDARD_ATMOSPHERE_PSI
) -> FloatArray:
    """Return how far a strut sinks when a hose is opened to it.

    Parameters
    ----------
    hose_in3 : array_like
        Volume of hose and fittings up to the closed end [in3].
    strut : RestingStrut
        Which strut.
    hose_psia : array_like, optional
        Pressure in the hose before [psi absolute]; of the air unless it was pressed up first.

    Returns
    -------
    ndarray
        Loss of extension per connection [in]; below 0 where the hose holds more than the strut.

    Raises
    ------
    CalculationError
        If a figure is out of range.

    Notes
    -----
    V (P - P_hose)/(P A). As large as a dose: press the hose up first, or count the loss in the log.
    Compressibility leaves this out by less than 1 %.

    References
    ----------
    .. [1] Gas law at constant temperature.

    Examples
    --------
    >>> round(float(extension_lost_in(2.0, RestingStrut(195.3, 4.43, 70.0))), 2)
    0.42
    """
    checks = Checks()
    volume = checks.not_negative("hose_in3", hose_in3)
    before = checks.positive("hose_psia", hose_psia)
    pressure = checks.positive("pressure_psia", strut.pressure_psia)
    area = checks.positive("tube_area_in2", strut.tube_area_in2)
    checks.settle()
    return np.asarray(volume * (pressure - before) / (pressure * area))
