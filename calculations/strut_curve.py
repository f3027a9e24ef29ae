"""How hard a strut pushes back over its stroke, and what a low extension costs.

All of it indicates; none of it is permission to fly. A landing also depends on orifice, tyre, sink
rate and wing lift, which are not looked at here.

References
----------
.. [1] N. S. Currey, "Aircraft Landing Gear Design: Principles and Practices", AIAA, 1988
       (exponents and ratios from memory, source not seen).
.. [2] B. Milwitzky, F. E. Cook, "Analysis of landing-gear behavior", NACA Report 1154, 1953.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from calculations.checks import Checks
from calculations.constants import STANDARD_ATMOSPHERE_PSI
from calculations.gas import check_pressure, check_temperature, kelvin
from calculations.strut_figures import FIGURES_TEMPERATURE_F, StrutFigures, check_figures

Array = npt.NDArray[np.float64]

ISOTHERMAL_EXPONENT: Final = 1.0  # slow: taxi, loading
MIXED_EXPONENT: Final = 1.1  # gas and fluid mix, [1]
SEPARATED_EXPONENT: Final = 1.35  # gas and fluid kept apart, [1]
LARGEST_EXPONENT: Final = 1.67  # adiabatic, monatomic gas: nothing is steeper

INDICATION: Final = (
    "An indication of stroke and energy left, from the gas spring alone; not a limit and not a permission to fly."
)


@dataclass(frozen=True, slots=True)
class LoadStrokeCurve:
    """Load [lbf] and absolute gas pressure [psi] at extensions from full to bottomed [in]."""

    extension_in: Array
    load_lbf: Array
    pressure_psia: Array


@dataclass(frozen=True, slots=True)
class Reserve:
    """What is left between a resting strut and its lower stop.

    Attributes
    ----------
    stroke_left_in : ndarray
        [in].
    compression_ratio : ndarray
        Gas volume at rest over gas volume bottomed [-].
    bottoming_load_factor : ndarray
        Gas load at the lower stop over the load at rest [-].
    energy_in_lbf : ndarray
        Work of the gas spring from rest to the lower stop [in lbf].
    energy_margin : ndarray
        Energy against that of the target extension under the same load, less one [-]: -0.4 means
        40 % less than at the target.
    indication : str
        How far this may be trusted, for the person who reads it.
    """

    stroke_left_in: Array
    compression_ratio: Array
    bottoming_load_factor: Array
    energy_in_lbf: Array
    energy_margin: Array
    indication: str


@dataclass(frozen=True, slots=True)
class CompressionRatios:
    """Volumes over swept volume, and the share of the stroke used at rest; all [-]."""

    static_stroke_fraction: Array
    extended_volume: Array
    static_volume: Array
    compressed_volume: Array


def polytropic_pressure(pressure: npt.ArrayLike, volume_ratio: npt.ArrayLike, exponent: npt.ArrayLike) -> Array:
    """Return the absolute pressure after a polytropic change, in the unit of `pressure`.

    Parameters
    ----------
    pressure : array_like
        Absolute pressure before, any unit, above 0.
    volume_ratio : array_like
        Volume before over volume after [-], above 0.
    exponent : array_like
        1 (isothermal) to 1.67 [-].

    Notes
    -----
    ``p2 = p1 (V1 / V2)**m``, ideal gas.

    Examples
    --------
    >>> round(float(polytropic_pressure(1.0, 12.0, 1.35)), 3)
    28.635
    """
    checks = Checks()
    before = checks.positive("pressure", pressure)
    ratio = checks.positive("volume_ratio", volume_ratio)
    power = checks.between("exponent", exponent, ISOTHERMAL_EXPONENT, LARGEST_EXPONENT)
    checks.settle()
    return np.asarray(before * ratio**power)


def load_stroke_curve(
    rest_extension_in: float,
    load_lbf: float,
    figures: StrutFigures,
    *,
    exponent: float = MIXED_EXPONENT,
    temperature_f: float = FIGURES_TEMPERATURE_F,
    atmosphere_psia: float = STANDARD_ATMOSPHERE_PSI,
    points: int = 101,
) -> LoadStrokeCurve:
    """Return load against extension, from full extension to the lower stop.

    Parameters
    ----------
    rest_extension_in, load_lbf : float
        Extension [in] and load [lbf] at rest, where the stroke begins.
    figures : StrutFigures
        One strut, fields scalar.
    exponent : float
        Polytropic exponent [-]: 1.0 slow, 1.1 gas and fluid mixed, 1.35 kept apart.
    temperature_f, atmosphere_psia : float
        Temperature of the strut at rest [degF] and air pressure [psia].
    points : int
        Number of extensions, 2 or more.

    Raises
    ------
    CalculationError
        Any input that physics refuses, by field.

    Notes
    -----
    ``F(x) = A (p_rest (V_rest / V(x))**m - p_atm)`` [1]_: ideal gas, no friction, no orifice.

    References
    ----------
    .. [1] Currey, "Aircraft Landing Gear Design", AIAA, 1988 (from memory, source not seen).

    Examples
    --------
    >>> strut = StrutFigures(2.375, 2.0, 40.0, 9.0, 800.0)
    >>> curve = load_stroke_curve(4.5, 800.0, strut, points=3)
    >>> curve.extension_in.tolist(), curve.load_lbf.round().tolist()
    ([9.0, 4.5, 0.0], [420.0, 800.0, 3098.0])
    """
    checks = Checks()
    checks.require(points >= 2, "points", "too_few", "must be 2 or more")
    rest = _Rest.of(checks, rest_extension_in, load_lbf, figures, exponent, temperature_f, atmosphere_psia)
    extension = np.linspace(float(np.asarray(figures.full_extension_in)), 0.0, points)
    pressure = rest.pressure * (rest.column / (extension + rest.bottom)) ** rest.exponent
    return LoadStrokeCurve(extension, rest.area * (pressure - rest.atmosphere), pressure)


def reserve(
    rest_extension_in: npt.ArrayLike,
    load_lbf: npt.ArrayLike,
    figures: StrutFigures,
    *,
    target_extension_in: npt.ArrayLike,
    exponent: npt.ArrayLike = MIXED_EXPONENT,
    temperature_f: npt.ArrayLike = FIGURES_TEMPERATURE_F,
    atmosphere_psia: npt.ArrayLike = STANDARD_ATMOSPHERE_PSI,
) -> Reserve:
    r"""Return stroke and energy left to the lower stop, and how they compare with the target's.

    Parameters
    ----------
    rest_extension_in, target_extension_in : array_like
        Extension now and extension of the type sheet, both under `load_lbf` [in], above 0.
    load_lbf, figures, exponent, temperature_f, atmosphere_psia
        As in `load_stroke_curve`, arrays allowed.

    Raises
    ------
    CalculationError
        Any input that physics refuses, by field.

    Notes
    -----
    .. math:: E = \int_0^x F\,dx = p V \frac{(V/V_0)^{m-1} - 1}{m - 1} - p_{atm} A x

    An indication only: the gas spring alone, see the module's first lines.

    Examples
    --------
    >>> strut = StrutFigures(2.375, 2.0, 40.0, 9.0, 800.0)
    >>> left = reserve(3.0, 800.0, strut, target_extension_in=4.5)
    >>> round(float(left.bottoming_load_factor), 1), round(float(left.energy_margin), 2)
    (2.9, -0.41)
    """
    checks = Checks()
    target = checks.positive("target_extension_in", target_extension_in)
    checks.require(
        ~(target > np.asarray(figures.full_extension_in)),
        "target_extension_in",
        "extension_beyond_tube",
        "must not be longer than the full extension",
    )
    now = _Rest.of(checks, rest_extension_in, load_lbf, figures, exponent, temperature_f, atmosphere_psia)
    wanted = _Rest.of(checks, target, load_lbf, figures, exponent, temperature_f, atmosphere_psia)
    ratio = now.column / now.bottom
    energy = now.energy_to_bottom()
    return Reserve(
        stroke_left_in=now.extension,
        compression_ratio=ratio,
        bottoming_load_factor=np.asarray(now.area * (now.pressure * ratio**now.exponent - now.atmosphere) / now.load),
        energy_in_lbf=energy,
        energy_margin=np.asarray(energy / wanted.energy_to_bottom() - 1),
        indication=INDICATION,
    )


def compression_ratios(extended_to_static: npt.ArrayLike, static_to_compressed: npt.ArrayLike) -> CompressionRatios:
    """Return volumes and resting stroke of a strut from its two textbook pressure ratios.

    Parameters
    ----------
    extended_to_static, static_to_compressed : array_like
        Pressure at rest over pressure extended, and compressed over at rest, absolute [-], above 1.

    Notes
    -----
    Isothermal, swept volume 1: ``V3 = 1/(r1 r2 - 1)``, ``V1 = V3 + 1``, ``V2 = r2 V3``,
    ``f = (1 - 1/r1)/(1 - 1/(r1 r2))``; algebra of the ratios in [1]_.

    References
    ----------
    .. [1] Currey, "Aircraft Landing Gear Design", AIAA, 1988 (from memory, source not seen).

    Examples
    --------
    >>> round(float(compression_ratios(4.0, 3.0).static_stroke_fraction), 5)
    0.81818
    """
    checks = Checks()
    first = checks.positive("extended_to_static", extended_to_static)
    second = checks.positive("static_to_compressed", static_to_compressed)
    checks.require(~(first <= 1), "extended_to_static", "ratio_not_above_one", "must be above 1")
    checks.require(~(second <= 1), "static_to_compressed", "ratio_not_above_one", "must be above 1")
    checks.settle()
    compressed = 1 / (first * second - 1)
    fraction = (1 - 1 / first) / (1 - 1 / (first * second))
    return CompressionRatios(
        np.asarray(fraction), np.asarray(compressed + 1), np.asarray(second * compressed), np.asarray(compressed)
    )


@dataclass(frozen=True, slots=True)
class _Rest:
    """A strut at rest, ready for a stroke: lengths in inches of tube."""

    extension: Array
    load: Array
    column: Array
    bottom: Array
    pressure: Array
    atmosphere: Array
    area: Array
    exponent: Array

    @classmethod
    def of(
        cls,
        checks: Checks,
        extension_in: npt.ArrayLike,
        load_lbf: npt.ArrayLike,
        figures: StrutFigures,
        exponent: npt.ArrayLike,
        temperature_f: npt.ArrayLike,
        atmosphere_psia: npt.ArrayLike,
    ) -> "_Rest":
        extension = checks.positive("rest_extension_in", extension_in)
        checks.require(
            ~(extension > np.asarray(figures.full_extension_in)),
            "rest_extension_in",
            "extension_beyond_tube",
            "must not be longer than the full extension",
        )
        load = checks.positive("load_lbf", load_lbf)
        power = checks.between("exponent", exponent, ISOTHERMAL_EXPONENT, LARGEST_EXPONENT)
        temperature = check_temperature(checks, "temperature_f", temperature_f)
        atmosphere = check_pressure(checks, "atmosphere_psia", atmosphere_psia)
        check_figures(checks, figures)
        checks.settle()
        warmer = kelvin(temperature) - kelvin(figures.figures_temperature_f)
        bottom = np.asarray(np.asarray(figures.gas_column_in) - figures.fluid_growth_in_per_k * warmer)
        checks.require(
            bottom > 0, "gas_column_in", "no_gas_space", "must be above 0: the fluid alone would stop the stroke"
        )
        checks.settle()
        area = figures.area_in2
        return cls(extension, load, extension + bottom, bottom, atmosphere + load / area, atmosphere, area, power)

    def energy_to_bottom(self) -> Array:
        """Work of the gas spring from rest to the lower stop [in lbf]."""
        steepness = self.exponent - 1
        log_ratio = np.log(self.column / self.bottom)
        with np.errstate(invalid="ignore", divide="ignore"):  # 0/0 at the isothermal limit, replaced
            rise = np.where(steepness == 0, log_ratio, np.expm1(steepness * log_ratio) / steepness)
        return np.asarray(self.area * (self.pressure * self.column * rise - self.atmosphere * self.extension))
