"""The next dose, from below: as much as the stated chance of overshoot allows, and when to stop.

References
----------
.. [1] A. Gelman et al., *Bayesian Data Analysis*, 3rd ed., CRC, 2013: posterior prediction.
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import IntEnum
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calculations import trade
from calculations.checks import BoolArray, Checks, FloatArray
from calculations.distributions import student_t_quantile, student_t_upper_tail
from calculations.dosing.calibration import (
    READING_SD_IN,
    UNSETTLED_SD_IN,
    Calibration,
    DoseLog,
    learn,
    process_variance,
)

CHANCE_PER_DOSE: Final = 0.05  # of settling beyond target and tolerance after one dose
CHANCE_PER_SESSION: Final = 0.10  # what that keeps a whole session under; held by simulation
LARGEST_DOSE: Final = 40  # units; more than this at once is never advised
SMALLEST_UNIT: Final = 0.01  # nobody doses finer than a hundredth of a stroke or second
PREDICTION_CONFIDENCE: Final = 0.80
MOST_DOSES: Final = 12  # after which a session that still wants more is not a top-up


class Advice(IntEnum):
    """What to do next."""

    GIVE = 1  # give the dose, exercise, read
    DONE = 2  # within tolerance: stop
    EXERCISE = 3  # strokes given since the last exercise may show up late: exercise and read first
    STOP_HIDDEN_CHARGE = 4  # strokes and length disagree: no more gas, exercise, read again
    TOO_COARSE = 5  # below target, but one more unit may be too much: part of a unit, or leave it
    TURN_BACK = 6  # already beyond: let out (when filling) or fill (when letting out)


@dataclass(frozen=True, slots=True)
class SinceExercise:
    """What happened since the strut was last exercised and read.

    Parameters
    ----------
    units : array_like
        Strokes, cycles or seconds given.
    seen_in : array_like
        Rise that was seen, without exercise [in]; when letting out, the drop seen.
    """

    units: ArrayLike = 0.0
    seen_in: ArrayLike = 0.0


@dataclass(frozen=True, slots=True)
class Goal:
    """Where the strut is to stand at this temperature and load.

    Parameters
    ----------
    target_in : array_like
        Extension wanted [in].
    tolerance_in : array_like
        How far from it is still right [in].
    """

    target_in: ArrayLike
    tolerance_in: ArrayLike = trade.TOLERANCE_IN


@dataclass(frozen=True, slots=True)
class DosePlan:
    """The next dose and what it should do.

    Parameters
    ----------
    units : ndarray
        Strokes, cycles or seconds to give; 0 for none.
    advice : ndarray of int
        `Advice`.
    expected_in, low_in, high_in : ndarray
        Settled extension after the dose and its 80 % interval [in].
    chance_beyond : ndarray
        Chance of settling beyond target and tolerance after this dose.
    chance_beyond_next : ndarray
        The same with one unit more.
    needed_units : ndarray
        What the mean still needs to the target, not rounded; below 0 when it is beyond.
    hidden_in : ndarray
        Rise given but not seen yet [in], 0 or more.
    """

    units: FloatArray
    advice: NDArray[np.int64]
    expected_in: FloatArray
    low_in: FloatArray
    high_in: FloatArray
    chance_beyond: FloatArray
    chance_beyond_next: FloatArray
    needed_units: FloatArray
    hidden_in: FloatArray


def next_dose(
    extension_in: ArrayLike,
    goal: Goal,
    known: Calibration,
    *,
    since: SinceExercise | None = None,
    stiction_in: ArrayLike = trade.STICTION_BAND_IN,
    pressure_ratio: ArrayLike = 1.0,
    chance: ArrayLike = CHANCE_PER_DOSE,
    unit: float = 1.0,
) -> DosePlan:
    """Plan the next dose of gas.

    Parameters
    ----------
    extension_in : array_like
        Reading now [in].
    goal : Goal
        Target and tolerance at this temperature and load [in].
    known : Calibration
        Rise per unit.
    since : SinceExercise, optional
        Doses since the strut was last exercised; none unless told.
    stiction_in : array_like, optional
        How far friction can hold the strut from its place [in]; more than this hidden stops the
        filling.
    pressure_ratio : array_like, optional
        Reference pressure times tube area of the calibration over those of the strut now, pressures
        absolute.
    chance : array_like, optional
        Greatest chance of settling beyond target and tolerance.
    unit : float, optional
        Smallest dose: 1 stroke, or half a second.

    Returns
    -------
    DosePlan
        Dose, advice, prediction.

    Raises
    ------
    CalculationError
        If a figure is out of range.

    Notes
    -----
    The largest k with (i) P(settled > target + tolerance) <= chance, (ii) mean <= target, and (iii)
    0 where the strut stands at target - tolerance/2 or above. Strokes since the last exercise count as
    hidden rise: x_eff = x + max(b pending - seen, 0). The settled extension is Student t with the
    variance of b, of one reading, of the strokes, and 0.2^2 in2 while anything is pending [1]_.

    References
    ----------
    .. [1] Gelman et al. (2013).

    Examples
    --------
    A pump of which nothing is known, main strut 2 in low: five strokes, then read.

    >>> from calculations.dosing.calibration import prior_calibration
    >>> plan = next_dose(2.5, Goal(4.5, 0.25), prior_calibration())
    >>> float(plan.units), float(plan.expected_in), round(float(plan.chance_beyond), 3)
    (5.0, 3.75, 0.033)
    """
    checks = Checks()
    x = checks.not_negative("extension_in", extension_in)
    target = checks.positive("target_in", goal.target_in)
    checks.settle()
    return _plan(x, target, goal, known, since, stiction_in, pressure_ratio, chance, unit)


def next_release(
    extension_in: ArrayLike,
    goal: Goal,
    known: Calibration,
    *,
    since: SinceExercise | None = None,
    stiction_in: ArrayLike = trade.STICTION_BAND_IN,
    pressure_ratio: ArrayLike = 1.0,
    chance: ArrayLike = CHANCE_PER_DOSE,
    unit: float = 1.0,
) -> DosePlan:
    """Plan how much gas to let out next, from above.

    Parameters
    ----------
    extension_in : array_like
        Reading now [in].
    goal : Goal
        Target and tolerance at this temperature and load [in].
    known : Calibration
        Drop per burst or second, as a number above 0.
    since, stiction_in, pressure_ratio, chance, unit
        As in `next_dose`, drops for rises.

    Returns
    -------
    DosePlan
        Units to let out; `chance_beyond` is that of settling below target less tolerance.

    Raises
    ------
    CalculationError
        If a figure is out of range.

    Notes
    -----
    The same as filling, seen in a mirror. Let too much out and gas has to go back in.

    References
    ----------
    .. [1] Gelman et al. (2013).

    Examples
    --------
    >>> from calculations.dosing.calibration import prior_calibration
    >>> plan = next_release(6.5, Goal(4.5, 0.25), prior_calibration())
    >>> float(plan.units), float(plan.expected_in)
    (5.0, 5.25)
    """
    checks = Checks()
    x = checks.not_negative("extension_in", extension_in)
    target = checks.positive("target_in", goal.target_in)
    checks.settle()
    mirrored = _plan(-x, -target, goal, known, since, stiction_in, pressure_ratio, chance, unit)
    return DosePlan(
        units=mirrored.units,
        advice=mirrored.advice,
        expected_in=-mirrored.expected_in,
        low_in=-mirrored.high_in,
        high_in=-mirrored.low_in,
        chance_beyond=mirrored.chance_beyond,
        chance_beyond_next=mirrored.chance_beyond_next,
        needed_units=mirrored.needed_units,
        hidden_in=mirrored.hidden_in,
    )


def doses_to_expect(
    extension_in: float,
    goal: Goal,
    known: Calibration,
    *,
    unit: float = 1.0,
    planned: Callable[..., DosePlan] = next_dose,
) -> int:
    """Return how many doses the session will take if each does what is expected of it.

    Parameters
    ----------
    extension_in : float
        Reading now [in].
    goal : Goal
        Target and tolerance [in].
    known : Calibration
        Rise, or when letting out drop, per unit, of one strut.
    unit : float, optional
        Smallest dose.
    planned : callable, optional
        `next_dose`, or `next_release` when letting out.

    Returns
    -------
    int
        Doses in or out, this one included; at most 12.

    Raises
    ------
    CalculationError
        If a figure is out of range.

    References
    ----------
    .. [1] Gelman et al. (2013).

    Examples
    --------
    >>> from calculations.dosing.calibration import prior_calibration
    >>> doses_to_expect(2.5, Goal(4.5, 0.25), prior_calibration())
    2
    """
    extension = extension_in
    for count in range(MOST_DOSES):
        plan = planned(extension, goal, known, unit=unit)
        if plan.units == 0:
            return count
        moved = float(plan.expected_in) - extension
        known = learn(known, DoseLog([float(plan.units)], [abs(moved)]))
        extension += moved
    return MOST_DOSES


def _plan(
    x: FloatArray,
    target: FloatArray,
    goal: Goal,
    known: Calibration,
    since: SinceExercise | None,
    stiction_in: ArrayLike,
    pressure_ratio: ArrayLike,
    chance: ArrayLike,
    unit: float,
) -> DosePlan:
    since = since or SinceExercise()
    checks = Checks()
    tolerance = checks.positive("tolerance_in", goal.tolerance_in)
    pending = checks.not_negative("units", since.units)
    seen = checks.finite("seen_in", since.seen_in)
    ratio = checks.positive("pressure_ratio", pressure_ratio)
    risk = checks.between("chance", chance, 0.0, 0.5)
    step = float(checks.between("unit", unit, SMALLEST_UNIT, LARGEST_DOSE))
    stiction = checks.not_negative("stiction_in", stiction_in)
    checks.settle()

    per_unit = known.rise_per_unit_in * ratio
    # A strut that rose more than expected has no negative rise in store: never count it back
    hidden = np.maximum(per_unit * pending - seen, 0.0)
    standing = x + hidden
    grid = np.arange(0.0, LARGEST_DOSE + step / 2, step)
    steps = _Steps(standing, per_unit, known, ratio, pending)
    means, scales = steps.mean(grid), steps.scale(grid)
    beyond = _tail((target + tolerance)[..., np.newaxis], means, scales, known)

    near = standing >= target - tolerance / 2
    allowed = (beyond <= risk[..., np.newaxis]) & (means <= target[..., np.newaxis]) & ~near[..., np.newaxis]
    # The chance grows with the dose, so the doses that are allowed come first on the grid
    index = np.maximum(allowed.sum(axis=-1) - 1, 0)
    stopped = hidden > stiction
    index = np.where(stopped, 0, index)
    units = grid[index]

    def pick(values: FloatArray) -> FloatArray:
        return np.asarray(np.take_along_axis(values, index[..., np.newaxis], axis=-1)[..., 0])

    mean, scale = pick(means), pick(scales)
    one_more = (units + step)[..., np.newaxis]
    next_beyond = _tail((target + tolerance)[..., np.newaxis], steps.mean(one_more), steps.scale(one_more), known)
    half_width = scale * _quantile(0.5 + PREDICTION_CONFIDENCE / 2, known.degrees_of_freedom)
    return DosePlan(
        units=np.asarray(units),
        advice=_advise(units, standing, target, tolerance, pending > 0, stopped),
        expected_in=mean,
        low_in=np.asarray(mean - half_width),
        high_in=np.asarray(mean + half_width),
        chance_beyond=pick(beyond),
        chance_beyond_next=np.asarray(next_beyond[..., 0]),
        needed_units=np.asarray((target - standing) / per_unit),
        hidden_in=np.asarray(hidden),
    )


@dataclass(frozen=True, slots=True)
class _Steps:
    """Mean and scale of the settled extension after a dose."""

    standing: FloatArray
    per_unit: FloatArray
    known: Calibration
    ratio: FloatArray
    pending: FloatArray

    def mean(self, units: FloatArray) -> FloatArray:
        return np.asarray(self.standing[..., np.newaxis] + self.per_unit[..., np.newaxis] * units)

    def scale(self, units: FloatArray) -> FloatArray:
        known, waiting = self.known, self.pending[..., np.newaxis]
        given = units + waiting
        learned = (given * self.ratio[..., np.newaxis]) ** 2 / known.precision[..., np.newaxis]
        strokes = process_variance(known.expected_rise_in[..., np.newaxis], given)
        unsettled = np.where(waiting > 0, UNSETTLED_SD_IN**2, 0.0)
        noise_scale = (known.rate / known.shape)[..., np.newaxis]
        return np.asarray(np.sqrt(noise_scale * (learned + READING_SD_IN**2 + strokes + unsettled)))


def _tail(limit: FloatArray, mean: FloatArray, scale: FloatArray, known: Calibration) -> FloatArray:
    return student_t_upper_tail((limit - mean) / scale, known.degrees_of_freedom[..., np.newaxis])


def _quantile(probability: float, degrees: FloatArray) -> FloatArray:
    table = {value: student_t_quantile(probability, int(value)) for value in np.unique(degrees)}
    quantiles: FloatArray = np.vectorize(table.__getitem__, otypes=[np.float64])(degrees)
    return quantiles


def _advise(
    units: FloatArray,
    standing: FloatArray,
    target: FloatArray,
    tolerance: FloatArray,
    pending: BoolArray,
    stopped: BoolArray,
) -> NDArray[np.int64]:
    cases = (
        (stopped, Advice.STOP_HIDDEN_CHARGE),
        (units > 0, Advice.GIVE),
        (pending, Advice.EXERCISE),
        (standing > target + tolerance, Advice.TURN_BACK),
        (standing >= target - tolerance, Advice.DONE),
    )
    conditions = np.broadcast_arrays(*(np.asarray(condition) for condition, _ in cases))
    return np.asarray(np.select(list(conditions), [int(advice) for _, advice in cases], int(Advice.TOO_COARSE)))
