"""What is learned of a pump, and the dose planned from it, against Bayes' rule summed over a grid.

The oracle knows the model and nothing of conjugacy, normal equations or Student t: prior times likelihood on a
grid of rise per stroke and noise scale, summed. The trapezoidal rule on these stretched grids converges
exponentially (L. N. Trefethen and J. A. C. Weideman, SIAM Review 56 (2014) 385).
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.special import erfc

from calculations.dosing import (
    Advice,
    Calibration,
    DoseLog,
    Goal,
    SinceExercise,
    learn,
    next_dose,
    next_release,
    prior_calibration,
    surprise,
)

RELATIVE = 1e-6
# The model's figures, as its docstrings state them.
READING_VARIANCE = 0.06**2
UNSETTLED_VARIANCE = 0.20**2
PER_STROKE = 0.12
SHAPE = RATE = 3.0


@dataclass(frozen=True)
class Dose:
    strokes: float
    rise: float
    settled: bool
    ratio: float


@dataclass(frozen=True)
class Pump:
    """What is believed before the log, and the log."""

    expected: float
    variation: float
    log: list[Dose]

    def known(self) -> Calibration:
        columns = ([getattr(dose, name) for dose in self.log] for name in ("strokes", "rise", "settled", "ratio"))
        return learn(prior_calibration(self.expected, self.variation), DoseLog(*columns))

    def noise(self, strokes: float) -> float:
        return (PER_STROKE * self.expected) ** 2 * strokes


class Grid:
    """Posterior of rise per stroke b and noise scale s2, as weights over a grid that reaches far into both tails."""

    def __init__(self, pump: Pump) -> None:
        centre, width = rough_fit(pump)
        stretched = np.linspace(-9.0, 9.0, 321)
        self.rise = (centre + width * np.sinh(stretched))[:, None]
        log_scale = np.linspace(-9.0, 12.0, 321)
        self.scale = np.exp(log_scale)[None, :]
        logarithm = np.log(np.cosh(stretched))[:, None] + log_scale[None, :]  # the grid's own stretch
        logarithm = logarithm - (SHAPE + 1) * np.log(self.scale) - RATE / self.scale
        logarithm = logarithm + self._normal(self.rise - pump.expected, (pump.variation * pump.expected) ** 2)
        for dose in pump.log:
            variance = 2 * READING_VARIANCE + pump.noise(dose.strokes) + (0 if dose.settled else UNSETTLED_VARIANCE)
            logarithm = logarithm + self._normal(dose.rise - self.rise * dose.strokes * dose.ratio, variance)
        self.weight = np.exp(logarithm - logarithm.max())
        self.weight /= self.weight.sum()

    def _normal(self, error: Any, variance: float) -> Any:
        return -0.5 * np.log(self.scale) - 0.5 * error**2 / (self.scale * variance)

    def mean(self, values: Any) -> float:
        return float((self.weight * values).sum())

    def chance_above(self, limit: float, start: float, reach: float, variance: float) -> float:
        """Return the chance that start + reach b + noise lies above a limit."""
        distance = (limit - start - reach * self.rise) / np.sqrt(2 * self.scale * variance)
        return self.mean(0.5 * erfc(distance))


def rough_fit(pump: Pump) -> tuple[float, float]:
    """Return about where the posterior lies and how wide it is: only the grid's placing depends on it."""
    rows = [(pump.expected, (pump.variation * pump.expected) ** -2)]
    for dose in pump.log:
        reach = dose.strokes * dose.ratio
        spread = 2 * READING_VARIANCE + pump.noise(dose.strokes) + UNSETTLED_VARIANCE * (not dose.settled)
        rows.append((dose.rise / reach, reach**2 / spread))
    total = sum(weight for _, weight in rows)
    return sum(value * weight for value, weight in rows) / total, total**-0.5


def random_pumps(count: int, seed: int) -> list[Pump]:
    rng = np.random.default_rng(seed)
    pumps = []
    for _ in range(count):
        expected, truth = rng.uniform(0.1, 0.5), rng.lognormal(0.0, 0.3)
        log = []
        for _ in range(rng.integers(0, 6)):
            strokes, ratio = float(rng.integers(1, 9)), rng.uniform(0.7, 1.4)
            rise = expected * truth * strokes * ratio + rng.normal(0.0, 0.1)
            log.append(Dose(strokes, rise, bool(rng.random() < 0.7), ratio))
        pumps.append(Pump(expected, rng.uniform(0.15, 0.6), log))
    return pumps


