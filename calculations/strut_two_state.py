"""Missing fluid behind a right extension, from the pressure at two extensions.

Extension at rest cannot tell gas from fluid: a strut that lost fluid and was topped up with gas stands
as tall as a sound one. Two pressures at two extensions measure the gas volume itself.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from calculations.checks import Checks
from calculations.constants import CUBIC_INCH_M3, PSI_PA, STANDARD_ATMOSPHERE_PSI
from calculations.gas import check_pressure, check_temperature, kelvin, table_of
from calculations.strut_figures import FIGURES_TEMPERATURE_F, StrutFigures, StrutUncertainty, check_figures

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class TwoStateReading:
    """Extension, gauge pressure and temperature of a strut in two states of one charge.

    Attributes
    ----------
    upper_extension_in, upper_pressure_psig, upper_temperature_f : array_like
        The longer one, usually fully extended on jacks [in], [psig], [degF].
    lower_extension_in, lower_pressure_psig, lower_temperature_f : array_like
        The shorter one, usually at rest on the wheels.
    """

    upper_extension_in: npt.ArrayLike
    upper_pressure_psig: npt.ArrayLike
    lower_extension_in: npt.ArrayLike
    lower_pressure_psig: npt.ArrayLike
    upper_temperature_f: npt.ArrayLike = FIGURES_TEMPERATURE_F
    lower_temperature_f: npt.ArrayLike = FIGURES_TEMPERATURE_F


@dataclass(frozen=True, slots=True)
class TwoStateUncertainty:
    """Standard uncertainty of each extension [in], of each gauge [share of absolute pressure] and of
    each temperature [degF]. Defaults ASSUMED.
    """

    extension_in: npt.ArrayLike = 0.06
    pressure_fraction: npt.ArrayLike = 0.02
    temperature_f: npt.ArrayLike = 2.0


@dataclass(frozen=True, slots=True)
class TwoStateResult:
    """What two pressures say about a strut.

    Attributes
    ----------
    gas_volume_in3 : ndarray
        Gas volume in the upper state [in3].
    charge_mol : ndarray
        Gas in the strut [mol].
    gas_column_in : ndarray
        Gas column when fully compressed, at the figures' temperature [in]: measured, not the sheet's.
    gas_column_uncertainty_in : ndarray
        Its standard uncertainty (1 sigma) [in].
    missing_fluid_in3 : ndarray
        Fluid missing against the sheet's gas column [in3]; negative is too much fluid.
    uncertainty_in3 : ndarray
        Standard uncertainty (1 sigma) of the missing fluid [in3].
    """

    gas_volume_in3: Array
    charge_mol: Array
    gas_column_in: Array
    gas_column_uncertainty_in: Array
    missing_fluid_in3: Array
    uncertainty_in3: Array


def two_state_method(
    reading: TwoStateReading,
    figures: StrutFigures,
    *,
    atmosphere_psia: npt.ArrayLike = STANDARD_ATMOSPHERE_PSI,
    reading_uncertainty: TwoStateUncertainty | None = None,
    figures_uncertainty: StrutUncertainty | None = None,
) -> TwoStateResult:
    r"""Return gas volume, gas column and missing fluid from pressures at two extensions.

    Parameters
    ----------
    reading : TwoStateReading
        No gas or fluid may have been let in or out between the two states.
    figures : StrutFigures
        The strut as its sheet has it.
    atmosphere_psia : array_like
        Air pressure [psia].
    reading_uncertainty, figures_uncertainty : optional
        Standard uncertainties.

    Raises
    ------
    CalculationError
        ``extension_beyond_tube``, ``extensions_not_apart`` (upper not above lower),
        ``pressures_not_apart`` (lower state not at more gas density than the upper: wrong order, a
        leak between, or the gauge), ``negative_absolute_pressure`` and the figures' own faults.

    Notes
    -----
    One charge, ``n = k1 V1 = k2 V2`` with ``k = p/(Z T)``, and the tube gives the difference:

    .. math:: V_1 = (V_1 - V_2) \frac{k_2}{k_2 - k_1}

    Isothermal and ideal this is ``V1 = A (s2 - s1) p2/(p2 - p1)``. Uncertainty to first order [1]_. A
    gauge takes gas out of the strut: read both states with the same gauge left on.

    References
    ----------
    .. [1] JCGM 100:2008, eq. 10.

    Examples
    --------
    >>> from calculations.gas import Gas
    >>> strut = StrutFigures(2.0, 1.5 / 3.141593, 30.0, 8.0, 800.0, 59.0, figures_temperature_f=59.0,
    ...                      gas=Gas.IDEAL)
    >>> reading = TwoStateReading(8.0, 119.245, 3.25, 254.648, 59.0, 59.0)
    >>> round(float(two_state_method(reading, strut).missing_fluid_in3), 2)
    3.05
    """
    reading_sd = reading_uncertainty or TwoStateUncertainty()
    figures_sd = figures_uncertainty or StrutUncertainty()
    checks = Checks()
    atmosphere = check_pressure(checks, "atmosphere_psia", atmosphere_psia)
    upper, lower = (_State.of(checks, reading, name, figures, atmosphere) for name in ("upper", "lower"))
    check_figures(checks, figures)
    checks.require(
        ~(upper.extension <= lower.extension),
        "upper_extension_in",
        "extensions_not_apart",
        "must be longer than the lower extension",
    )
    checks.settle()
    density_upper, density_lower = upper.density(figures), lower.density(figures)
    checks.require(
        density_lower > density_upper,
        "lower_pressure_psig",
        "pressures_not_apart",
        "must be above the upper pressure: the same gas in less room",
    )
    checks.settle()

    area = figures.area_in2
    growth = figures.fluid_growth_in_per_k
    swept = area * (upper.extension - lower.extension - growth * (upper.kelvin - lower.kelvin))
    spread = density_lower - density_upper
    gain = density_lower / spread
    volume = swept * gain
    upper_warmer = upper.kelvin - kelvin(figures.figures_temperature_f)
    column = volume / area - upper.extension + growth * upper_warmer
    missing = area * (column - np.asarray(figures.gas_column_in))

    by_density = volume / area * density_upper / spread  # for one unit of relative density, each state
    relative = np.hypot(
        np.asarray(reading_sd.pressure_fraction),
        np.asarray(reading_sd.temperature_f) / 1.8 / np.minimum(upper.kelvin, lower.kelvin),
    )
    by_ruler = np.hypot(gain - 1, gain) * np.asarray(reading_sd.extension_in)
    column_sd = np.hypot(np.sqrt(2) * by_density * relative, by_ruler)
    diameter_sd = np.asarray(figures_sd.tube_diameter_in) / np.asarray(figures.tube_diameter_in)
    missing_sd = np.hypot(area * np.hypot(column_sd, np.asarray(figures_sd.gas_column_in)), 2 * diameter_sd * missing)
    return TwoStateResult(
        gas_volume_in3=np.asarray(volume),
        charge_mol=np.asarray(density_upper * volume * CUBIC_INCH_M3),
        gas_column_in=np.asarray(column),
        gas_column_uncertainty_in=np.asarray(column_sd),
        missing_fluid_in3=np.asarray(missing),
        uncertainty_in3=np.asarray(missing_sd),
    )


@dataclass(frozen=True, slots=True)
class _State:
    extension: Array
    pressure: Array
    kelvin: Array

    @classmethod
    def of(
        cls, checks: Checks, reading: TwoStateReading, name: str, figures: StrutFigures, atmosphere: Array
    ) -> "_State":
        field = f"{name}_extension_in"
        extension = checks.not_negative(field, getattr(reading, field))
        checks.require(
            ~(extension > np.asarray(figures.full_extension_in)),
            field,
            "extension_beyond_tube",
            "must not be longer than the full extension",
        )
        field = f"{name}_pressure_psig"
        gauge = checks.finite(field, getattr(reading, field))
        pressure = check_pressure(checks, field, gauge + atmosphere)
        field = f"{name}_temperature_f"
        return cls(extension, pressure, kelvin(check_temperature(checks, field, getattr(reading, field))))

    def density(self, figures: StrutFigures) -> Array:
        """Molar density [mol/m3]."""
        table = table_of(figures.gas)
        pressure_pa = self.pressure * PSI_PA
        z = np.exp(table.log_z(pressure_pa, self.kelvin))
        return np.asarray(pressure_pa / (z * table.gas_constant * self.kelvin))
