"""Weight of an aircraft and where it acts, from its items or from scales under its wheels.

References
----------
.. [1] FAA-H-8083-1B, *Aircraft Weight and Balance Handbook*, Federal Aviation Administration,
       2016: moments about a datum, weighing on three scales.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from calculations.checks import Checks, FloatArray

AVGAS_LB_PER_US_GAL: Final = 6.0  # [lb/US gal], from memory, source not seen
OIL_LB_PER_US_GAL: Final = 7.5  # [lb/US gal], from memory, source not seen

LEVEL_GROUND: Final = "aircraft level, at rest, no wind and no wing lift"
NET_SCALES: Final = "scale readings are net of tare, chocks and jacks"


@dataclass(frozen=True, slots=True)
class Balance:
    """Weight of an aircraft and where it acts.

    Parameters
    ----------
    weight_lbf : ndarray
        Total weight [lbf].
    centre_of_gravity_in : ndarray
        Arm of the centre of gravity [in aft of datum].
    lateral_moment_lbf_in : ndarray
        Sum of weight times distance right of the centre line [lbf in].
    assumptions : tuple of str
        What was taken for granted.
    """

    weight_lbf: FloatArray
    centre_of_gravity_in: FloatArray
    lateral_moment_lbf_in: FloatArray
    assumptions: tuple[str, ...]


def balance_of_items(weights_lbf: ArrayLike, arms_in: ArrayLike, lateral_arms_in: ArrayLike = 0.0) -> Balance:
    """Add up empty aircraft, fuel, people and baggage.

    Parameters
    ----------
    weights_lbf, arms_in, lateral_arms_in : array_like
        Weight [lbf], arm [in aft of datum] and distance right of the centre line [in] of each
        item, items along the last axis.

    Returns
    -------
    Balance
        Of all items together.

    Raises
    ------
    CalculationError
        If a weight is negative, all are 0, or a figure is not a number.

    Notes
    -----
    Centre of gravity = sum of moments / sum of weights [1]_.

    References
    ----------
    .. [1] FAA-H-8083-1B, ch. 2.

    Examples
    --------
    Empty aircraft, fuel and two people in front.

    >>> loaded = balance_of_items([1500.0, 288.0, 340.0], [87.0, 95.0, 85.5])
    >>> float(loaded.weight_lbf), round(float(loaded.centre_of_gravity_in), 2)
    (2128.0, 87.84)
    """
    checks = Checks()
    weights = checks.not_negative("weights_lbf", weights_lbf)
    arms = checks.finite("arms_in", arms_in)
    lateral = checks.finite("lateral_arms_in", lateral_arms_in)
    checks.settle()
    total = np.asarray(weights.sum(axis=-1))
    checks.positive("weights_lbf", total)
    checks.settle()
    return Balance(
        weight_lbf=total,
        centre_of_gravity_in=np.asarray((weights * arms).sum(axis=-1) / total),
        lateral_moment_lbf_in=np.asarray((weights * lateral).sum(axis=-1)),
        assumptions=(LEVEL_GROUND,),
    )


def balance_from_scales(
    third_leg_lbf: ArrayLike,
    left_main_lbf: ArrayLike,
    right_main_lbf: ArrayLike,
    *,
    third_leg_arm_in: ArrayLike,
    main_arm_in: ArrayLike,
    track_in: ArrayLike,
) -> Balance:
    """Find weight and centre of gravity from a scale under each wheel.

    Parameters
    ----------
    third_leg_lbf : array_like
        Net scale reading under the nose wheel or tail wheel [lbf].
    left_main_lbf, right_main_lbf : array_like
        Net scale readings under the main wheels [lbf].
    third_leg_arm_in, main_arm_in : array_like
        Where the wheels touch the ground [in aft of datum].
    track_in : array_like
        Distance between the main wheels [in].

    Returns
    -------
    Balance
        Weight, centre of gravity and lateral moment.

    Raises
    ------
    CalculationError
        If a reading is negative, all are 0, or the track is not above 0.

    Notes
    -----
    The same sum of moments serves nose wheel and tail wheel: only the third leg's arm differs [1]_.

    References
    ----------
    .. [1] FAA-H-8083-1B, ch. 3.

    Examples
    --------
    >>> found = balance_from_scales(340, 833, 833, third_leg_arm_in=50, main_arm_in=128, track_in=120)
    >>> round(float(found.centre_of_gravity_in), 1)
    114.8
    """
    checks = Checks()
    third = checks.not_negative("third_leg_lbf", third_leg_lbf)
    left = checks.not_negative("left_main_lbf", left_main_lbf)
    right = checks.not_negative("right_main_lbf", right_main_lbf)
    third_arm = checks.finite("third_leg_arm_in", third_leg_arm_in)
    main_arm = checks.finite("main_arm_in", main_arm_in)
    track = checks.positive("track_in", track_in)
    total = third + left + right
    checks.require(total > 0, "third_leg_lbf", "no_weight", "all three scales read 0: weigh again")
    checks.settle()
    return Balance(
        weight_lbf=np.asarray(total),
        centre_of_gravity_in=np.asarray((third * third_arm + (left + right) * main_arm) / total),
        lateral_moment_lbf_in=np.asarray((right - left) * track / 2),
        assumptions=(LEVEL_GROUND, NET_SCALES),
    )
