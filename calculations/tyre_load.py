"""Tyre under load: deflection, footprint, and the speed at which it floats on water.

References
----------
.. [1] Tire and Rim Association, *Aircraft Year Book*: deflection rules, from memory, source not
       seen.
.. [2] R. F. Smiley and W. B. Horne, "Mechanical properties of pneumatic tires with special
       reference to modern aircraft tires", NACA TN 4110, 1958; coefficients from memory, source
       not seen.
.. [3] W. B. Horne and R. C. Dreher, "Phenomena of pneumatic tire hydroplaning", NASA TN D-2056,
       1963.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from calculations.checks import Checks, FloatArray

DESIGN_DEFLECTION_TYPE_III: Final = 0.35  # [1]
DESIGN_DEFLECTION: Final = 0.32  # [1], most other types

_CARCASS_SHARE: Final = 0.08  # of rated pressure, added by the carcass, [2]
_TOE: Final = 0.03  # C_z, [2]


def deflection_share(
    *, outer_diameter_in: ArrayLike, loaded_radius_in: ArrayLike, flange_diameter_in: ArrayLike
) -> FloatArray:
    """Return how much of the free section height is pressed in.

    Parameters
    ----------
    outer_diameter_in : array_like
        Of the inflated tyre, unloaded [in].
    loaded_radius_in : array_like
        Axle to ground [in].
    flange_diameter_in : array_like
        Of the rim's flange [in].

    Returns
    -------
    ndarray
        Share of the section height above the flange; design is 35 % for type III, 32 % for most others.

    Raises
    ------
    CalculationError
        If the loaded radius is not between flange and tread.

    Notes
    -----
    (D/2 - R)/(D/2 - D_flange/2).

    References
    ----------
    .. [1] Tire and Rim Association, from memory, source not seen.

    Examples
    --------
    >>> share = deflection_share(outer_diameter_in=17.0, loaded_radius_in=6.80, flange_diameter_in=7.25)
    >>> round(100 * float(share), 2)
    34.87
    """
    checks = Checks()
    outer = checks.positive("outer_diameter_in", outer_diameter_in)
    radius = checks.positive("loaded_radius_in", loaded_radius_in)
    flange = checks.positive("flange_diameter_in", flange_diameter_in)
    checks.require(
        ~((radius > outer / 2) | (radius < flange / 2) | (flange >= outer)),
        "loaded_radius_in",
        "outside_tyre",
        "must lie between the rim flange and the free radius",
    )
    checks.settle()
    return np.asarray((outer / 2 - radius) / (outer / 2 - flange / 2))


def deflection_in(
    load_lbf: ArrayLike,
    pressure_psig: ArrayLike,
    *,
    section_in: ArrayLike,
    outer_diameter_in: ArrayLike,
    rated_unloaded_psig: ArrayLike,
) -> FloatArray:
    """Estimate how far a tyre is pressed in under its load.

    Parameters
    ----------
    load_lbf : array_like
        Load on the wheel [lbf].
    pressure_psig : array_like
        Inflation [psi gauge].
    section_in, outer_diameter_in : array_like
        Width and diameter of the inflated tyre [in].
    rated_unloaded_psig : array_like
        Rated inflation [psi gauge], which stands for the stiffness of the carcass.

    Returns
    -------
    ndarray
        Deflection [in]: free radius less this is the loaded radius.

    Raises
    ------
    CalculationError
        If a figure is out of range.

    Notes
    -----
    F/((p + 0.08 p_r) w sqrt(w d)) = 0.96 x + 0.216 x^2/C with x = deflection/w up to 10 C/3, and
    2.4 (x - C) beyond, C = 0.03 [1]_, solved for x. An estimate: measure where it matters.

    References
    ----------
    .. [1] Smiley and Horne (1958); coefficients from memory, source not seen.

    Examples
    --------
    >>> size = {"section_in": 6.2, "outer_diameter_in": 17.5, "rated_unloaded_psig": 36.0}
    >>> round(float(deflection_in(800, 24, **size)), 2)
    1.38
    """
    checks = Checks()
    load = checks.not_negative("load_lbf", load_lbf)
    pressure = checks.not_negative("pressure_psig", pressure_psig)
    width = checks.positive("section_in", section_in)
    diameter = checks.positive("outer_diameter_in", outer_diameter_in)
    rated = checks.positive("rated_unloaded_psig", rated_unloaded_psig)
    checks.settle()
    ratio = load / ((pressure + _CARCASS_SHARE * rated) * width * np.sqrt(width * diameter))
    square = 0.216 / _TOE
    toe = (np.sqrt(0.96**2 + 4 * square * ratio) - 0.96) / (2 * square)
    return np.asarray(width * np.where(toe <= 10 * _TOE / 3, toe, ratio / 2.4 + _TOE))


def footprint_in2(load_lbf: ArrayLike, pressure_psig: ArrayLike) -> FloatArray:
    """Return about how much ground a tyre covers.

    Parameters
    ----------
    load_lbf, pressure_psig : array_like
        Load [lbf] and inflation [psi gauge].

    Returns
    -------
    ndarray
        Area [in2], load over pressure; the carcass takes a little off.

    Raises
    ------
    CalculationError
        If the pressure is not above 0.

    References
    ----------
    .. [1] Statics of a membrane; common practice, no source.

    Examples
    --------
    >>> round(float(footprint_in2(1150, 29)), 2)
    39.66
    """
    checks = Checks()
    load = checks.not_negative("load_lbf", load_lbf)
    pressure = checks.positive("pressure_psig", pressure_psig)
    checks.settle()
    return np.asarray(load / pressure)


def hydroplaning_speed_kt(pressure_psig: ArrayLike) -> FloatArray:
    """Return the speed above which a rolling tyre may float on standing water.

    Parameters
    ----------
    pressure_psig : array_like
        Inflation [psi gauge].

    Returns
    -------
    ndarray
        Speed [kt]; a soft tyre floats sooner.

    Raises
    ------
    CalculationError
        If the pressure is negative.

    Notes
    -----
    V = 9 sqrt(p) [1]_, for a rotating tyre.

    References
    ----------
    .. [1] Horne and Dreher (1963).

    Examples
    --------
    >>> float(hydroplaning_speed_kt(36))
    54.0
    """
    checks = Checks()
    pressure = checks.not_negative("pressure_psig", pressure_psig)
    checks.settle()
    return np.asarray(9 * np.sqrt(pressure))
