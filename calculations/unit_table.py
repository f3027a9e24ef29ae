"""The closed list of units that are accepted and given, with their UCUM codes.

References
----------
.. [1] G. Schadow, C. J. McDonald, "The Unified Code for Units of Measure", Regenstrief Institute,
       version 2.1, 2017 (case-sensitive codes; codes other than ``[psi]`` from memory, source not
       seen).
.. [2] NIST Special Publication 811 (2008), appendix B: conversion factors.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from calculations.constants import (
    CUBIC_INCH_M3,
    GAS_CONSTANT,
    INCH_M,
    POUND_FORCE_N,
    POUND_KG,
    PSI_PA,
    STANDARD_ATMOSPHERE_PA,
)


class Dimension(StrEnum):
    """What a unit measures; units of one dimension convert into each other."""

    LENGTH = "length"
    PRESSURE = "pressure"
    TEMPERATURE = "temperature"
    TEMPERATURE_DIFFERENCE = "temperature_difference"
    FORCE = "force"
    MASS = "mass"
    VOLUME = "volume"
    GAS_AMOUNT = "gas_amount"
    DURATION = "duration"
    SPEED = "speed"
    FRACTION = "fraction"
    ANGLE = "angle"
    ENERGY = "energy"
    EXTENSION_RATE = "extension_rate"
    EXTENSION_PER_STROKE = "extension_per_stroke"
    EXTENSION_PER_TEMPERATURE = "extension_per_temperature"
    EXTENSION_PER_FORCE = "extension_per_force"
    EXTENSION_PER_PRESSURE = "extension_per_pressure"
    AREA = "area"
    WING_LOADING = "wing_loading"
    DENSITY = "density"
    MOLAR_VOLUME = "molar_volume"


@dataclass(frozen=True, slots=True)
class Unit:
    """One accepted unit; ``value in the dimension's first unit = value * factor + offset``.

    Attributes
    ----------
    symbol : str
        How the unit is written in answers.
    ucum : str
        Its UCUM code [1]_.
    decimals : int
        Digits after the point that a reading of this kind deserves.
    aliases : tuple of str
        Other spellings that are understood.
    reference : str
        ``"gauge"`` or ``"absolute"`` where the unit's name says so, otherwise empty. UCUM has no
        such word: the quantity says it.

    References
    ----------
    .. [1] The Unified Code for Units of Measure.
    """

    dimension: Dimension
    symbol: str
    ucum: str
    factor: float
    decimals: int
    aliases: tuple[str, ...] = ()
    offset: float = 0.0
    reference: str = ""


_FOOT = 12.0  # [in], exact
_MILE_IN = 63360.0  # [in], exact
_METRE = 1 / INCH_M  # [in]
_NAUTICAL_MILE_IN = 1852 / INCH_M  # [in], 1852 m exact
_LITRE = 1e-3 / CUBIC_INCH_M3  # [in3]
_US_GALLON = 231.0  # [in3], exact
_KILOGRAM = 1 / POUND_KG  # [lb]
_NEWTON = 1 / POUND_FORCE_N  # [lbf]
_PASCAL = 1 / PSI_PA  # [psi]
_INCH_MERCURY_PA = 3386.389  # [Pa], conventional inch of mercury, NIST SP 811 B.8
_MONTH_D = 365.25 / 12  # [d], UCUM's mean Julian month
# Standard volume of gas here: ideal gas at 59 degF (288.15 K) and 101325 Pa.
_STANDARD_M3_MOL = STANDARD_ATMOSPHERE_PA / (GAS_CONSTANT * 288.15)  # [mol/m3]

_D = Dimension

UNITS: Final[tuple[Unit, ...]] = (
    Unit(_D.LENGTH, "in", "[in_i]", 1.0, 2, ("inch", "inches", "in.", '"', "″", "”", "[in_i]")),
    Unit(_D.LENGTH, "mm", "mm", _METRE / 1000, 1, ("millimetre", "millimeter", "millimetres", "millimeters")),
    Unit(_D.LENGTH, "cm", "cm", _METRE / 100, 2, ("centimetre", "centimeter", "centimetres", "centimeters")),
    Unit(_D.LENGTH, "m", "m", _METRE, 3, ("metre", "meter", "metres", "meters")),
    Unit(_D.LENGTH, "ft", "[ft_i]", _FOOT, 2, ("foot", "feet", "ft.", "'", "′", "’", "[ft_i]")),
    Unit(_D.PRESSURE, "psi", "[psi]", 1.0, 1, ("lbf/in2", "[psi]")),
    Unit(_D.PRESSURE, "psig", "[psi]", 1.0, 1, ("psi gauge",), reference="gauge"),
    Unit(_D.PRESSURE, "psia", "[psi]", 1.0, 1, ("psi absolute", "psi abs"), reference="absolute"),
    Unit(_D.PRESSURE, "kPa", "kPa", 1e3 * _PASCAL, 0),
    Unit(_D.PRESSURE, "kPag", "kPa", 1e3 * _PASCAL, 0, ("kPa gauge",), reference="gauge"),
    Unit(_D.PRESSURE, "kPaa", "kPa", 1e3 * _PASCAL, 0, ("kPa absolute", "kPa abs"), reference="absolute"),
    Unit(_D.PRESSURE, "MPa", "MPa", 1e6 * _PASCAL, 3),
    Unit(_D.PRESSURE, "bar", "bar", 1e5 * _PASCAL, 2),
    Unit(_D.PRESSURE, "barg", "bar", 1e5 * _PASCAL, 2, ("bar gauge",), reference="gauge"),
    Unit(_D.PRESSURE, "bara", "bar", 1e5 * _PASCAL, 2, ("bar absolute", "bar abs"), reference="absolute"),
    Unit(_D.PRESSURE, "hPa", "hPa", 100 * _PASCAL, 0, ("mbar",), reference="absolute"),
    Unit(_D.PRESSURE, "inHg", "[in_i'Hg]", _INCH_MERCURY_PA * _PASCAL, 2, ("[in_i'Hg]",), reference="absolute"),
    Unit(_D.TEMPERATURE, "degF", "[degF]", 1.0, 0, ("°F", "ºF", "deg F", "F", "[degF]")),
    Unit(_D.TEMPERATURE, "degC", "Cel", 1.8, 1, ("°C", "ºC", "deg C", "C", "Cel"), offset=32.0),
    Unit(_D.TEMPERATURE, "K", "K", 1.8, 1, ("kelvin",), offset=-459.67),
    Unit(_D.TEMPERATURE_DIFFERENCE, "degF", "[degF]", 1.0, 1, ("°F", "ºF", "deg F", "F", "[degF]")),
    Unit(_D.TEMPERATURE_DIFFERENCE, "K", "K", 1.8, 1, ("kelvin", "degC", "°C", "ºC", "deg C", "C", "Cel")),
    Unit(_D.FORCE, "lbf", "[lbf_av]", 1.0, 0, ("lb", "lbs", "pound", "pounds", "[lbf_av]")),
    Unit(_D.FORCE, "N", "N", _NEWTON, 0, ("newton", "newtons")),
    Unit(_D.FORCE, "daN", "daN", 10 * _NEWTON, 1),
    Unit(_D.FORCE, "kN", "kN", 1000 * _NEWTON, 3),
    Unit(_D.FORCE, "kgf", "kgf", _KILOGRAM, 1, ("kg",)),
    Unit(_D.MASS, "lb", "[lb_av]", 1.0, 0, ("lbs", "pound", "pounds", "lbm", "[lb_av]")),
    Unit(_D.MASS, "kg", "kg", _KILOGRAM, 1, ("kilogram", "kilograms")),
    Unit(_D.MASS, "g", "g", _KILOGRAM / 1000, 1, ("gram", "grams")),
    Unit(_D.VOLUME, "in3", "[in_i]3", 1.0, 1, ("cu in", "in^3", "in³", "cubic inch", "cubic inches", "[in_i]3")),
    Unit(_D.VOLUME, "mL", "mL", _LITRE / 1000, 0, ("millilitre", "milliliter", "ml")),
    Unit(_D.VOLUME, "cm3", "cm3", _LITRE / 1000, 0, ("cc", "cm^3", "cm³", "cubic centimetre")),
    Unit(_D.VOLUME, "L", "L", _LITRE, 2, ("l", "litre", "liter", "litres", "liters")),
    Unit(_D.VOLUME, "gal", "[gal_us]", _US_GALLON, 1, ("US gal", "gallon", "gallons", "[gal_us]")),
    Unit(_D.VOLUME, "qt", "[qt_us]", _US_GALLON / 4, 2, ("US qt", "quart", "quarts", "[qt_us]")),
    Unit(_D.VOLUME, "pt", "[pt_us]", _US_GALLON / 8, 2, ("US pt", "pint", "pints", "[pt_us]")),
    Unit(_D.VOLUME, "fl oz", "[foz_us]", _US_GALLON / 128, 1, ("fluid ounce", "fluid ounces", "[foz_us]")),
    Unit(_D.VOLUME, "ft3", "[ft_i]3", _FOOT**3, 2, ("cu ft", "ft^3", "ft³", "cubic foot", "cubic feet")),
    Unit(_D.GAS_AMOUNT, "mol", "mol", 1.0, 4),
    Unit(_D.GAS_AMOUNT, "std in3", "[in_i]3{standard}", _STANDARD_M3_MOL * CUBIC_INCH_M3, 1, ("std cu in",)),
    Unit(_D.GAS_AMOUNT, "std L", "L{standard}", _STANDARD_M3_MOL * 1e-3, 3, ("std litre", "std liter")),
    Unit(_D.GAS_AMOUNT, "std ft3", "[ft_i]3{standard}", _STANDARD_M3_MOL * CUBIC_INCH_M3 * _FOOT**3, 1, ("scf",)),
    Unit(_D.DURATION, "d", "d", 1.0, 0, ("day", "days")),
    Unit(_D.DURATION, "h", "h", 1 / 24, 1, ("hr", "hrs", "hour", "hours")),
    Unit(_D.DURATION, "min", "min", 1 / 1440, 0, ("minute", "minutes")),
    Unit(_D.DURATION, "s", "s", 1 / 86400, 0, ("sec", "second", "seconds")),
    Unit(_D.DURATION, "wk", "wk", 7.0, 0, ("week", "weeks")),
    Unit(_D.DURATION, "mo", "mo", _MONTH_D, 1, ("month", "months")),
    Unit(_D.SPEED, "ft/s", "[ft_i]/s", 1.0, 1, ("fps",)),
    Unit(_D.SPEED, "ft/min", "[ft_i]/min", 1 / 60, 0, ("fpm",)),
    Unit(_D.SPEED, "m/s", "m/s", _METRE / _FOOT, 2),
    Unit(_D.SPEED, "km/h", "km/h", _METRE / _FOOT / 3.6, 0, ("kph",)),
    Unit(_D.SPEED, "kn", "[kn_i]", _NAUTICAL_MILE_IN / _FOOT / 3600, 0, ("kt", "kts", "knot", "knots", "[kn_i]")),
    Unit(_D.SPEED, "mph", "[mi_i]/h", _MILE_IN / _FOOT / 3600, 0, ("mi/h",)),
    Unit(_D.FRACTION, "1", "1", 1.0, 3, ("fraction",)),
    Unit(_D.FRACTION, "%", "%", 0.01, 1, ("percent", "per cent")),
    Unit(_D.ANGLE, "deg", "deg", 1.0, 1, ("°", "degree", "degrees")),
    Unit(_D.ENERGY, "in lbf", "[lbf_av].[in_i]", 1.0, 0, ("in-lbf", "in·lbf")),
    Unit(_D.ENERGY, "J", "J", _NEWTON * _METRE, 0, ("joule", "joules")),
    Unit(_D.EXTENSION_RATE, "in/mo", "[in_i]/mo", 1.0, 3, ("in/month",)),
    Unit(_D.EXTENSION_RATE, "mm/mo", "mm/mo", _METRE / 1000, 2, ("mm/month",)),
    Unit(_D.EXTENSION_PER_STROKE, "in/stroke", "[in_i]/{stroke}", 1.0, 3),
    Unit(_D.EXTENSION_PER_STROKE, "mm/stroke", "mm/{stroke}", _METRE / 1000, 2),
    Unit(_D.EXTENSION_PER_TEMPERATURE, "in/degF", "[in_i]/[degF]", 1.0, 4, ("in/°F",)),
    Unit(_D.EXTENSION_PER_TEMPERATURE, "mm/K", "mm/K", _METRE / 1000 / 1.8, 3, ("mm/degC", "mm/°C")),
    Unit(_D.EXTENSION_PER_FORCE, "in/lbf", "[in_i]/[lbf_av]", 1.0, 5),
    Unit(_D.EXTENSION_PER_FORCE, "mm/N", "mm/N", _METRE / 1000 / _NEWTON, 5),
    Unit(_D.EXTENSION_PER_PRESSURE, "in/psi", "[in_i]/[psi]", 1.0, 4),
    Unit(_D.EXTENSION_PER_PRESSURE, "mm/kPa", "mm/kPa", _METRE / 1000 / (1e3 * _PASCAL), 3),
    Unit(_D.AREA, "in2", "[in_i]2", 1.0, 2, ("sq in", "in^2", "in²")),
    Unit(_D.AREA, "cm2", "cm2", (_METRE / 100) ** 2, 1, ("cm^2", "cm²")),
    Unit(_D.AREA, "mm2", "mm2", (_METRE / 1000) ** 2, 0, ("mm^2", "mm²")),
    Unit(_D.WING_LOADING, "lb/ft2", "[lb_av]/[ft_i]2", 1.0, 2, ("lb/sq ft", "lbf/ft2", "psf")),
    Unit(_D.WING_LOADING, "kg/m2", "kg/m2", _KILOGRAM / (_METRE / _FOOT) ** 2, 1),
    Unit(_D.DENSITY, "kg/m3", "kg/m3", 1.0, 4),
    Unit(_D.DENSITY, "lb/ft3", "[lb_av]/[ft_i]3", (_METRE / _FOOT) ** 3 / _KILOGRAM, 5, ("lb/cu ft",)),
    Unit(_D.MOLAR_VOLUME, "in3/mol", "[in_i]3/mol", 1.0, 3),
    Unit(_D.MOLAR_VOLUME, "cm3/mol", "cm3/mol", _LITRE / 1000, 3),
)


class UnitSystem(StrEnum):
    """Which units an answer is given in."""

    US = "us"
    METRIC = "metric"


class Quantity(StrEnum):
    """What a field holds: decides which units are accepted and which unit it has inside."""

    LENGTH = "length"
    ELEVATION = "elevation"
    GAUGE_PRESSURE = "gauge_pressure"
    ABSOLUTE_PRESSURE = "absolute_pressure"
    PRESSURE_DIFFERENCE = "pressure_difference"
    TEMPERATURE = "temperature"
    TEMPERATURE_DIFFERENCE = "temperature_difference"
    FORCE = "force"
    MASS = "mass"
    VOLUME = "volume"
    FUEL_VOLUME = "fuel_volume"
    CYLINDER_VOLUME = "cylinder_volume"
    CHARGE = "charge"
    DURATION = "duration"
    FLIGHT_TIME = "flight_time"
    SPEED = "speed"
    FRACTION = "fraction"
    ANGLE = "angle"
    ENERGY = "energy"
    EXTENSION_RATE = "extension_rate"
    EXTENSION_PER_STROKE = "extension_per_stroke"
    EXTENSION_PER_TEMPERATURE = "extension_per_temperature"
    EXTENSION_PER_FORCE = "extension_per_force"
    EXTENSION_PER_PRESSURE = "extension_per_pressure"
    AREA = "area"
    WING_LOADING = "wing_loading"
    DENSITY = "density"
    MOLAR_VOLUME = "molar_volume"


@dataclass(frozen=True, slots=True)
class QuantityKind:
    """How one quantity is kept inside and shown.

    Attributes
    ----------
    internal, us, metric : str
        Symbols of the unit inside and of the units shown in each system.
    reference : str
        ``"gauge"`` or ``"absolute"`` for a pressure, otherwise empty.
    """

    dimension: Dimension
    internal: str
    us: str
    metric: str
    reference: str = ""


KINDS: Final[dict[Quantity, QuantityKind]] = {
    Quantity.LENGTH: QuantityKind(_D.LENGTH, "in", "in", "mm"),
    Quantity.ELEVATION: QuantityKind(_D.LENGTH, "ft", "ft", "m"),
    Quantity.GAUGE_PRESSURE: QuantityKind(_D.PRESSURE, "psi", "psi", "kPa", "gauge"),
    Quantity.ABSOLUTE_PRESSURE: QuantityKind(_D.PRESSURE, "psi", "psi", "kPa", "absolute"),
    Quantity.PRESSURE_DIFFERENCE: QuantityKind(_D.PRESSURE, "psi", "psi", "kPa", "difference"),
    Quantity.TEMPERATURE: QuantityKind(_D.TEMPERATURE, "degF", "degF", "degC"),
    Quantity.TEMPERATURE_DIFFERENCE: QuantityKind(_D.TEMPERATURE_DIFFERENCE, "degF", "degF", "K"),
    Quantity.FORCE: QuantityKind(_D.FORCE, "lbf", "lbf", "N"),
    Quantity.MASS: QuantityKind(_D.MASS, "lb", "lb", "kg"),
    Quantity.VOLUME: QuantityKind(_D.VOLUME, "in3", "in3", "mL"),
    Quantity.FUEL_VOLUME: QuantityKind(_D.VOLUME, "gal", "gal", "L"),
    Quantity.CYLINDER_VOLUME: QuantityKind(_D.VOLUME, "in3", "L", "L"),
    Quantity.CHARGE: QuantityKind(_D.GAS_AMOUNT, "mol", "std in3", "std L"),
    Quantity.DURATION: QuantityKind(_D.DURATION, "d", "d", "d"),
    Quantity.FLIGHT_TIME: QuantityKind(_D.DURATION, "h", "h", "h"),
    Quantity.SPEED: QuantityKind(_D.SPEED, "ft/s", "ft/s", "m/s"),
    Quantity.FRACTION: QuantityKind(_D.FRACTION, "1", "%", "%"),
    Quantity.ANGLE: QuantityKind(_D.ANGLE, "deg", "deg", "deg"),
    Quantity.ENERGY: QuantityKind(_D.ENERGY, "in lbf", "in lbf", "J"),
    Quantity.EXTENSION_RATE: QuantityKind(_D.EXTENSION_RATE, "in/mo", "in/mo", "mm/mo"),
    Quantity.EXTENSION_PER_STROKE: QuantityKind(_D.EXTENSION_PER_STROKE, "in/stroke", "in/stroke", "mm/stroke"),
    Quantity.EXTENSION_PER_TEMPERATURE: QuantityKind(_D.EXTENSION_PER_TEMPERATURE, "in/degF", "in/degF", "mm/K"),
    Quantity.EXTENSION_PER_FORCE: QuantityKind(_D.EXTENSION_PER_FORCE, "in/lbf", "in/lbf", "mm/N"),
    Quantity.EXTENSION_PER_PRESSURE: QuantityKind(_D.EXTENSION_PER_PRESSURE, "in/psi", "in/psi", "mm/kPa"),
    Quantity.AREA: QuantityKind(_D.AREA, "in2", "in2", "cm2"),
    Quantity.WING_LOADING: QuantityKind(_D.WING_LOADING, "lb/ft2", "lb/ft2", "kg/m2"),
    Quantity.DENSITY: QuantityKind(_D.DENSITY, "kg/m3", "lb/ft3", "kg/m3"),
    Quantity.MOLAR_VOLUME: QuantityKind(_D.MOLAR_VOLUME, "in3/mol", "in3/mol", "cm3/mol"),
}
