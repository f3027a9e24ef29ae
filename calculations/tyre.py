"""Tyre pressure: correction to a reference temperature, loaded and unloaded, cold and hot.

References
----------
.. [1] FAA AC 20-97B, *Aircraft Tire Maintenance and Operational Practices*, 18 Apr 2005, change 1
       of 11 Sep 2018. Seen through care manuals and trade articles that repeat it; its paragraph
       numbers are from memory, source not seen.
.. [2] FAA SAFO 09012, 12 Jun 2009, as quoted in the press: two hours at rest before a reading.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from calculations.checks import BoolArray, Checks, FloatArray
from calculations.constants import STANDARD_ATMOSPHERE_PSI, ZERO_FAHRENHEIT_K

LOADED_OVER_UNLOADED: Final = 1.04  # pressure rises 4 % when the wheel takes its load, [1]
COLD_AFTER_HOURS: Final = 2.0  # [h] at rest, [2]
COLD_AFTER_HOURS_HOT_WEATHER: Final = 3.0  # [h], FAA-H-8083-31, from memory, source not seen
HOT_WEATHER_F: Final = 86.0  # [degF] taken for "hot weather"; no source says where it starts
THUMB_SHARE_PER_5_F: Final = 0.01  # rule of thumb: 1 % of gauge pressure per 5 degF, [1]
_EDGE_DIGITS: Final = 9  # 50 degF by way of kelvin is not 50 in binary
EXCURSION_F: Final = 50.0  # [degF] between airfields, [1], from memory, source not seen


def pressure_at_temperature(
    pressure_psig: ArrayLike,
    *,
    temperature_f: ArrayLike,
    wanted_temperature_f: ArrayLike,
    atmosphere_psia: ArrayLike = STANDARD_ATMOSPHERE_PSI,
) -> FloatArray:
    """Tell what the gauge would show at another temperature of the tyre.

    Parameters
    ----------
    pressure_psig : array_like
        Reading [psi gauge].
    temperature_f : array_like
        Of the tyre when it was read [degF]; of the air when the tyre is cold.
    wanted_temperature_f : array_like
        Temperature to correct to [degF].
    atmosphere_psia : array_like, optional
        Air pressure at both [psi absolute].

    Returns
    -------
    ndarray
        Gauge pressure at the wanted temperature [psi]; below 0 where a nearly flat tyre would
        fall below the air outside.

    Raises
    ------
    CalculationError
        If an absolute pressure or temperature is at or below 0.

    Notes
    -----
    p2 = (p1 + p_atm) T2/T1 - p_atm, ideal gas in a rigid tyre. The rule of thumb of 1 % per 5 degF
    is right for *absolute* pressure; on the gauge of a 30 psi tyre the change is half as much again.

    References
    ----------
    .. [1] Ideal gas law; rule of thumb in FAA AC 20-97B.

    Examples
    --------
    >>> round(float(pressure_at_temperature(29, temperature_f=59, wanted_temperature_f=32)), 3)
    26.725
    """
    checks = Checks()
    gauge = checks.finite("pressure_psig", pressure_psig)
    atmosphere = checks.positive("atmosphere_psia", atmosphere_psia)
    kelvin = _kelvin(checks, "temperature_f", temperature_f)
    wanted_kelvin = _kelvin(checks, "wanted_temperature_f", wanted_temperature_f)
    absolute = gauge + atmosphere
    checks.require(~(absolute <= 0), "pressure_psig", "absolute_pressure_not_positive", "must lie above a vacuum")
    checks.settle()
    return np.asarray(absolute * wanted_kelvin / kelvin - atmosphere)


def pressure_by_rule_of_thumb(
    pressure_psig: ArrayLike, *, temperature_f: ArrayLike, wanted_temperature_f: ArrayLike
) -> FloatArray:
    """Apply 1 % of gauge pressure per 5 degF, to show how far it is from the gas law.

    Parameters
    ----------
    pressure_psig : array_like
        Reading [psi gauge].
    temperature_f, wanted_temperature_f : array_like
        From and to [degF].

    Returns
    -------
    ndarray
        Gauge pressure by the rule [psi].

    Raises
    ------
    CalculationError
        If the pressure is negative or a temperature below absolute zero.

    Notes
    -----
    Too small a change for light-aircraft tyres; right to 4 % of itself at 200 psi. Not used for advice here.

    References
    ----------
    .. [1] FAA AC 20-97B, as a trade article of 2001 and a pilots' association give it.

    Examples
    --------
    >>> round(float(pressure_by_rule_of_thumb(29, temperature_f=59, wanted_temperature_f=32)), 3)
    27.434
    """
    checks = Checks()
    gauge = checks.not_negative("pressure_psig", pressure_psig)
    _kelvin(checks, "temperature_f", temperature_f)
    _kelvin(checks, "wanted_temperature_f", wanted_temperature_f)
    checks.settle()
    steps = (np.asarray(wanted_temperature_f) - np.asarray(temperature_f)) / 5
    return np.asarray(gauge * (1 + THUMB_SHARE_PER_5_F * steps))


def share_per_5_f(
    pressure_psig: ArrayLike, temperature_f: ArrayLike, atmosphere_psia: ArrayLike = STANDARD_ATMOSPHERE_PSI
) -> FloatArray:
    """Return the change of gauge pressure per 5 degF as a share of it.

    Parameters
    ----------
    pressure_psig : array_like
        Gauge pressure [psi], above 0.
    temperature_f : array_like
        Temperature about which [degF].
    atmosphere_psia : array_like, optional
        Air pressure [psi absolute].

    Returns
    -------
    ndarray
        Share of gauge pressure per 5 degF; tends to 5/(T + 459.67) for high pressures.

    Raises
    ------
    CalculationError
        If a pressure is not above 0 or the temperature is below absolute zero.

    Notes
    -----
    (p + p_atm)/p * 5/T with T in degrees above absolute zero.

    References
    ----------
    .. [1] Derivative of the ideal gas law.

    Examples
    --------
    >>> round(100 * float(share_per_5_f(29, 59)), 3)
    1.453
    """
    checks = Checks()
    gauge = checks.positive("pressure_psig", pressure_psig)
    atmosphere = checks.positive("atmosphere_psia", atmosphere_psia)
    kelvin = _kelvin(checks, "temperature_f", temperature_f)
    checks.settle()
    return np.asarray((gauge + atmosphere) / gauge * (5 / 1.8) / kelvin)


def loaded_pressure_psig(unloaded_psig: ArrayLike) -> FloatArray:
    """Return what a tyre set off the ground shows once it carries the aircraft.

    Parameters
    ----------
    unloaded_psig : array_like
        Pressure of the manual, wheel off the ground [psi gauge].

    Returns
    -------
    ndarray
        Pressure under load [psi gauge], 4 % above.

    Raises
    ------
    CalculationError
        If the pressure is not above 0.

    References
    ----------
    .. [1] FAA AC 20-97B.

    Examples
    --------
    >>> round(float(loaded_pressure_psig(29.0)), 2)
    30.16
    """
    checks = Checks()
    pressure = checks.positive("unloaded_psig", unloaded_psig)
    checks.settle()
    return np.asarray(pressure * LOADED_OVER_UNLOADED)


def unloaded_pressure_psig(loaded_psig: ArrayLike) -> FloatArray:
    """Return what a tyre that carries the aircraft would show off the ground.

    Parameters
    ----------
    loaded_psig : array_like
        Pressure under load [psi gauge].

    Returns
    -------
    ndarray
        Pressure off the ground [psi gauge].

    Raises
    ------
    CalculationError
        If the pressure is not above 0.

    References
    ----------
    .. [1] FAA AC 20-97B.

    Examples
    --------
    >>> round(float(unloaded_pressure_psig(30.16)), 2)
    29.0
    """
    checks = Checks()
    pressure = checks.positive("loaded_psig", loaded_psig)
    checks.settle()
    return np.asarray(pressure / LOADED_OVER_UNLOADED)


def is_cold(hours_at_rest: ArrayLike, air_temperature_f: ArrayLike) -> BoolArray:
    """Tell whether a tyre has stood long enough for a cold reading.

    Parameters
    ----------
    hours_at_rest : array_like
        Since the aircraft last rolled [h].
    air_temperature_f : array_like
        Of the air [degF]; hot weather asks for three hours instead of two.

    Returns
    -------
    ndarray of bool
        True where the reading counts as cold. A hot tyre is never let down to a cold figure.

    Raises
    ------
    CalculationError
        If the time is negative or the temperature is not a number.

    References
    ----------
    .. [1] FAA SAFO 09012; three hours in hot weather from memory, source not seen.

    Examples
    --------
    >>> is_cold([1.5, 2.0, 2.0], [60.0, 60.0, 95.0]).tolist()
    [False, True, False]
    """
    checks = Checks()
    hours = checks.not_negative("hours_at_rest", hours_at_rest)
    temperature = checks.finite("air_temperature_f", air_temperature_f)
    checks.settle()
    needed = np.where(temperature >= HOT_WEATHER_F, COLD_AFTER_HOURS_HOT_WEATHER, COLD_AFTER_HOURS)
    return np.asarray(hours >= needed)


def is_excursion(*, tyre_temperature_f: ArrayLike, coldest_temperature_f: ArrayLike) -> BoolArray:
    """Tell whether another airfield is so much colder that it sets the pressure.

    Parameters
    ----------
    tyre_temperature_f : array_like
        Of the tyre now [degF].
    coldest_temperature_f : array_like
        Coldest that it will stand at [degF].

    Returns
    -------
    ndarray of bool
        True where it is more than 50 degF colder there.

    Raises
    ------
    CalculationError
        If a temperature is below absolute zero.

    References
    ----------
    .. [1] FAA AC 20-97B, from memory, source not seen.

    Examples
    --------
    >>> is_excursion(tyre_temperature_f=80, coldest_temperature_f=[30, 20]).tolist()
    [False, True]
    """
    checks = Checks()
    here = _kelvin(checks, "tyre_temperature_f", tyre_temperature_f)
    coldest = _kelvin(checks, "coldest_temperature_f", coldest_temperature_f)
    checks.settle()
    return np.asarray(np.round(1.8 * (here - coldest), _EDGE_DIGITS) > EXCURSION_F)


def pressure_to_set_psig(
    service_psig: ArrayLike,
    *,
    tyre_temperature_f: ArrayLike,
    coldest_temperature_f: ArrayLike,
    atmosphere_psia: ArrayLike = STANDARD_ATMOSPHERE_PSI,
) -> FloatArray:
    """Tell what to set now so that the tyre holds service pressure at the colder airfield.

    Parameters
    ----------
    service_psig : array_like
        Least cold pressure [psi gauge].
    tyre_temperature_f : array_like
        Of the tyre now [degF].
    coldest_temperature_f : array_like
        Coldest that it will stand at [degF].
    atmosphere_psia : array_like, optional
        Air pressure at both [psi absolute].

    Returns
    -------
    ndarray
        Pressure to set now [psi gauge]; service pressure itself when it is colder now than it
        will be.

    Raises
    ------
    CalculationError
        If a pressure is not above 0 or a temperature is below absolute zero.

    Notes
    -----
    Advised where `is_excursion`. The type's highest pressure still binds: compare before inflating.

    References
    ----------
    .. [1] FAA AC 20-97B, from memory, source not seen; a trade article gives the same advice.

    Examples
    --------
    >>> round(float(pressure_to_set_psig(30.16, tyre_temperature_f=80, coldest_temperature_f=20)), 1)
    35.8
    """
    checks = Checks()
    checks.positive("service_psig", service_psig)
    _kelvin(checks, "tyre_temperature_f", tyre_temperature_f)
    _kelvin(checks, "coldest_temperature_f", coldest_temperature_f)
    checks.settle()
    at_coldest = pressure_at_temperature(
        service_psig,
        temperature_f=coldest_temperature_f,
        wanted_temperature_f=tyre_temperature_f,
        atmosphere_psia=atmosphere_psia,
    )
    return np.maximum(at_coldest, service_psig)


def _kelvin(checks: Checks, field: str, temperature_f: ArrayLike) -> FloatArray:
    fahrenheit = checks.finite(field, temperature_f)
    kelvin = fahrenheit / 1.8 + ZERO_FAHRENHEIT_K
    checks.require(~(kelvin <= 0), field, "below_absolute_zero", "must lie above absolute zero (-459.67 degF)")
    return kelvin
