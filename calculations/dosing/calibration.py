"""Rise per stroke (or cycle, or second at the regulator), learned from a person's own log.

References
----------
.. [1] A. Gelman et al., *Bayesian Data Analysis*, 3rd ed., CRC, 2013, sections 3.3 and 14.8: normal
       data with conjugate normal-inverse-gamma prior, Student t prediction.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from calculations import trade
from calculations.checks import BoolArray, Checks, FloatArray
from calculations.distributions import student_t_upper_tail

READING_SD_IN: Final = 0.06  # [in] of one settled reading; assumed
PER_UNIT_VARIATION: Final = 0.12  # relative spread from stroke to stroke; assumed
UNSETTLED_SD_IN: Final = 0.20  # [in] while the strut was not exercised; assumed
LEAST_QUANTILE: Final = -2.326347874  # standard normal, 1 %
PRIOR_SHAPE: Final = 3.0  # of the inverse gamma prior of the noise scale: six degrees of freedom
PRIOR_RATE: Final = 3.0


@dataclass(frozen=True, slots=True)
class Calibration:
    """What is known of the rise per unit, one per strut and supply where the fields are arrays.

    Parameters
    ----------
    rise_per_unit_in : ndarray
        Mean [in per stroke, cycle or second] at the reference pressure.
    precision : ndarray
        Inverse of its variance in units of the noise scale [1/in2].
    shape, rate : ndarray
        Of the inverse gamma distribution of the noise scale.
    expected_rise_in : ndarray
        Physical expectation that the prior was centred on; the stroke-to-stroke noise follows it [in].
    """

    rise_per_unit_in: FloatArray
    precision: FloatArray
    shape: FloatArray
    rate: FloatArray
    expected_rise_in: FloatArray

    @property
    def degrees_of_freedom(self) -> FloatArray:
        """Degrees of freedom: six and the number of doses."""
        return 2 * self.shape

    @property
    def uncertainty_in(self) -> FloatArray:
        """Scale of the Student t distribution of the rise per unit [in]."""
        return np.asarray(np.sqrt(self.rate / self.shape / self.precision))


@dataclass(frozen=True, slots=True)
class DoseLog:
    """Doses given and what they did, doses along the last axis.

    Parameters
    ----------
    units : array_like
        Strokes, cycles or seconds of each dose; 0 marks no dose.
    rise_in : array_like
        Change of extension seen [in].
    settled : array_like of bool
        Whether the strut was exercised before the reading after the dose.
    pressure_ratio : array_like
        Reference pressure times tube area over those of the strut at that dose, pressures absolute: 1
        at the same load of the same strut; carries a pump's log from one strut to another.
    """

    units: ArrayLike
    rise_in: ArrayLike
    settled: ArrayLike = True
    pressure_ratio: ArrayLike = 1.0


@dataclass(frozen=True, slots=True)
class Surprise:
    """How well one dose agrees with what was expected of it.

    Parameters
    ----------
    expected_in : ndarray
        Rise that was expected [in].
    chance_of_less, chance_of_more : ndarray
        Of a rise at or below, and at or above, the one seen.
    """

    expected_in: FloatArray
    chance_of_less: FloatArray
    chance_of_more: FloatArray


def prior_calibration(
    rise_per_unit_in: ArrayLike = trade.RISE_PER_STROKE_IN,
    variation: ArrayLike = trade.RISE_PER_STROKE_VARIATION,
) -> Calibration:
    """Start from the physical expectation before any dose.

    Parameters
    ----------
    rise_per_unit_in : array_like, optional
        Expected rise per unit [in], from `calculations.supply`; a quarter inch for a hand pump of
        which nothing is known.
    variation : array_like, optional
        Relative standard deviation of it.

    Returns
    -------
    Calibration
        With six degrees of freedom.

    Raises
    ------
    CalculationError
        If a figure is not above 0.

    Notes
    -----
    b ~ N(b0, (v b0)^2 s2), s2 ~ inverse gamma(3, 3) [1]_.

    References
    ----------
    .. [1] Gelman et al. (2013).

    Examples
    --------
    >>> round(float(prior_calibration().uncertainty_in), 4)
    0.0875
    """
    checks = Checks()
    expected = checks.positive("rise_per_unit_in", rise_per_unit_in)
    spread = checks.positive("variation", variation)
    checks.settle()
    expected, spread = np.broadcast_arrays(expected, spread)
    return Calibration(
        rise_per_unit_in=expected,
        precision=np.asarray((spread * expected) ** -2.0),
        shape=np.full_like(expected, PRIOR_SHAPE),
        rate=np.full_like(expected, PRIOR_RATE),
        expected_rise_in=expected,
    )


def learn(before: Calibration, log: DoseLog) -> Calibration:
    """Take doses into account.

    Parameters
    ----------
    before : Calibration
        What was known.
    log : DoseLog
        Doses, along the last axis.

    Returns
    -------
    Calibration
        What is known now. Learning dose by dose or all at once gives the same.

    Raises
    ------
    CalculationError
        If a figure is out of range.

    Notes
    -----
    rise = b k c + e, Var e = s2 (2 0.06^2 + 0.12^2 b0^2 k + 0.2^2 where not settled), c the pressure
    ratio: a stroke lengthens the strut less under more load. Normal-inverse-gamma update [1]_.

    References
    ----------
    .. [1] Gelman et al. (2013), section 14.8.

    Examples
    --------
    >>> known = learn(prior_calibration(), DoseLog([4, 4, 3], [0.9, 1.1, 0.7]))
    >>> round(float(known.rise_per_unit_in), 3), round(float(known.uncertainty_in), 3)
    (0.246, 0.015)
    """
    checks = Checks()
    units = checks.not_negative("units", log.units)
    rise = checks.finite("rise_in", log.rise_in)
    ratio = checks.positive("pressure_ratio", log.pressure_ratio)
    checks.settle()
    expected = before.expected_rise_in[..., np.newaxis]
    given = units > 0
    weight = np.where(given, 1 / _noise(expected, units, np.asarray(log.settled)), 0.0)
    reach = units * ratio
    gained = (weight * reach**2).sum(axis=-1)
    precision = before.precision + gained
    pulled = before.precision * before.rise_per_unit_in + (weight * reach * rise).sum(axis=-1)
    mean = pulled / precision
    # Residuals about the new mean, not differences of large sums: no digits are lost
    squares = (weight * (rise - mean[..., np.newaxis] * reach) ** 2).sum(axis=-1)
    moved = before.precision * (mean - before.rise_per_unit_in) ** 2
    count = np.broadcast_to(given, weight.shape).sum(axis=-1)
    return Calibration(
        rise_per_unit_in=np.asarray(mean),
        precision=np.asarray(precision),
        shape=np.asarray(before.shape + count / 2),
        rate=np.asarray(before.rate + (squares + moved) / 2),
        expected_rise_in=np.asarray(before.expected_rise_in + np.zeros_like(mean)),
    )


def surprise(
    known: Calibration,
    units: ArrayLike,
    rise_in: ArrayLike,
    *,
    settled: ArrayLike = True,
    pressure_ratio: ArrayLike = 1.0,
) -> Surprise:
    """Compare one dose with what was expected of it.

    Parameters
    ----------
    known : Calibration
        What was known before the dose.
    units, rise_in : array_like
        Given, and seen [in].
    settled, pressure_ratio : array_like, optional
        As in `DoseLog`.

    Returns
    -------
    Surprise
        Expected rise and both tails. A rise that falls far short after exercise, say a chance of
        less under 1 %, means a bound strut or gas that went elsewhere: no more gas.

    Raises
    ------
    CalculationError
        If a figure is out of range.

    References
    ----------
    .. [1] Gelman et al. (2013): posterior prediction.

    Examples
    --------
    >>> after = surprise(prior_calibration(), 6, 0.2)
    >>> round(float(after.expected_in), 2), round(float(after.chance_of_less), 3)
    (1.5, 0.026)
    """
    checks = Checks()
    count = checks.positive("units", units)
    seen = checks.finite("rise_in", rise_in)
    ratio = checks.positive("pressure_ratio", pressure_ratio)
    checks.settle()
    expected = known.rise_per_unit_in * count * ratio
    noise = _noise(known.expected_rise_in, count, np.asarray(settled))
    variance = known.rate / known.shape * ((count * ratio) ** 2 / known.precision + noise)
    standard = (seen - expected) / np.sqrt(variance)
    more = student_t_upper_tail(standard, known.degrees_of_freedom)
    return Surprise(np.asarray(expected), np.asarray(1 - more), more)


def falls_short(prior: Calibration, log: DoseLog) -> BoolArray:
    """Say of each dose whether it moved the strut less than any such supply would.

    Parameters
    ----------
    prior : Calibration
        What was expected before any dose, from `prior_calibration`.
    log : DoseLog
        Doses, along the last axis.

    Returns
    -------
    ndarray of bool
        True where strokes and length disagree: the strut is bound, gas went elsewhere, or the strokes were
        miscounted. Such a dose must stop the filling and teach nothing: learned from, it would make the next
        dose many times too large.

    Raises
    ------
    CalculationError
        If a figure is out of range.

    Notes
    -----
    The normal prior of `learn` puts weight on pumps that move next to nothing, so that `surprise` is slow to tell
    a bound strut from a small pump. No pump moves nothing: here the rise per unit is lognormal about the same
    expectation with the same relative spread, and a dose falls short below its lower 1 %, less two standard
    deviations of strokes and readings; both bounds are this project's choice. More rise than expected is never
    doubted: to learn it makes doses smaller.

    References
    ----------
    .. [1] N. L. Johnson, S. Kotz, N. Balakrishnan, *Continuous Univariate Distributions*, vol. 1, 2nd ed.,
           Wiley, 1994, chapter 14: lognormal, variance of the logarithm ln(1 + v^2).

    Examples
    --------
    Five strokes of a pump of which nothing is known: 1.25 in were expected.

    >>> falls_short(prior_calibration(), DoseLog([5, 5, 5], [0.1, 0.5, 3.0])).tolist()
    [True, False, False]
    """
    checks = Checks()
    units = checks.not_negative("units", log.units)
    rise = checks.finite("rise_in", log.rise_in)
    ratio = checks.positive("pressure_ratio", log.pressure_ratio)
    checks.settle()
    expected = prior.expected_rise_in[..., np.newaxis]
    variation_squared = 1 / (prior.precision * prior.expected_rise_in**2)[..., np.newaxis]
    least = expected * np.exp(LEAST_QUANTILE * np.sqrt(np.log1p(variation_squared)))
    allowed = 2 * np.sqrt(_noise(expected, units, np.asarray(log.settled)))
    return np.asarray((units > 0) & (rise < units * ratio * least - allowed))


def process_variance(expected_rise_in: FloatArray, units: FloatArray) -> FloatArray:
    """Return the variance that strokes add to a settled extension, in units of the noise scale."""
    return np.asarray(PER_UNIT_VARIATION**2 * expected_rise_in**2 * units)


def _noise(expected_rise_in: FloatArray, units: FloatArray, settled: BoolArray) -> FloatArray:
    two_readings = 2 * READING_SD_IN**2
    return two_readings + process_variance(expected_rise_in, units) + np.where(settled, 0.0, UNSETTLED_SD_IN**2)
