"""How the aircraft stands on its three legs: pitch, roll and the propeller's clearance.

References
----------
.. [1] 14 CFR 23.925(a) before amendment 23-64 (2017): propeller clearance. CS-23 has 180 and 230 mm.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from calculations.checks import BoolArray, Checks, FloatArray

LEAST_CLEARANCE_NOSE_WHEEL_IN: Final = 7.0  # [in], [1]
LEAST_CLEARANCE_TAIL_WHEEL_IN: Final = 9.0  # [in], [1]
LEAST_CLEARANCE_WATER_IN: Final = 18.0  # [in] above water, [1]
LEAF_SPRING_LOAD_FACTOR: Final = 1.5  # of the static load, under which a leaf-spring leg must leave clearance, [1]


@dataclass(frozen=True, slots=True)
class GearGeometry:
    """Where wheels and propeller are.

    Parameters
    ----------
    third_leg_ahead_in : array_like
        Nose wheel ahead of the mains [in]; below 0 for a tail wheel, which is behind.
    track_in : array_like
        Between the main wheels [in].
    propeller_ahead_in : array_like
        Propeller disc ahead of the mains [in].
    propeller_right_in : array_like
        Propeller right of the centre line [in]; 0 for a single.
    """

    third_leg_ahead_in: ArrayLike
    track_in: ArrayLike
    propeller_ahead_in: ArrayLike
    propeller_right_in: ArrayLike = 0.0


@dataclass(frozen=True, slots=True)
class LegHeights:
    """Rise of each leg over the reference stance.

    Parameters
    ----------
    third_leg_in, left_main_in, right_main_in : array_like
        From `leg_rise_in` [in].
    """

    third_leg_in: ArrayLike
    left_main_in: ArrayLike
    right_main_in: ArrayLike


@dataclass(frozen=True, slots=True)
class Stance:
    """How the aircraft stands, relative to the reference stance.

    Parameters
    ----------
    pitch_deg : ndarray
        Nose up above 0 [deg].
    roll_deg : ndarray
        Right wing down above 0 [deg].
    clearance_change_in : ndarray
        Of the propeller over the ground [in].
    """

    pitch_deg: FloatArray
    roll_deg: FloatArray
    clearance_change_in: FloatArray


@dataclass(frozen=True, slots=True)
class Clearance:
    """Propeller clearance against the published minimum.

    Parameters
    ----------
    clearance_in : ndarray
        Over the ground [in].
    minimum_in : ndarray
        Published [in].
    margin_in : ndarray
        The one less the other [in].
    enough : ndarray of bool
        True at or above the minimum. The minimum is a design rule for the statically deflected gear
        in the most critical attitude; the type's own manual may ask for more.
    """

    clearance_in: FloatArray
    minimum_in: FloatArray
    margin_in: FloatArray
    enough: BoolArray


def leg_rise_in(
    *,
    extension_in: ArrayLike,
    reference_extension_in: ArrayLike,
    tyre_deflection_in: ArrayLike = 0.0,
    reference_tyre_deflection_in: ArrayLike = 0.0,
    rake_deg: ArrayLike = 0.0,
) -> FloatArray:
    """Return how much higher a leg stands than in the reference stance.

    Parameters
    ----------
    extension_in, reference_extension_in : array_like
        Of the strut now and in the reference stance [in].
    tyre_deflection_in, reference_tyre_deflection_in : array_like, optional
        Of its tyre now and then [in]; equal when not told.
    rake_deg : array_like, optional
        Tilt of the strut from the vertical [deg].

    Returns
    -------
    ndarray
        Rise [in]; below 0 when the leg stands lower.

    Raises
    ------
    CalculationError
        If a length is negative or the strut leans more than 60 deg.

    Notes
    -----
    dh = d(extension) cos(rake) - d(tyre deflection).

    References
    ----------
    .. [1] Plane geometry.

    Examples
    --------
    >>> float(leg_rise_in(extension_in=7.0, reference_extension_in=3.25))
    3.75
    """
    checks = Checks()
    extension = checks.not_negative("extension_in", extension_in)
    reference = checks.not_negative("reference_extension_in", reference_extension_in)
    tyre = checks.not_negative("tyre_deflection_in", tyre_deflection_in)
    reference_tyre = checks.not_negative("reference_tyre_deflection_in", reference_tyre_deflection_in)
    rake = checks.between("rake_deg", rake_deg, -60.0, 60.0)
    checks.settle()
    return np.asarray((extension - reference) * np.cos(np.radians(rake)) - (tyre - reference_tyre))


def stance(heights: LegHeights, geometry: GearGeometry) -> Stance:
    """Find pitch, roll and change of propeller clearance from the rise of the legs.

    Parameters
    ----------
    heights : LegHeights
        Rise of each leg [in].
    geometry : GearGeometry
        Wheels and propeller.

    Returns
    -------
    Stance
        Relative to the reference stance.

    Raises
    ------
    CalculationError
        If a figure is not a number, the track is not above 0, or there is no wheelbase.

    Notes
    -----
    pitch = atan((third - mean of mains)/third leg ahead), roll = atan((left - right)/track); the
    clearance moves with the plane through the three legs, at the propeller's place. Change of the
    propeller's height by its own tilt is of second order and left out: 0.1 % at 2.7 deg.

    References
    ----------
    .. [1] Plane geometry.

    Examples
    --------
    A nose strut 3.75 in too long, wheelbase 80 in, propeller 10 in ahead of the nose wheel.

    >>> found = stance(LegHeights(3.75, 0.0, 0.0), GearGeometry(80.0, 100.0, 90.0))
    >>> round(float(found.pitch_deg), 1), round(float(found.clearance_change_in), 1)
    (2.7, 4.2)
    """
    checks = Checks()
    third = checks.finite("third_leg_in", heights.third_leg_in)
    left = checks.finite("left_main_in", heights.left_main_in)
    right = checks.finite("right_main_in", heights.right_main_in)
    base = checks.finite("third_leg_ahead_in", geometry.third_leg_ahead_in)
    track = checks.positive("track_in", geometry.track_in)
    ahead = checks.finite("propeller_ahead_in", geometry.propeller_ahead_in)
    aside = checks.finite("propeller_right_in", geometry.propeller_right_in)
    checks.require(base != 0, "third_leg_ahead_in", "no_wheelbase", "must differ from 0")
    checks.settle()
    mains = (left + right) / 2
    lift, bank = (third - mains) / base, (left - right) / track
    return Stance(
        pitch_deg=np.degrees(np.arctan(lift)),
        roll_deg=np.degrees(np.arctan(bank)),
        clearance_change_in=np.asarray(mains + lift * ahead - bank * aside),
    )


def propeller_clearance(
    reference_clearance_in: ArrayLike, clearance_change_in: ArrayLike, minimum_in: ArrayLike
) -> Clearance:
    """Compare propeller clearance with the published minimum.

    Parameters
    ----------
    reference_clearance_in : array_like
        Clearance in the reference stance, measured or from the manual [in].
    clearance_change_in : array_like
        From `stance` [in].
    minimum_in : array_like
        7 in for a nose wheel, 9 in for a tail wheel, 18 in above water, or what the manual asks.

    Returns
    -------
    Clearance
        Clearance, margin, enough or not.

    Raises
    ------
    CalculationError
        If a figure is out of range.

    References
    ----------
    .. [1] 14 CFR 23.925(a), (c) before amendment 23-64.

    Examples
    --------
    >>> low = propeller_clearance(9.0, -2.5, LEAST_CLEARANCE_NOSE_WHEEL_IN)
    >>> float(low.clearance_in), bool(low.enough)
    (6.5, False)
    """
    checks = Checks()
    reference = checks.finite("reference_clearance_in", reference_clearance_in)
    change = checks.finite("clearance_change_in", clearance_change_in)
    minimum = checks.not_negative("minimum_in", minimum_in)
    checks.settle()
    clearance, minimum = np.broadcast_arrays(reference + change, minimum)
    margin = clearance - minimum
    return Clearance(clearance, minimum, np.asarray(margin), np.asarray(margin >= 0))


def rise_when_flat_and_bottomed_in(
    *,
    reference_extension_in: ArrayLike,
    loaded_radius_in: ArrayLike,
    flange_diameter_in: ArrayLike,
    rake_deg: ArrayLike = 0.0,
) -> FloatArray:
    """Return how far a leg sinks with its tyre flat and its strut bottomed.

    Parameters
    ----------
    reference_extension_in : array_like
        Of the strut in the reference stance [in].
    loaded_radius_in : array_like
        Axle to ground in the reference stance [in].
    flange_diameter_in : array_like
        Of the rim's flange, on which it then stands [in].
    rake_deg : array_like, optional
        Tilt of the strut from the vertical [deg].

    Returns
    -------
    ndarray
        Rise of the leg [in], below 0: for `stance`, whose clearance must still be positive.

    Raises
    ------
    CalculationError
        If a length is out of range.

    Notes
    -----
    The thickness of the flat tyre under the flange is not counted: on the safe side.

    References
    ----------
    .. [1] 14 CFR 23.925(a) before amendment 23-64: positive clearance, critical tyre flat and its strut
       bottomed, level take-off attitude.

    Examples
    --------
    >>> sunk = rise_when_flat_and_bottomed_in(
    ...     reference_extension_in=3.25, loaded_radius_in=6.8, flange_diameter_in=7.25
    ... )
    >>> round(float(sunk), 3)
    -6.425
    """
    checks = Checks()
    radius = checks.positive("loaded_radius_in", loaded_radius_in)
    flange = checks.positive("flange_diameter_in", flange_diameter_in)
    checks.require(
        ~(flange / 2 > radius), "flange_diameter_in", "outside_tyre", "must be less than twice the loaded radius"
    )
    checks.settle()
    sunk = leg_rise_in(
        extension_in=np.zeros_like(np.asarray(reference_extension_in, dtype=np.float64)),
        reference_extension_in=reference_extension_in,
        rake_deg=rake_deg,
    )
    return np.asarray(sunk - (radius - flange / 2))


def rise_of_leaf_spring_in(
    static_deflection_in: ArrayLike, load_factor: ArrayLike = LEAF_SPRING_LOAD_FACTOR
) -> FloatArray:
    """Return how far a leaf-spring leg sinks below its static stance under a multiple of its load.

    Parameters
    ----------
    static_deflection_in : array_like
        By how much the leg stands lower under its static load than without load [in].
    load_factor : array_like, optional
        Load over static load, 1 or more; 1.5 by the rule.

    Returns
    -------
    ndarray
        Rise of the leg [in], below 0: for `stance`, whose clearance must still be positive.

    Raises
    ------
    CalculationError
        If the deflection is negative or the load factor below 1.

    Notes
    -----
    -(n - 1) times the static deflection: a straight spring, which a leaf is up to such loads; the tyre's
    own deflection is not counted.

    References
    ----------
    .. [1] 14 CFR 23.925(a) before amendment 23-64: positive clearance at 1.5 g with leaf-spring gear.

    Examples
    --------
    >>> float(rise_of_leaf_spring_in(4.0))
    -2.0
    """
    checks = Checks()
    deflection = checks.not_negative("static_deflection_in", static_deflection_in)
    factor = checks.finite("load_factor", load_factor)
    checks.require(~(factor < 1), "load_factor", "out_of_range", "must be 1 or more")
    checks.settle()
    return np.asarray((1 - factor) * deflection)
