"""What each leg carries on the ground, from weight and centre of gravity or from fuel and people.

A strut's extension follows its load more than anything else, so a reading means little unless
the load of that day is known.

References
----------
.. [1] FAA-H-8083-1B, *Aircraft Weight and Balance Handbook*, Federal Aviation Administration,
       2016: moments about a datum, weighing on three scales.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from calculations.balance import LEVEL_GROUND, Balance
from calculations.checks import Checks, FloatArray

SYMMETRIC: Final = "assumed symmetric: both main legs carry the same load"
FUEL_EVEN: Final = "load of a leg follows fuel and occupant weight in proportion"


@dataclass(frozen=True, slots=True)
class LegReactions:
    """Load on each leg.

    Parameters
    ----------
    third_leg_lbf : ndarray
        Load on the nose wheel or the tail wheel [lbf].
    left_main_lbf, right_main_lbf : ndarray
        Load on each main leg [lbf].
    assumptions : tuple of str
        What was taken for granted.
    """

    third_leg_lbf: FloatArray
    left_main_lbf: FloatArray
    right_main_lbf: FloatArray
    assumptions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LegLoading:
    """How the load of one leg follows fuel and people, as a type sheet gives it.

    Parameters
    ----------
    reference_load_lbf : array_like
        Load for which the sheet's extension holds [lbf].
    reference_fuel_lb, reference_occupants_lb : array_like
        Fuel and occupants aboard at that load [lb].
    load_per_fuel, load_per_occupant : array_like
        Rise of the leg's load with fuel and with occupants [lbf/lb].
    """

    reference_load_lbf: ArrayLike
    reference_fuel_lb: ArrayLike
    load_per_fuel: ArrayLike
    reference_occupants_lb: ArrayLike = 0.0
    load_per_occupant: ArrayLike = 0.0


@dataclass(frozen=True, slots=True)
class LegLoad:
    """Load on one leg with its uncertainty.

    Parameters
    ----------
    load_lbf : ndarray
        Load on the leg [lbf].
    uncertainty_lbf : ndarray
        Standard uncertainty from fuel and occupant weight [lbf].
    assumptions : tuple of str
        What was taken for granted.
    """

    load_lbf: FloatArray
    uncertainty_lbf: FloatArray
    assumptions: tuple[str, ...]


def leg_reactions(
    weight_lbf: ArrayLike,
    centre_of_gravity_in: ArrayLike,
    *,
    third_leg_arm_in: ArrayLike,
    main_arm_in: ArrayLike,
) -> LegReactions:
    """Share the weight among nose or tail wheel and two equally loaded mains.

    Parameters
    ----------
    weight_lbf : array_like
        Weight of the aircraft [lbf].
    centre_of_gravity_in : array_like
        Its arm [in aft of datum].
    third_leg_arm_in, main_arm_in : array_like
        Where nose or tail wheel and mains touch the ground [in aft of datum].

    Returns
    -------
    LegReactions
        Loads, with the assumption of symmetry said.

    Raises
    ------
    CalculationError
        If the centre of gravity does not lie between the wheels (the aircraft would tip), or
        the wheels are at the same arm.

    Notes
    -----
    Moments about the mains [1]_: third leg = W (x_main - x_cg)/(x_main - x_third). The signs work
    out for a tail wheel too.

    References
    ----------
    .. [1] FAA-H-8083-1B, ch. 10; common statics.

    Examples
    --------
    >>> reactions = leg_reactions(2006, 114.77966, third_leg_arm_in=50, main_arm_in=128)
    >>> round(float(reactions.third_leg_lbf), 1), round(float(reactions.left_main_lbf), 1)
    (340.0, 833.0)
    """
    checks = Checks()
    weight = checks.positive("weight_lbf", weight_lbf)
    third = weight * _third_leg_share(
        checks, "centre_of_gravity_in", centre_of_gravity_in, third_leg_arm_in, main_arm_in
    )
    checks.require(
        ~((third < 0) | (third > weight)),
        "centre_of_gravity_in",
        "tips_over",
        "lies outside the wheels: the aircraft would tip; check arms and datum",
    )
    checks.settle()
    each_main = np.asarray((weight - third) / 2)
    return LegReactions(np.asarray(third), each_main, each_main, (LEVEL_GROUND, SYMMETRIC))


def leg_reactions_with_lateral(
    balance: Balance, *, third_leg_arm_in: ArrayLike, main_arm_in: ArrayLike, track_in: ArrayLike
) -> LegReactions:
    """Share the weight among three legs when items off the centre line are known.

    Parameters
    ----------
    balance : Balance
        Weight, centre of gravity and lateral moment.
    third_leg_arm_in, main_arm_in : array_like
        Where the wheels touch the ground [in aft of datum].
    track_in : array_like
        Distance between the main wheels [in].

    Returns
    -------
    LegReactions
        Loads, left and right apart.

    Raises
    ------
    CalculationError
        If the aircraft would tip forward, back or sideways.

    Notes
    -----
    Left, right = (W - third)/2 -+ lateral moment/track: moments about the centre line, struts
    standing level.

    References
    ----------
    .. [1] FAA-H-8083-1B, *Aircraft Weight and Balance Handbook*; common statics.

    Examples
    --------
    A pilot alone, 170 lb, 9 in left of the centre line, in a 1500 lb aircraft.

    >>> from calculations.balance import balance_of_items
    >>> solo = balance_of_items([1500.0, 170.0], [87.0, 85.5], [0.0, -9.0])
    >>> legs = leg_reactions_with_lateral(solo, third_leg_arm_in=22, main_arm_in=109.7, track_in=120)
    >>> round(float(legs.left_main_lbf - legs.right_main_lbf), 1)
    25.5
    """
    checks = Checks()
    track = checks.positive("track_in", track_in)
    checks.settle()
    even = leg_reactions(
        balance.weight_lbf, balance.centre_of_gravity_in, third_leg_arm_in=third_leg_arm_in, main_arm_in=main_arm_in
    )
    shift = balance.lateral_moment_lbf_in / track
    left, right = even.left_main_lbf - shift, even.right_main_lbf + shift
    checks.require(
        (left >= 0) & (right >= 0), "lateral_moment_lbf_in", "tips_over", "would tip the aircraft sideways"
    )
    checks.settle()
    return LegReactions(even.third_leg_lbf, np.asarray(left), np.asarray(right), (LEVEL_GROUND,))


def share_on_legs(
    arm_in: ArrayLike, *, third_leg_arm_in: ArrayLike, main_arm_in: ArrayLike
) -> tuple[FloatArray, FloatArray]:
    """Tell how much of one pound at an arm lands on the third leg and on each main.

    Parameters
    ----------
    arm_in : array_like
        Arm of the fuel tank or seat [in aft of datum].
    third_leg_arm_in, main_arm_in : array_like
        Where the wheels touch the ground [in aft of datum].

    Returns
    -------
    third_leg, each_main : ndarray
        Rise of load per pound [lbf/lb]; below 0 where the item lifts that leg.

    Raises
    ------
    CalculationError
        If the wheels are at the same arm.

    Notes
    -----
    The derivative of `leg_reactions` with weight at a fixed arm: what `LegLoading` wants when the
    sheet gives arms instead of loads per pound.

    References
    ----------
    .. [1] FAA-H-8083-1B, *Aircraft Weight and Balance Handbook*; common statics.

    Examples
    --------
    >>> third, main = share_on_legs(95.0, third_leg_arm_in=22.0, main_arm_in=109.7)
    >>> round(float(third), 3), round(float(main), 3)
    (0.168, 0.416)
    """
    checks = Checks()
    third = _third_leg_share(checks, "arm_in", arm_in, third_leg_arm_in, main_arm_in)
    checks.settle()
    return np.asarray(third), np.asarray((1 - third) / 2)


def load_on_leg(
    fuel_lb: ArrayLike,
    occupants_lb: ArrayLike,
    loading: LegLoading,
    *,
    fuel_uncertainty_lb: ArrayLike = 0.0,
    occupants_uncertainty_lb: ArrayLike = 0.0,
) -> LegLoad:
    """Find the load on one leg from the fuel and people aboard.

    Parameters
    ----------
    fuel_lb, occupants_lb : array_like
        Weight of fuel and of people aboard when the strut was read [lb].
    loading : LegLoading
        The sheet's figures for this leg.
    fuel_uncertainty_lb, occupants_uncertainty_lb : array_like, optional
        Standard uncertainties [lb].

    Returns
    -------
    LegLoad
        Load with its uncertainty.

    Raises
    ------
    CalculationError
        If a weight is negative or the load comes out at or below 0.

    Notes
    -----
    F = F_ref + k_fuel (fuel - fuel_ref) + k_occupant (occupants - occupants_ref); uncertainties add
    as independent.

    References
    ----------
    .. [1] JCGM 100:2008, *Guide to the expression of uncertainty in measurement*, eq. 10.

    Examples
    --------
    >>> sheet = LegLoading(reference_load_lbf=800, reference_fuel_lb=288, load_per_fuel=0.416)
    >>> round(float(load_on_leg(100, 0, sheet).load_lbf), 1)
    721.8
    """
    checks = Checks()
    fuel = checks.not_negative("fuel_lb", fuel_lb)
    occupants = checks.not_negative("occupants_lb", occupants_lb)
    fuel_sd = checks.not_negative("fuel_uncertainty_lb", fuel_uncertainty_lb)
    occupants_sd = checks.not_negative("occupants_uncertainty_lb", occupants_uncertainty_lb)
    reference = checks.positive("reference_load_lbf", loading.reference_load_lbf)
    reference_fuel = checks.not_negative("reference_fuel_lb", loading.reference_fuel_lb)
    reference_occupants = checks.not_negative("reference_occupants_lb", loading.reference_occupants_lb)
    per_fuel = checks.finite("load_per_fuel", loading.load_per_fuel)
    per_occupant = checks.finite("load_per_occupant", loading.load_per_occupant)
    load = reference + per_fuel * (fuel - reference_fuel) + per_occupant * (occupants - reference_occupants)
    checks.require(
        ~(load <= 0), "fuel_lb", "no_load", "takes all load off this leg: check the sheet's load per pound"
    )
    checks.settle()
    uncertainty = np.hypot(per_fuel * fuel_sd, per_occupant * occupants_sd)
    return LegLoad(np.asarray(load), np.asarray(uncertainty), (LEVEL_GROUND, FUEL_EVEN))


def _third_leg_share(
    checks: Checks, field: str, arm_in: ArrayLike, third_leg_arm_in: ArrayLike, main_arm_in: ArrayLike
) -> FloatArray:
    arm = checks.finite(field, arm_in)
    third_arm = checks.finite("third_leg_arm_in", third_leg_arm_in)
    main_arm = checks.finite("main_arm_in", main_arm_in)
    wheelbase = main_arm - third_arm
    checks.require(wheelbase != 0, "third_leg_arm_in", "no_wheelbase", "must differ from the arm of the main wheels")
    return np.asarray((main_arm - arm) / np.where(wheelbase == 0, np.nan, wheelbase))
