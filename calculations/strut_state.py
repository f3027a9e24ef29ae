"""A strut at rest or against a stop: charge, extension, pressure and how each moves the others."""

from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from calculations.checks import Checks
from calculations.constants import CUBIC_INCH_M3, PSI_PA, STANDARD_ATMOSPHERE_PSI
from calculations.errors import CalculationError, Fault
from calculations.gas import HIGHEST_PRESSURE_PSIA, check_pressure, check_temperature, kelvin, table_of
from calculations.strut_figures import StrutFigures, check_figures

Array = npt.NDArray[np.float64]

_PRESSURE_TOLERANCE: Final = 1e-12  # relative; the worst corner of the table gains a factor of 2 a step


class RestExtension(NamedTuple):
    """Extension that a charge wants, and whether the strut has that length.

    Attributes
    ----------
    extension_in : ndarray
        [in]; not clipped, so it may lie beyond a stop.
    within_travel : ndarray of bool
        False where the strut would rest against a stop instead.
    """

    extension_in: Array
    within_travel: npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Sensitivities:
    """How a resting strut's extension moves.

    Attributes
    ----------
    gas_in_per_f, real_gas_in_per_f, fluid_in_per_f, total_in_per_f : ndarray
        By temperature [in/degF].
    load_in_per_lbf : ndarray
        By load [in/lbf], negative.
    atmosphere_in_per_psi : ndarray
        By air pressure [in/psi], negative.
    charge_in_per_percent : ndarray
        By one percent more gas [in].
    """

    gas_in_per_f: Array
    real_gas_in_per_f: Array
    fluid_in_per_f: Array
    total_in_per_f: Array
    load_in_per_lbf: Array
    atmosphere_in_per_psi: Array
    charge_in_per_percent: Array


def rest_pressure_psia(
    load_lbf: npt.ArrayLike,
    figures: StrutFigures,
    *,
    atmosphere_psia: npt.ArrayLike = STANDARD_ATMOSPHERE_PSI,
) -> Array:
    """Return the absolute pressure [psi] in a strut that carries a load [lbf] at rest.

    Notes
    -----
    ``p = p_atm + F / A``: the charge does not appear.

    Raises
    ------
    CalculationError
        Load not above 0, or pressure outside the gas table.

    Examples
    --------
    >>> strut = StrutFigures(2.0, 0.47746, 30.0, 8.0, 800.0)
    >>> round(float(rest_pressure_psia(800.0, strut)), 3)
    269.344
    """
    checks = Checks()
    pressure = _rest_pressure(checks, load_lbf, figures, atmosphere_psia)
    check_figures(checks, figures)
    checks.settle()
    return pressure


def charge_mol(
    extension_in: npt.ArrayLike,
    temperature_f: npt.ArrayLike,
    load_lbf: npt.ArrayLike,
    figures: StrutFigures,
    *,
    atmosphere_psia: npt.ArrayLike = STANDARD_ATMOSPHERE_PSI,
) -> Array:
    """Return the amount of gas [mol] in a strut at rest.

    Parameters
    ----------
    extension_in : array_like
        Extension [in], 0 to full.
    temperature_f : array_like
        Temperature of the strut [degF].
    load_lbf : array_like
        Load along the strut [lbf], more than 0.
    figures : StrutFigures
        The strut.
    atmosphere_psia : array_like
        Air pressure [psia].

    Raises
    ------
    CalculationError
        Any input that physics refuses, by field.

    Notes
    -----
    ``n = p V / (Z R T)`` with ``p = p_atm + F / A`` and
    ``V = A (x + h0) - V_fluid beta (T - T_figures)``.

    Examples
    --------
    >>> strut = StrutFigures(2.0, 1.5 / 3.141593, 30.0, 8.0, 800.0, 59.0, figures_temperature_f=59.0)
    >>> round(float(charge_mol(3.25, 59.0, 800.0, strut)), 6)
    0.149419
    """
    checks = Checks()
    extension = _extension(checks, extension_in, figures)
    temperature = check_temperature(checks, "temperature_f", temperature_f)
    pressure = _rest_pressure(checks, load_lbf, figures, atmosphere_psia)
    check_figures(checks, figures)
    checks.settle()
    return _moles(pressure, _gas_volume(extension, temperature, figures), temperature, figures)


