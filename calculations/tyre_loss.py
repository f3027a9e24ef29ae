"""How fast a tyre may lose pressure, and what a newly mounted one needs.

References
----------
.. [1] FAA AC 20-97B, *Aircraft Tire Maintenance and Operational Practices*, 18 Apr 2005, change 1
       of 11 Sep 2018, as tyre makers' manuals repeat it: 5 % a day, hold of a new tyre.
.. [2] NAVEDTRA 14018, *Aviation Structural Mechanic*, ch. 11: 5 % in 24 h.
.. [3] A tyre maker's care manual: 12 h and 2.5 % as alternate test; removal at 10 % in a day.
"""

from dataclasses import dataclass
from enum import IntEnum
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calculations.checks import BoolArray, Checks, FloatArray
from calculations.constants import STANDARD_ATMOSPHERE_PSI
from calculations.tyre import pressure_at_temperature

DAILY_LOSS_LIMIT: Final = 0.05  # share of pressure in 24 h, [1], [2]
DAILY_LOSS_REMOVAL: Final = 0.10  # share of pressure at a daily check, [3]
SHORTEST_TEST_HOURS: Final = 12.0  # [h], alternate retention test, [3]
STRETCH_HOLD_HOURS: Final = 12.0  # [h] after first inflation, [1]
RETENTION_TEST_HOURS: Final = 24.0  # [h], [1]

_EDGE_DIGITS: Final = 9  # 42.0 to 39.9 is 5 % on paper but not in binary


class LossVerdict(IntEnum):
    """What a loss over some hours shows."""

    WITHIN = 0
    UNDECIDED = 1
    EXCEEDED = 2
    REMOVE = 3


class StretchStage(IntEnum):
    """How far a newly mounted tyre has come."""

    STRETCHING = 0
    READJUST = 1
    RETENTION_TEST = 2
    READY = 3


@dataclass(frozen=True, slots=True)
class PressureLoss:
    """Loss between two cold readings.

    Parameters
    ----------
    loss_share : ndarray
        Share of the earlier gauge pressure lost, at one temperature.
    allowed_share : ndarray
        5 % per 24 h, in proportion for shorter and longer times.
    percent_per_day : ndarray
        Rate of loss of gas [% of absolute pressure per day].
    verdict : ndarray of int
        `LossVerdict`.
    long_enough : ndarray of bool
        False under 12 h: gauge and temperature errors then outweigh the loss.
    """

    loss_share: FloatArray
    allowed_share: FloatArray
    percent_per_day: FloatArray
    verdict: NDArray[np.int64]
    long_enough: BoolArray


def pressure_loss(
    before_psig: ArrayLike,
    after_psig: ArrayLike,
    hours: ArrayLike,
    *,
    before_temperature_f: ArrayLike,
    after_temperature_f: ArrayLike,
    atmosphere_psia: ArrayLike = STANDARD_ATMOSPHERE_PSI,
) -> PressureLoss:
    """Judge the loss between two cold readings against 5 % in 24 h.

    Parameters
    ----------
    before_psig, after_psig : array_like
        Cold readings [psi gauge].
    hours : array_like
        Between them [h].
    before_temperature_f, after_temperature_f : array_like
        Of the tyre at each [degF]; the later reading is corrected to the earlier temperature.
    atmosphere_psia : array_like, optional
        Air pressure at both [psi absolute].

    Returns
    -------
    PressureLoss
        Loss, limit, rate and verdict.

    Raises
    ------
    CalculationError
        If a pressure, temperature or time is out of range.

    Notes
    -----
    Up to 24 h the limit is 5 % times hours/24: within or exceeded. Beyond 24 h a loss of 5 % or less
    is within for certain; more than 5 % for every 24 h means that some day exceeded; between the two
    nobody can tell, and a second reading a day later decides. More than 10 % in a day: remove.

    References
    ----------
    .. [1] FAA AC 20-97B; NAVEDTRA 14018 ch. 11; a tyre maker's care manual for 12 h and 10 %.

    Examples
    --------
    >>> day = pressure_loss(42.0, 39.9, 24, before_temperature_f=60, after_temperature_f=60)
    >>> round(float(day.loss_share), 4), LossVerdict(int(day.verdict)).name
    (0.05, 'WITHIN')
    """
    checks = Checks()
    before = checks.positive("before_psig", before_psig)
    after = checks.not_negative("after_psig", after_psig)
    span = checks.positive("hours", hours)
    checks.settle()
    corrected = pressure_at_temperature(
        after,
        temperature_f=after_temperature_f,
        wanted_temperature_f=before_temperature_f,
        atmosphere_psia=atmosphere_psia,
    )
    loss = np.round(1 - corrected / before, _EDGE_DIGITS)
    days = span / 24
    allowed = DAILY_LOSS_LIMIT * days
    verdict = np.select(
        [
            loss > DAILY_LOSS_REMOVAL * np.maximum(days, 1),
            loss > np.round(allowed, _EDGE_DIGITS),
            loss > DAILY_LOSS_LIMIT,
        ],
        [LossVerdict.REMOVE, LossVerdict.EXCEEDED, LossVerdict.UNDECIDED],
        LossVerdict.WITHIN,
    )
    air = np.asarray(atmosphere_psia, dtype=np.float64)
    return PressureLoss(
        loss_share=np.asarray(loss),
        allowed_share=np.asarray(allowed),
        percent_per_day=np.asarray(100 * np.log((before + air) / (corrected + air)) / days),
        verdict=np.asarray(verdict, dtype=np.int64),
        long_enough=np.asarray(span >= SHORTEST_TEST_HOURS),
    )


def stretch_stage(hours_since_inflation: ArrayLike, hours_since_readjustment: ArrayLike) -> NDArray[np.int64]:
    """Tell what a newly mounted tyre needs next.

    Parameters
    ----------
    hours_since_inflation : array_like
        Since it was first inflated [h].
    hours_since_readjustment : array_like
        Since its pressure was set again after the hold [h]; not-a-number when not yet.

    Returns
    -------
    ndarray of int
        `StretchStage`: hold 12 h, readjust, test for 24 h, ready.

    Raises
    ------
    CalculationError
        If a time is negative, or the readjustment came before the first inflation.

    Notes
    -----
    The carcass grows in the first hours and pressure falls without a leak; a readjustment before
    the 12 h are over does not count.

    References
    ----------
    .. [1] FAA AC 20-97B, as tabulated by a tyre maker.

    Examples
    --------
    >>> nan = float("nan")
    >>> [StretchStage(int(s)).name for s in stretch_stage([3, 13, 14, 40], [nan, nan, 1, 25])]
    ['STRETCHING', 'READJUST', 'RETENTION_TEST', 'READY']
    """
    checks = Checks()
    age = checks.not_negative("hours_since_inflation", hours_since_inflation)
    since = np.asarray(hours_since_readjustment, dtype=np.float64)
    known = ~np.isnan(since)
    checks.not_negative("hours_since_readjustment", np.where(known, since, 0.0))
    checks.require(
        ~(known & (since > age)),
        "hours_since_readjustment",
        "before_inflation",
        "must not be longer than the time since inflation",
    )
    checks.settle()
    counted = known & (age - np.where(known, since, 0.0) >= STRETCH_HOLD_HOURS)
    stage = np.select(
        [age < STRETCH_HOLD_HOURS, ~counted, since < RETENTION_TEST_HOURS],
        [StretchStage.STRETCHING, StretchStage.READJUST, StretchStage.RETENTION_TEST],
        StretchStage.READY,
    )
    return np.asarray(stage, dtype=np.int64)
