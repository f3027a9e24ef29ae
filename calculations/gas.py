"""Real nitrogen and dry air in struts, tyres, hoses and cylinders.

References
----------
.. [1] R. Span, E. W. Lemmon, R. T. Jacobsen, W. Wagner, A. Yokozeki, "A reference equation of state
       for the thermodynamic properties of nitrogen", J. Phys. Chem. Ref. Data 29 (2000) 1361.
.. [2] E. W. Lemmon, R. T. Jacobsen, S. G. Penoncello, D. G. Friend, "Thermodynamic properties of
       air...", J. Phys. Chem. Ref. Data 29 (2000) 331.
.. [3] I. H. Bell, J. Wronski, S. Quoilin, V. Lemort, Ind. Eng. Chem. Res. 53 (2014) 2498: CoolProp.
"""

from enum import StrEnum
from typing import Final

import numpy as np
import numpy.typing as npt

from calculations import gas_table
from calculations.checks import Checks
from calculations.constants import CUBIC_INCH_M3, PSI_PA, ZERO_FAHRENHEIT_K
from calculations.errors import refuse
from calculations.gas_table import GasTable

Array = npt.NDArray[np.float64]


class Gas(StrEnum):
    """Gases that may be in a strut or tyre; the ideal gas is there for comparison."""

    NITROGEN = "nitrogen"
    AIR = "air"
    IDEAL = "ideal"


LOWEST_TEMPERATURE_F: Final = (gas_table.LOWEST_TEMPERATURE_K - ZERO_FAHRENHEIT_K) * 1.8
HIGHEST_TEMPERATURE_F: Final = (gas_table.HIGHEST_TEMPERATURE_K - ZERO_FAHRENHEIT_K) * 1.8
HIGHEST_PRESSURE_PSIA: Final = gas_table.HIGHEST_PRESSURE_PA / PSI_PA

_FLUID_NAMES: Final = {Gas.NITROGEN: "Nitrogen", Gas.AIR: "Air"}


def kelvin(temperature_f: npt.ArrayLike) -> Array:
    """Return the absolute temperature [K] of a temperature [degF].

    >>> float(kelvin(59.0).round(6))
    288.15
    """
    return np.asarray(temperature_f, dtype=np.float64) / 1.8 + ZERO_FAHRENHEIT_K


def gas_named(name: str) -> Gas:
    """Return the gas of that name, or refuse it.

    Raises
    ------
    CalculationError
        Field ``gas``, code ``gas_not_allowed``: oxygen with oil under pressure explodes, so
        oxygen is refused by name; any other unknown gas is refused as well.

    Examples
    --------
    >>> gas_named("nitrogen")
    <Gas.NITROGEN: 'nitrogen'>
    """
    try:
        return Gas(name)
    except ValueError:
        reason = "never fill with oxygen" if "oxygen" in name.lower() else "not a gas known here"
        raise refuse("gas", "gas_not_allowed", f"{name!r}: {reason}; use nitrogen or dry air") from None


def table_of(gas: Gas) -> GasTable:
    """Return the compressibility table of a gas, making it on first use in the process."""
    return gas_table.tabulate(_FLUID_NAMES[gas]) if gas in _FLUID_NAMES else gas_table.IDEAL_TABLE


def compressibility(pressure_psia: npt.ArrayLike, temperature_f: npt.ArrayLike, gas: Gas = Gas.NITROGEN) -> Array:
    """Return the compressibility factor Z = p v / (R T) [-].

    Parameters
    ----------
    pressure_psia : array_like
        Absolute pressure [psi], above 0 and up to 5076 (350 bar).
    temperature_f : array_like
        Gas temperature [degF], -63.67 to 170.33 (220 to 350 K).
    gas : Gas
        Which gas.

    Returns
    -------
    ndarray
        Z [-], within 3e-8 of the reference equation of state [1]_, [2]_.

    Raises
    ------
    CalculationError
        Pressure or temperature outside the table.

    Notes
    -----
    ln Z is written as ``p G(p, 1/T)``: the virial series summed, with the ideal gas as its exact
    limit. G is a polynomial fitted at Chebyshev nodes to the equation of state of the library [3]_,
    in three pressure ranges.

    References
    ----------
    .. [1] Span et al., J. Phys. Chem. Ref. Data 29 (2000) 1361.
    .. [2] Lemmon et al., J. Phys. Chem. Ref. Data 29 (2000) 331.
    .. [3] Bell et al., Ind. Eng. Chem. Res. 53 (2014) 2498.

    Examples
    --------
    Nitrogen at 2 MPa and 300 K:

    >>> round(float(compressibility(290.0755, 80.33)), 5)
    0.99725
    """
    pressure_pa, temperature_k = _checked(pressure_psia, temperature_f)
    return np.exp(table_of(gas).log_z(pressure_pa, temperature_k))