def extension_in(
    charge_mol: npt.ArrayLike,
    temperature_f: npt.ArrayLike,
    load_lbf: npt.ArrayLike,
    figures: StrutFigures,
    *,
    atmosphere_psia: npt.ArrayLike = STANDARD_ATMOSPHERE_PSI,
) -> RestExtension:
    """Return the extension [in] of a strut at rest with a charge [mol]; inverse of `charge_mol`.

    Returns
    -------
    RestExtension
        The extension is not clipped; `within_travel` is False where it lies beyond a stop.

    Raises
    ------
    CalculationError
        Any input that physics refuses, by field.

    Notes
    -----
    ``x = (n Z R T / p + V_fluid beta (T - T_figures)) / A - h0``.

    Examples
    --------
    >>> strut = StrutFigures(2.0, 1.5 / 3.141593, 30.0, 8.0, 800.0, 59.0, figures_temperature_f=59.0)
    >>> found = extension_in(0.149419, 32.0, 800.0, strut)
    >>> round(float(found.extension_in), 3), bool(found.within_travel)
    (2.922, True)
    """
    checks = Checks()
    charge = checks.positive("charge_mol", charge_mol)
    temperature = check_temperature(checks, "temperature_f", temperature_f)
    pressure = _rest_pressure(checks, load_lbf, figures, atmosphere_psia)
    check_figures(checks, figures)
    checks.settle()
    table = table_of(figures.gas)
    absolute = kelvin(temperature)
    z = np.exp(table.log_z(pressure * PSI_PA, absolute))
    volume_in3 = charge * z * table.gas_constant * absolute / (pressure * PSI_PA) / CUBIC_INCH_M3
    warmer = absolute - kelvin(figures.figures_temperature_f)
    gas_column = np.asarray(figures.gas_column_in, dtype=np.float64)
    found: Array = volume_in3 / figures.area_in2 + figures.fluid_growth_in_per_k * warmer - gas_column
    full = np.asarray(figures.full_extension_in, dtype=np.float64)
    return RestExtension(found, (found >= 0) & (found <= full))


def pressure_at_psia(
    charge_mol: npt.ArrayLike,
    extension_in: npt.ArrayLike,
    temperature_f: npt.ArrayLike,
    figures: StrutFigures,
) -> Array:
    """Return the absolute gas pressure [psi] of a charge at a held extension.

    Use it for a strut against a stop: full extension on jacks, or 0 when bottomed.

    Raises
    ------
    CalculationError
        Any input that physics refuses, by field; ``charge_mol`` (``pressure_outside_gas_table``)
        where the gas would be pressed above 350 bar.

    Notes
    -----
    ``p = n Z(p) R T / V``, solved by repeated substitution, which gains two digits or more a step at
    strut pressures.

    Examples
    --------
    >>> strut = StrutFigures(2.0, 1.5 / 3.141593, 30.0, 8.0, 800.0, 59.0, figures_temperature_f=59.0)
    >>> round(float(pressure_at_psia(0.149419, 8.0, 59.0, strut)), 1)
    118.7
    """
    checks = Checks()
    charge = checks.positive("charge_mol", charge_mol)
    extension = _extension(checks, extension_in, figures)
    temperature = check_temperature(checks, "temperature_f", temperature_f)
    check_figures(checks, figures)
    checks.settle()
    table = table_of(figures.gas)
    absolute = kelvin(temperature)
    volume_m3 = _gas_volume(extension, temperature, figures) * CUBIC_INCH_M3
    ideal_pa = charge * table.gas_constant * absolute / volume_m3
    # Below 275 bar Z may be under 1 and the first step too high, but never above the table; beyond, Z
    # exceeds 1 and the steps rise to the answer. So a step above the table is an answer above it.
    pressure_pa = ideal_pa
    change = np.inf
    while change > _PRESSURE_TOLERANCE:
        if np.any(pressure_pa > HIGHEST_PRESSURE_PSIA * PSI_PA):
            message = f"would press the gas above {HIGHEST_PRESSURE_PSIA:.0f} psia (350 bar) here"
            raise CalculationError([Fault("charge_mol", "pressure_outside_gas_table", message)])
        last, pressure_pa = pressure_pa, ideal_pa * np.exp(table.log_z(pressure_pa, absolute))
        change = float(np.max(np.abs(pressure_pa / last - 1), initial=0.0))
    return np.asarray(pressure_pa / PSI_PA)


