"""What a measured extension would be at the type sheet's load and temperature.

References
----------
.. [1] JCGM 100:2008, "Evaluation of measurement data - Guide to the expression of uncertainty in
       measurement", section 5.1: combined standard uncertainty.
"""

from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from calculations.checks import Checks
from calculations.constants import PSI_PA, STANDARD_ATMOSPHERE_PSI, ZERO_FAHRENHEIT_K
from calculations.gas import HIGHEST_PRESSURE_PSIA, check_pressure, check_temperature, table_of
from calculations.gas_table import GasTable
from calculations.strut_figures import (
    ReadingUncertainty,
    StrutFigures,
    StrutUncertainty,
    check_figures,
    check_uncertainties,
)
from calculations.strut_state import refuse_without_gas

Array = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]

_BLOCK: Final = 4096  # rows worked on at once, so that the intermediate arrays stay in the cache


@dataclass(frozen=True, slots=True)
class Correction:
    """A corrected extension, the terms that lead to it, and its uncertainty; all in inches.

    The terms are to be added to the reading: ``corrected = extension + gas + real_gas + fluid + load
    + atmosphere``.

    Attributes
    ----------
    corrected_in : ndarray
        Extension at reference load, temperature and air pressure. Not clipped: see `within_travel`.
    gas_in : ndarray
        Gas held at the measured pressure and brought to the reference temperature, ideal.
    real_gas_in : ndarray
        What real gas adds to the ideal terms.
    fluid_in : ndarray
        Expansion of the fluid.
    load_in, atmosphere_in : ndarray
        Gas brought from the measured to the reference load, then to the reference air pressure.
    uncertainty_in : ndarray
        Combined standard uncertainty (1 sigma).
    within_travel : ndarray of bool
        False where the corrected extension lies beyond a stop: the strut would then rest against
        it, and the figure is only the length that the charge would want.
    on_stop : ndarray of bool
        True where the reading itself is at a stop, where load no longer sets the pressure: the
        charge may then be more (upper stop) or less (lower stop) than the correction takes it for.
    """

    corrected_in: Array
    gas_in: Array
    real_gas_in: Array
    fluid_in: Array
    load_in: Array
    atmosphere_in: Array
    uncertainty_in: Array
    within_travel: BoolArray
    on_stop: BoolArray


@dataclass(frozen=True, slots=True)
class UncertaintyParts:
    """Contribution of each input to the uncertainty of a corrected extension [in], 1 sigma, signed."""

    extension_in: Array
    temperature_in: Array
    load_in: Array
    friction_in: Array
    atmosphere_in: Array
    tube_diameter_in: Array
    gas_column_in: Array
    fluid_volume_in: Array
    fluid_expansion_in: Array


class _Inputs(NamedTuple):
    """Inputs of one block; each a scalar array or one value per row."""

    extension: Array
    temperature: Array
    load: Array
    atmosphere: Array
    reference_atmosphere: Array
    friction: Array
    diameter: Array
    column: Array
    fluid: Array
    expansion: Array
    full: Array
    reference_load: Array
    reference_temperature: Array
    figures_temperature: Array
    extension_sd: Array
    temperature_sd: Array
    load_sd: Array
    atmosphere_sd: Array
    diameter_sd: Array
    column_sd: Array
    fluid_sd: Array
    expansion_sd: Array


class _Work(NamedTuple):
    """Terms of the correction and the parts of its uncertainty for one block."""

    terms: tuple[Array, ...]
    parts: tuple[Array, ...]
    gas_column: Array


