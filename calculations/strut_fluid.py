"""Gas that fresh fluid takes up: why a strut settles after fluid service without leaking.

References
----------
.. [1] ASTM D2779, "Standard test method for estimation of solubility of gases in petroleum liquids"
       (name only; the coefficient used here is from memory, source not seen).
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from calculations.checks import Checks
from calculations.constants import (
    CUBIC_INCH_M3,
    GAS_CONSTANT,
    PSI_PA,
    STANDARD_ATMOSPHERE_PA,
    STANDARD_ATMOSPHERE_PSI,
    ZERO_CELSIUS_K,
)
from calculations.strut_figures import StrutFigures
from calculations.strut_state import charge_mol

Array = npt.NDArray[np.float64]

NITROGEN_SOLUBILITY: Final = 0.10  # Bunsen coefficient, petroleum fluid; from memory, source not seen
_GAS_MOL_M3: Final = STANDARD_ATMOSPHERE_PA / (GAS_CONSTANT * ZERO_CELSIUS_K)  # at 0 degC and 1 atm


@dataclass(frozen=True, slots=True)
class DissolvedGas:
    """The most that gas-free fluid can take up.

    Attributes
    ----------
    dissolved_mol : ndarray
        Gas taken up [mol].
    charge_share : ndarray
        The same as a share of the charge [-].
    settling_in : ndarray
        Extension lost by it [in], to first order.
    """

    dissolved_mol: Array
    charge_share: Array
    settling_in: Array


def dissolved_gas(
    extension_in: npt.ArrayLike,
    temperature_f: npt.ArrayLike,
    load_lbf: npt.ArrayLike,
    figures: StrutFigures,
    *,
    solubility: npt.ArrayLike = NITROGEN_SOLUBILITY,
    atmosphere_psia: npt.ArrayLike = STANDARD_ATMOSPHERE_PSI,
) -> DissolvedGas:
    """Return how much gas the strut's fluid can take up, if it came in free of gas.

    Parameters
    ----------
    extension_in, temperature_f, load_lbf, figures, atmosphere_psia
        As in `charge_mol`.
    solubility : array_like
        Bunsen coefficient [volume of gas at 0 degC and 1 atm per volume of fluid and atm].

    Raises
    ------
    CalculationError
        As `charge_mol`; ``solubility`` (``negative``).

    Notes
    -----
    Henry's law: ``n = alpha V_fluid (p / 1 atm) / v0``, v0 the molar volume at 0 degC and 1 atm. An
    upper bound: fluid that stood in air holds some already, a separator keeps gas away, and taking it
    up takes days. A plain top-up at unchanged pressure dissolves nothing more.

    Examples
    --------
    >>> strut = StrutFigures(2.0, 1.5 / 3.141593, 30.0, 8.0, 800.0, 59.0, figures_temperature_f=59.0)
    >>> found = dissolved_gas(3.25, 59.0, 800.0, strut)
    >>> round(float(found.dissolved_mol), 4), round(float(found.charge_share), 2)
    (0.0402, 0.27)
    """
    checks = Checks()
    coefficient = checks.not_negative("solubility", solubility)
    checks.settle()
    charge = charge_mol(extension_in, temperature_f, load_lbf, figures, atmosphere_psia=atmosphere_psia)
    pressure = np.asarray(atmosphere_psia) + np.asarray(load_lbf, dtype=np.float64) / figures.area_in2
    fluid_m3 = np.asarray(figures.fluid_volume_in3, dtype=np.float64) * CUBIC_INCH_M3
    dissolved = coefficient * fluid_m3 * (pressure * PSI_PA / STANDARD_ATMOSPHERE_PA) * _GAS_MOL_M3
    share = np.asarray(dissolved / charge)
    warmer = (np.asarray(temperature_f, dtype=np.float64) - np.asarray(figures.figures_temperature_f)) / 1.8
    column = (
        np.asarray(extension_in, dtype=np.float64)
        + np.asarray(figures.gas_column_in)
        - figures.fluid_growth_in_per_k * warmer
    )
    return DissolvedGas(np.asarray(dissolved), share, np.asarray(share * column))
