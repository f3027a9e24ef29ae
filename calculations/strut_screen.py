"""Which readings of a long list can be corrected at all, without raising for the others."""

import numpy as np
import numpy.typing as npt

from calculations.constants import STANDARD_ATMOSPHERE_PSI
from calculations.gas import (
    HIGHEST_PRESSURE_PSIA,
    HIGHEST_TEMPERATURE_F,
    LOWEST_TEMPERATURE_F,
    kelvin,
)
from calculations.strut_figures import StrutFigures


def correctable(
    extension_in: npt.ArrayLike,
    temperature_f: npt.ArrayLike,
    load_lbf: npt.ArrayLike,
    figures: StrutFigures,
    *,
    atmosphere_psia: npt.ArrayLike = STANDARD_ATMOSPHERE_PSI,
    full_extension_margin_in: npt.ArrayLike = 0.0,
) -> npt.NDArray[np.bool_]:
    """Return which readings `correct_extension` would take.

    Parameters
    ----------
    extension_in, temperature_f, load_lbf, figures, atmosphere_psia
        As in `correct_extension`; NaN where something was not read.
    full_extension_margin_in : array_like
        Three times the uncertainty of the full extension [in].

    Returns
    -------
    ndarray of bool
        True where the reading is possible. The figures themselves are not judged.

    Examples
    --------
    >>> strut = StrutFigures(2.375, 2.0, 40.0, 9.0, 800.0)
    >>> correctable([4.5, -1.0, 12.0, 4.5], [70.0, 70.0, 70.0, np.nan], 800.0, strut).tolist()
    [True, False, False, False]
    """
    extension = np.asarray(extension_in, dtype=np.float64)
    temperature = np.asarray(temperature_f, dtype=np.float64)
    load = np.asarray(load_lbf, dtype=np.float64)
    atmosphere = np.asarray(atmosphere_psia, dtype=np.float64)
    longest = np.asarray(figures.full_extension_in) + np.asarray(full_extension_margin_in)
    warmer = kelvin(temperature) - kelvin(figures.figures_temperature_f)
    gas_column = extension + np.asarray(figures.gas_column_in) - figures.fluid_growth_in_per_k * warmer
    # A comparison with NaN is false, so what was not read drops out by itself.
    return np.asarray(
        (extension >= 0)
        & (extension <= longest)
        & (temperature >= LOWEST_TEMPERATURE_F)
        & (temperature <= HIGHEST_TEMPERATURE_F)
        & (load > 0)
        & (atmosphere > 0)
        & (atmosphere + load / figures.area_in2 <= HIGHEST_PRESSURE_PSIA)
        & (gas_column > 0)
    )