def correct_extension(
    extension_in: npt.ArrayLike,
    temperature_f: npt.ArrayLike,
    load_lbf: npt.ArrayLike,
    figures: StrutFigures,
    *,
    atmosphere_psia: npt.ArrayLike = STANDARD_ATMOSPHERE_PSI,
    reference_atmosphere_psia: npt.ArrayLike = STANDARD_ATMOSPHERE_PSI,
    exercised: npt.ArrayLike = True,
    figures_uncertainty: StrutUncertainty | None = None,
    reading_uncertainty: ReadingUncertainty | None = None,
) -> Correction:
    r"""Return the extension that the same charge would show at the type sheet's load and temperature.

    Parameters
    ----------
    extension_in : array_like
        Measured extension [in], 0 to `figures.full_extension_in` (plus three times its uncertainty).
    temperature_f : array_like
        Temperature of the strut [degF], -63.67 to 170.33.
    load_lbf : array_like
        Load along the strut [lbf], more than 0: wheel reaction less unsprung weight, times the motion
        ratio.
    figures : StrutFigures
        The strut, with its reference load and temperature.
    atmosphere_psia, reference_atmosphere_psia : array_like
        Air pressure at the reading and at the reference [psia].
    exercised : array_like of bool
        Whether the strut was worked up and down before the reading.
    figures_uncertainty, reading_uncertainty : optional
        Standard uncertainties; by default those of the two classes.

    Returns
    -------
    Correction
        Arrays of the shape that all inputs broadcast to.

    Raises
    ------
    CalculationError
        Every input that physics refuses, by field: ``extension_in`` (``extension_beyond_tube``),
        ``temperature_f``, ``load_lbf`` (``pressure_outside_gas_table``), ``gas_column_in``
        (``no_gas_space``: the warm fluid would fill the strut), the figures, the uncertainties.

    Notes
    -----
    The load sets the pressure, ``p = p_atm + F / A``, so everything is explicit:

    .. math::

        c &= x + h_0 - o (T - T_f), \qquad o = V_{oil} \beta / A \\
        x_{ref} &= c \frac{T_0}{T} \frac{Z_0}{Z} \frac{p}{p_0} + o (T_0 - T_f) - h_0

    The total is split along one path: temperature at the measured pressure, load, air pressure, all
    ideal, then what real gas changes. The uncertainty is the first-order sum of squares [1]_ over
    independent inputs, with analytical slopes at the reading.

    Assumed: gas and fluid at one temperature, no separator effect, no dissolved gas, load along the
    tube, friction zero on average. A rough seal or a strut that was not exercised breaks the last.

    References
    ----------
    .. [1] JCGM 100:2008, eq. 10.

    Examples
    --------
    A strut of 2.25 in at 20 degF:

    >>> figures = StrutFigures(
    ...     tube_diameter_in=2.25, gas_column_in=1.0, fluid_volume_in3=20.0,
    ...     full_extension_in=8.0, reference_load_lbf=720.0,
    ... )
    >>> found = correct_extension(3.9, 20.0, 720.0, figures)
    >>> round(float(found.corrected_in), 2), round(float(found.uncertainty_in), 2)
    (4.57, 0.12)
    """
    inputs, shape, table = _prepare(
        extension_in,
        temperature_f,
        load_lbf,
        figures,
        atmosphere_psia,
        reference_atmosphere_psia,
        exercised,
        figures_uncertainty or StrutUncertainty(),
        reading_uncertainty or ReadingUncertainty(),
    )
    size = int(np.prod(shape))
    results = [np.empty(size) for _ in range(7)]
    for start in range(0, size, _BLOCK):
        rows = slice(start, min(start + _BLOCK, size))
        block = _Inputs(*(part[rows] if part.ndim else part for part in inputs))
        work = _work(block, table)
        refuse_without_gas(work.gas_column)
        corrected = block.extension
        for result, term in zip(results[1:6], work.terms, strict=True):
            corrected = corrected + term
            result[rows] = term
        results[0][rows] = corrected
        results[6][rows] = _root_sum_square(work.parts)
    corrected, gas, real_gas, fluid, load, atmosphere, uncertainty = (result.reshape(shape) for result in results)
    full = np.asarray(figures.full_extension_in, dtype=np.float64)
    extension = np.asarray(extension_in, dtype=np.float64)
    return Correction(
        corrected_in=corrected,
        gas_in=gas,
        real_gas_in=real_gas,
        fluid_in=fluid,
        load_in=load,
        atmosphere_in=atmosphere,
        uncertainty_in=uncertainty,
        within_travel=(corrected >= 0) & (corrected <= full),
        on_stop=np.broadcast_to((extension <= 0) | (extension >= full), shape),
    )