@pytest.mark.parametrize("pump", random_pumps(12, seed=31))
def test_what_is_learned_is_the_posterior(pump: Pump) -> None:
    known, grid = pump.known(), Grid(pump)

    assert_allclose(known.rise_per_unit_in, grid.mean(grid.rise), rtol=RELATIVE)
    # Of a Student t with n degrees of freedom the variance is its scale squared times n/(n - 2).
    degrees = float(known.degrees_of_freedom)
    spread = grid.mean((grid.rise - grid.mean(grid.rise)) ** 2)
    assert_allclose(known.uncertainty_in**2 * degrees / (degrees - 2), spread, rtol=RELATIVE)
    # Mean of the inverse gamma: rate/(shape - 1).
    assert_allclose(known.rate / (known.shape - 1), grid.mean(grid.scale), rtol=RELATIVE)


@pytest.mark.parametrize("pump", random_pumps(6, seed=32))
@pytest.mark.parametrize("settled", [True, False])
def test_surprise_is_the_posterior_prediction(pump: Pump, settled: bool) -> None:
    known, grid = pump.known(), Grid(pump)
    for strokes, ratio, share in ((1.0, 1.0, 0.5), (5.0, 0.8, 1.0), (9.0, 1.2, 1.3)):
        seen = share * strokes * ratio * pump.expected
        variance = 2 * READING_VARIANCE + pump.noise(strokes) + (0 if settled else UNSETTLED_VARIANCE)
        more = grid.chance_above(seen, 0.0, strokes * ratio, variance)
        found = surprise(known, strokes, seen, settled=settled, pressure_ratio=ratio)
        assert_allclose(found.chance_of_more, more, rtol=RELATIVE, atol=1e-12)
        assert_allclose(found.chance_of_less, 1 - more, rtol=RELATIVE, atol=1e-12)


@pytest.mark.parametrize("pump", random_pumps(8, seed=33))
@pytest.mark.parametrize(("pending", "share_seen"), [(0.0, 0.0), (2.0, 0.4)])
def test_the_next_dose_is_the_largest_that_the_rules_allow(pump: Pump, pending: float, share_seen: float) -> None:
    """Dose by dose from none upwards: chance, mean and the stop below target, each from the grid."""
    known, grid = pump.known(), Grid(pump)
    target, tolerance, ratio, chance = 4.5, 0.25, 0.9, 0.05
    per_stroke = ratio * grid.mean(grid.rise)
    seen = share_seen * per_stroke * pending  # less than was given, so some of it is hidden
    for extension in (2.0, 3.1, 4.0, 4.4):

        def beyond(strokes: float, extension: float = extension) -> float:
            given = strokes + pending
            variance = READING_VARIANCE + pump.noise(given) + (UNSETTLED_VARIANCE if pending else 0.0)
            return grid.chance_above(target + tolerance, extension - seen, ratio * given, variance)

        standing = extension + per_stroke * pending - seen
        dose = 0
        if standing < target - tolerance / 2:
            while beyond(dose + 1) <= chance and standing + per_stroke * (dose + 1) <= target and dose < 40:
                dose += 1

        plan = next_dose(
            extension,
            Goal(target, tolerance),
            known,
            since=SinceExercise(pending, seen),
            stiction_in=10.0,
            pressure_ratio=ratio,
            chance=chance,
        )
        assert plan.units == dose
        assert (plan.advice == Advice.GIVE) == (dose > 0)
        assert_allclose(plan.expected_in, standing + per_stroke * dose, rtol=RELATIVE)
        assert_allclose(plan.chance_beyond, beyond(dose), rtol=RELATIVE, atol=1e-12)
        assert_allclose(plan.chance_beyond_next, beyond(dose + 1), rtol=RELATIVE, atol=1e-12)
        assert_allclose(plan.needed_units, (target - standing) / per_stroke, rtol=RELATIVE)
        # Four in five settle within the interval, one in ten on either side.
        given = dose + pending
        variance = READING_VARIANCE + pump.noise(given) + (UNSETTLED_VARIANCE if pending else 0.0)
        for limit, above in ((plan.low_in, 0.9), (plan.high_in, 0.1)):
            assert_allclose(
                grid.chance_above(float(limit), extension - seen, ratio * given, variance), above, rtol=RELATIVE
            )


@pytest.mark.parametrize("pump", random_pumps(4, seed=34))
def test_letting_out_overshoots_downwards_with_the_stated_chance(pump: Pump) -> None:
    known, grid = pump.known(), Grid(pump)
    plan = next_release(6.0, Goal(4.5, 0.25), known)
    variance = READING_VARIANCE + pump.noise(float(plan.units))
    still_above = grid.chance_above(4.25, 6.0, -float(plan.units), variance)
    assert_allclose(plan.chance_beyond, 1 - still_above, rtol=RELATIVE, atol=1e-12)
    assert math.isclose(float(plan.expected_in), 6.0 - float(plan.units) * grid.mean(grid.rise), rel_tol=RELATIVE)
