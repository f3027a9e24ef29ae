"""Gas column and fluid volume from one measured slope, and the slopes of a gas column itself."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from calculations.checks import Checks
from calculations.constants import PSI_PA, STANDARD_ATMOSPHERE_PSI
from calculations.gas import kelvin, table_of
from calculations.strut_correction import uncertainty_parts
from calculations.strut_figures import StrutFigures

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class PerColumn:
    """Relative slopes of the gas column: by temperature [1/K] and, negated, by pressure [1/psi]."""

    temperature: Array
    pressure: Array


def gas_column_from_load_slope(
    slope_in_per_lbf: float, extension_in: float, temperature_f: float, load_lbf: float, figures: StrutFigures
) -> float:
    """Return the gas column [in, fully compressed] from how far load moves the strut.

    Parameters
    ----------
    slope_in_per_lbf : float
        Movement of extension by load at constant charge and temperature [in/lbf], negative.
    extension_in, temperature_f, load_lbf, figures
        Where the slope was taken, as in `charge_mol`.

    Notes
    -----
    ``c = -A (dx/dF) / (1/p - dlnZ/dp)`` and ``h0 = c - x + V_fluid beta (T - T_figures)/A``. Two load
    points with a gauge are too few: +-2 in.

    Examples
    --------
    >>> from calculations.strut_state import sensitivities
    >>> strut = StrutFigures(2.375, 2.0, 40.0, 9.0, 800.0)
    >>> slope = float(sensitivities(4.5, 70.0, 800.0, strut).load_in_per_lbf)
    >>> round(gas_column_from_load_slope(slope, 4.5, 70.0, 800.0, strut), 6)
    2.0
    """
    checks = Checks()
    slope = checks.finite("slope_in_per_lbf", slope_in_per_lbf)
    checks.require(~(slope >= 0), "slope_in_per_lbf", "not_negative", "must be below 0: load compresses")
    checks.settle()
    per_column, warmer, growth = slopes_at(extension_in, temperature_f, load_lbf, figures)
    return float(-slope * figures.area_in2 / per_column.pressure - extension_in + growth * warmer)


def fluid_volume_from_temperature_slope(
    slope_in_per_f: float, extension_in: float, temperature_f: float, load_lbf: float, figures: StrutFigures
) -> float:
    """Return the fluid volume [in3] from how far temperature moves the strut under one load.

    Parameters
    ----------
    slope_in_per_f : float
        Movement of extension by temperature at constant charge and load [in/degF].
    extension_in, temperature_f, load_lbf, figures
        Where the slope was taken, as in `charge_mol`; the gas column is taken from the figures.

    Notes
    -----
    ``dx/dT = c (1/T + dlnZ/dT) + V_fluid beta / A`` solved for the volume, with
    ``c = x + h0 - V_fluid beta (T - T_figures)/A``. A wrong gas column goes into the fluid: only the
    sum is measured, which is all that the temperature correction needs. May come out negative, which
    says that gas column or slope is wrong.

    Examples
    --------
    >>> from calculations.strut_state import sensitivities
    >>> strut = StrutFigures(2.375, 2.0, 40.0, 9.0, 800.0)
    >>> slope = float(sensitivities(4.5, 70.0, 800.0, strut).total_in_per_f)
    >>> round(fluid_volume_from_temperature_slope(slope, 4.5, 70.0, 800.0, strut), 6)
    40.0
    """
    checks = Checks()
    slope = checks.finite("slope_in_per_f", slope_in_per_f) * 1.8
    expansion = checks.positive("fluid_expansion_per_k", figures.fluid_expansion_per_k)
    checks.settle()
    per_column, warmer, _ = slopes_at(extension_in, temperature_f, load_lbf, figures)
    column_without_fluid = extension_in + np.asarray(figures.gas_column_in, dtype=np.float64)
    growth = (slope - per_column.temperature * column_without_fluid) / (1 - per_column.temperature * warmer)
    return float(growth * figures.area_in2 / expansion)


def slopes_at(
    extension_in: float, temperature_f: float, load_lbf: float, figures: StrutFigures
) -> tuple[PerColumn, Array, Array]:
    """Return slopes of the gas column, warmth above the figures' temperature [K], fluid growth [in/K]."""
    uncertainty_parts(extension_in, temperature_f, load_lbf, figures)  # refuses what physics does
    absolute = kelvin(temperature_f)
    pressure = STANDARD_ATMOSPHERE_PSI + np.asarray(load_lbf, dtype=np.float64) / figures.area_in2
    slopes = table_of(figures.gas).slopes(np.asarray(pressure * PSI_PA), absolute)
    per_column = PerColumn(1 / absolute + slopes.temperature_slope, 1 / pressure - slopes.pressure_slope * PSI_PA)
    return per_column, absolute - kelvin(figures.figures_temperature_f), figures.fluid_growth_in_per_k