def uncertainty_parts(
    extension_in: npt.ArrayLike,
    temperature_f: npt.ArrayLike,
    load_lbf: npt.ArrayLike,
    figures: StrutFigures,
    *,
    atmosphere_psia: npt.ArrayLike = STANDARD_ATMOSPHERE_PSI,
    reference_atmosphere_psia: npt.ArrayLike = STANDARD_ATMOSPHERE_PSI,
    exercised: npt.ArrayLike = True,
    figures_uncertainty: StrutUncertainty | None = None,
    reading_uncertainty: ReadingUncertainty | None = None,
) -> UncertaintyParts:
    """Return what each input adds to the uncertainty; arguments as in `correct_extension`.

    Examples
    --------
    >>> figures = StrutFigures(2.25, 1.0, 20.0, 8.0, 720.0)
    >>> parts = uncertainty_parts(3.9, 20.0, 720.0, figures)
    >>> round(float(parts.temperature_in), 3), round(float(parts.load_in), 3)
    (-0.059, 0.058)
    """
    inputs, shape, table = _prepare(
        extension_in,
        temperature_f,
        load_lbf,
        figures,
        atmosphere_psia,
        reference_atmosphere_psia,
        exercised,
        figures_uncertainty or StrutUncertainty(),
        reading_uncertainty or ReadingUncertainty(),
    )
    work = _work(inputs, table)
    refuse_without_gas(work.gas_column)
    size = int(np.prod(shape))
    return UncertaintyParts(*(np.broadcast_to(part, (size,)).reshape(shape) for part in work.parts))


def _prepare(
    extension_in: npt.ArrayLike,
    temperature_f: npt.ArrayLike,
    load_lbf: npt.ArrayLike,
    figures: StrutFigures,
    atmosphere_psia: npt.ArrayLike,
    reference_atmosphere_psia: npt.ArrayLike,
    exercised: npt.ArrayLike,
    strut_sd: StrutUncertainty,
    reading_sd: ReadingUncertainty,
) -> tuple[_Inputs, tuple[int, ...], GasTable]:
    checks = Checks()
    extension = checks.not_negative("extension_in", extension_in)
    check_temperature(checks, "temperature_f", temperature_f)
    load = checks.positive("load_lbf", load_lbf)
    atmosphere = check_pressure(checks, "atmosphere_psia", atmosphere_psia)
    reference_atmosphere = check_pressure(checks, "reference_atmosphere_psia", reference_atmosphere_psia)
    check_figures(checks, figures)
    check_uncertainties(checks, strut_sd, reading_sd)
    checks.settle()
    longest = np.asarray(figures.full_extension_in) + 3 * np.asarray(strut_sd.full_extension_in)
    checks.require(
        extension <= longest, "extension_in", "extension_beyond_tube", "must not be longer than the full extension"
    )
    area = figures.area_in2
    too_much = f"must not press the gas above {HIGHEST_PRESSURE_PSIA:.0f} psia (350 bar) in a tube of this size"
    for field, pressure in (
        ("load_lbf", atmosphere + load / area),
        ("reference_load_lbf", reference_atmosphere + np.asarray(figures.reference_load_lbf) / area),
    ):
        checks.require(pressure <= HIGHEST_PRESSURE_PSIA, field, "pressure_outside_gas_table", too_much)
    checks.settle()
    friction = np.where(exercised, reading_sd.friction_exercised, reading_sd.friction_resting)
    values = (
        extension,
        temperature_f,
        load,
        atmosphere,
        reference_atmosphere,
        friction,
        figures.tube_diameter_in,
        figures.gas_column_in,
        figures.fluid_volume_in3,
        figures.fluid_expansion_per_k,
        figures.full_extension_in,
        figures.reference_load_lbf,
        figures.reference_temperature_f,
        figures.figures_temperature_f,
        reading_sd.extension_in,
        reading_sd.temperature_f,
        reading_sd.load_lbf,
        reading_sd.atmosphere_psi,
        strut_sd.tube_diameter_in,
        strut_sd.gas_column_in,
        strut_sd.fluid_volume_in3,
        strut_sd.fluid_expansion_per_k,
    )
    arrays = [np.asarray(value, dtype=np.float64) for value in values]
    shape = np.broadcast_shapes(*(array.shape for array in arrays))
    flat = (array if array.size == 1 else np.broadcast_to(array, shape).reshape(-1) for array in arrays)
    inputs = _Inputs(*(array.reshape(()) if array.size == 1 else array for array in flat))
    return inputs, shape, table_of(figures.gas)