def molar_volume_in3(pressure_psia: npt.ArrayLike, temperature_f: npt.ArrayLike, gas: Gas = Gas.NITROGEN) -> Array:
    """Return the volume of one mole of gas [in3/mol]; arguments as in `compressibility`.

    Notes
    -----
    ``v = Z R T / p`` with the gas constant of the equation of state, so that densities are those of
    the reference equation.

    Examples
    --------
    >>> round(float(molar_volume_in3(14.69595, 32.0)), 1)
    1367.2
    """
    pressure_pa, temperature_k = _checked(pressure_psia, temperature_f)
    table = table_of(gas)
    z = np.exp(table.log_z(pressure_pa, temperature_k))
    return np.asarray(z * table.gas_constant * temperature_k / pressure_pa / CUBIC_INCH_M3)


def amount_mol(
    pressure_psia: npt.ArrayLike,
    volume_in3: npt.ArrayLike,
    temperature_f: npt.ArrayLike,
    gas: Gas = Gas.NITROGEN,
) -> Array:
    """Return the amount of gas [mol] that fills a volume [in3] at a pressure and temperature.

    Parameters
    ----------
    pressure_psia, temperature_f, gas
        As in `compressibility`.
    volume_in3 : array_like
        Gas volume [in3], 0 or more.

    Raises
    ------
    CalculationError
        Pressure or temperature outside the table, or a negative volume.

    Examples
    --------
    >>> round(float(amount_mol(269.344, 11.7102, 59.0)), 6)
    0.149419
    """
    checks = Checks()
    volume_m3 = checks.not_negative("volume_in3", volume_in3) * CUBIC_INCH_M3
    pressure_pa, temperature_k = _checked(pressure_psia, temperature_f, checks)
    table = table_of(gas)
    z = np.exp(table.log_z(pressure_pa, temperature_k))
    return np.asarray(pressure_pa * volume_m3 / (z * table.gas_constant * temperature_k))


def density_kg_m3(pressure_psia: npt.ArrayLike, temperature_f: npt.ArrayLike, gas: Gas = Gas.NITROGEN) -> Array:
    """Return the density [kg/m3]; arguments as in `compressibility`.

    Examples
    --------
    Nitrogen at 1 MPa and 300 K:

    >>> round(float(density_kg_m3(145.03774, 80.33)), 4)
    11.2488
    """
    molar_volume_m3 = molar_volume_in3(pressure_psia, temperature_f, gas) * CUBIC_INCH_M3
    return np.asarray(table_of(gas).molar_mass_kg / molar_volume_m3)


def virial_coefficients(temperature_f: npt.ArrayLike, gas: Gas = Gas.NITROGEN) -> tuple[Array, Array]:
    """Return the second and third virial coefficients B [cm3/mol] and C [cm6/mol2].

    Parameters
    ----------
    temperature_f : array_like
        Gas temperature [degF], -63.67 to 170.33 (220 to 350 K).
    gas : Gas
        Which gas.

    Notes
    -----
    ``Z = 1 + B rho + C rho**2 + ...``, the low-density limit of the equation of state.

    Examples
    --------
    >>> second, third = virial_coefficients(80.33)
    >>> round(float(second), 3), round(float(third))
    (-4.554, 1410)
    """
    _, temperature_k = _checked(1.0, temperature_f)
    second, third = table_of(gas).virials(temperature_k)
    return np.asarray(second * 1e6), np.asarray(third * 1e12)


def check_temperature(checks: Checks, field: str, temperature_f: npt.ArrayLike) -> Array:
    """Take temperatures [degF] that lie within the gas tables."""
    temperature = checks.finite(field, temperature_f)
    inside = (temperature >= LOWEST_TEMPERATURE_F) & (temperature <= HIGHEST_TEMPERATURE_F)
    checks.require(
        inside | np.isnan(temperature),
        field,
        "temperature_outside_gas_table",
        f"must be from {LOWEST_TEMPERATURE_F:.1f} to {HIGHEST_TEMPERATURE_F:.1f} degF (220 to 350 K)",
    )
    return temperature


def check_pressure(checks: Checks, field: str, pressure_psia: npt.ArrayLike) -> Array:
    """Take absolute pressures [psi] that lie within the gas tables."""
    pressure = checks.finite(field, pressure_psia)
    checks.require(
        (pressure > 0) | np.isnan(pressure),
        field,
        "negative_absolute_pressure",
        "must be above 0 psia: a vacuum is the least there is",
    )
    checks.require(
        (pressure <= HIGHEST_PRESSURE_PSIA) | np.isnan(pressure),
        field,
        "pressure_outside_gas_table",
        f"must be at most {HIGHEST_PRESSURE_PSIA:.0f} psia (350 bar)",
    )
    return pressure


def _checked(
    pressure_psia: npt.ArrayLike, temperature_f: npt.ArrayLike, checks: Checks | None = None
) -> tuple[Array, Array]:
    checks = checks or Checks()
    pressure = check_pressure(checks, "pressure_psia", pressure_psia)
    temperature = check_temperature(checks, "temperature_f", temperature_f)
    checks.settle()
    return pressure * PSI_PA, kelvin(temperature)