def sensitivities(
    extension_in: npt.ArrayLike,
    temperature_f: npt.ArrayLike,
    load_lbf: npt.ArrayLike,
    figures: StrutFigures,
    *,
    atmosphere_psia: npt.ArrayLike = STANDARD_ATMOSPHERE_PSI,
) -> Sensitivities:
    """Return how the extension of a resting strut moves with temperature, load, air and charge.

    Notes
    -----
    With the gas column ``c = V / A``: gas ``c / T``, real gas ``c dlnZ/dT``, fluid
    ``V_fluid beta / A``, load ``-c (1/p - dlnZ/dp) / A``, air ``-c (1/p - dlnZ/dp)``, charge ``c / n``.

    Examples
    --------
    >>> strut = StrutFigures(2.25, 1.0, 20.0, 8.0, 720.0)
    >>> found = sensitivities(4.5, 70.0, 720.0, strut)
    >>> round(float(found.gas_in_per_f), 4), round(float(found.fluid_in_per_f), 4)
    (0.0104, 0.0024)
    """
    checks = Checks()
    extension = _extension(checks, extension_in, figures)
    temperature = check_temperature(checks, "temperature_f", temperature_f)
    pressure = _rest_pressure(checks, load_lbf, figures, atmosphere_psia)
    check_figures(checks, figures)
    checks.settle()
    absolute = kelvin(temperature)
    column = _gas_volume(extension, temperature, figures) / figures.area_in2
    column, absolute, pressure, growth = np.broadcast_arrays(
        column, absolute, pressure, figures.fluid_growth_in_per_k
    )
    slopes = table_of(figures.gas).slopes(pressure * PSI_PA, absolute)
    gas = column / absolute / 1.8
    real_gas = column * slopes.temperature_slope / 1.8
    fluid = growth / 1.8
    per_psi = -column * (1 / pressure - slopes.pressure_slope * PSI_PA)
    return Sensitivities(
        gas, real_gas, fluid, gas + real_gas + fluid, per_psi / figures.area_in2, per_psi, column / 100
    )


def _extension(checks: Checks, extension_in: npt.ArrayLike, figures: StrutFigures) -> Array:
    extension = checks.not_negative("extension_in", extension_in)
    full = np.asarray(figures.full_extension_in, dtype=np.float64)
    checks.require(
        ~(extension > full),
        "extension_in",
        "extension_beyond_tube",
        "must not be longer than the full extension",
    )
    return extension


def _rest_pressure(
    checks: Checks, load_lbf: npt.ArrayLike, figures: StrutFigures, atmosphere_psia: npt.ArrayLike
) -> Array:
    load = checks.positive("load_lbf", load_lbf)
    atmosphere = check_pressure(checks, "atmosphere_psia", atmosphere_psia)
    with np.errstate(divide="ignore", invalid="ignore"):  # a tube of no size is a fault of its own
        pressure = np.asarray(atmosphere + load / figures.area_in2)
        checks.require(
            ~(pressure > HIGHEST_PRESSURE_PSIA),
            "load_lbf",
            "pressure_outside_gas_table",
            f"must not press the gas above {HIGHEST_PRESSURE_PSIA:.0f} psia (350 bar) in this tube",
        )
    return pressure


def _gas_volume(extension: Array, temperature_f: Array, figures: StrutFigures) -> Array:
    warmer = kelvin(temperature_f) - kelvin(figures.figures_temperature_f)
    column = extension + np.asarray(figures.gas_column_in) - figures.fluid_growth_in_per_k * warmer
    refuse_without_gas(column)
    return np.asarray(figures.area_in2 * column)


def refuse_without_gas(gas_column_in: Array) -> None:
    """Raise `CalculationError` where the fluid would leave no room for gas."""
    if np.any(gas_column_in <= 0):
        message = "must leave room for gas: at this extension and temperature the fluid would fill the strut"
        raise CalculationError([Fault("gas_column_in", "no_gas_space", message)])


def _moles(pressure_psia: Array, volume_in3: Array, temperature_f: Array, figures: StrutFigures) -> Array:
    table = table_of(figures.gas)
    absolute = kelvin(temperature_f)
    pressure_pa = pressure_psia * PSI_PA
    z = np.exp(table.log_z(pressure_pa, absolute))
    return np.asarray(pressure_pa * volume_in3 * CUBIC_INCH_M3 / (z * table.gas_constant * absolute))