def _work(given: _Inputs, table: GasTable) -> _Work:
    area = np.pi / 4 * given.diameter * given.diameter
    kelvin = given.temperature / 1.8 + ZERO_FAHRENHEIT_K
    kelvin_0 = given.reference_temperature / 1.8 + ZERO_FAHRENHEIT_K
    figures_kelvin = given.figures_temperature / 1.8 + ZERO_FAHRENHEIT_K
    gauge = given.load / area
    gauge_0 = given.reference_load / area
    pressure = given.atmosphere + gauge
    pressure_0 = given.reference_atmosphere + gauge_0
    pressure_at_reference_load = given.atmosphere + gauge_0
    growth = given.fluid * given.expansion / area  # [in/K]
    warmer = kelvin - figures_kelvin
    warmer_0 = kelvin_0 - figures_kelvin
    column = given.extension + given.column - growth * warmer
    log_z = table.slopes(pressure * PSI_PA, kelvin)
    log_z_0 = table.slopes(pressure_0 * PSI_PA, kelvin_0)

    warmed = column * (kelvin_0 / kelvin)
    loaded = warmed * (pressure / pressure_at_reference_load)
    ideal = warmed * (pressure / pressure_0)
    real_gas = ideal * np.expm1(log_z_0.value - log_z.value)
    terms = (warmed - column, real_gas, growth * (kelvin_0 - kelvin), loaded - warmed, ideal - loaded)

    column_0 = ideal + real_gas
    ratio = column_0 / column
    per_kelvin = ratio * growth + column_0 * (1 / kelvin + log_z.temperature_slope)
    per_psi = column_0 * (1 / pressure - log_z.pressure_slope * PSI_PA)
    per_psi_0 = column_0 * (1 / pressure_0 - log_z_0.pressure_slope * PSI_PA)
    per_growth = warmer_0 - ratio * warmer
    # A larger area lowers both pressures and the growth of the fluid: d/d(ln A).
    per_log_area = per_psi_0 * gauge_0 - per_psi * gauge - growth * per_growth
    per_load = per_psi / area
    per_volume = per_growth / area
    parts = (
        ratio * given.extension_sd,
        per_kelvin * (given.temperature_sd * (-1 / 1.8)),
        per_load * given.load_sd,
        per_load * given.load * given.friction,
        per_psi * given.atmosphere_sd,
        per_log_area * (2 * given.diameter_sd / given.diameter),
        (ratio - 1) * given.column_sd,
        per_volume * (given.expansion * given.fluid_sd),
        per_volume * (given.fluid * given.expansion_sd),
    )
    return _Work(terms, parts, column)


def _root_sum_square(parts: tuple[Array, ...]) -> Array:
    total = parts[0] * parts[0]
    for part in parts[1:]:
        total = total + part * part
    return np.sqrt(total)
