"""The figures of the drift model: how extensions are believed to behave and how people misread them.

Sources: the project's own simulation study (robust change-point bank). They are beliefs, not laws; the
fleet's own history corrects the ones that matter most (:mod:`calculations.drift.fleet_noise`).
"""

from dataclasses import dataclass, field
from typing import Final

import numpy as np

from calculations.drift.histories import FloatArray, Work

DAYS_PER_MONTH: Final = 30.44


@dataclass(frozen=True)
class Baseline:
    """What one kind of work does to the level that a series was believed to have."""

    reopen_sd: float
    settle_sd: float
    restarts: bool = False
    """A repair: what was losing before need not lose any more, so the evidence starts again."""


STRUT_BASELINES: Final[dict[Work, Baseline]] = {
    Work.GAS_ADDED: Baseline(0.6, 0.12),
    Work.GAS_RELEASED: Baseline(0.6, 0.12),
    # Fresh fluid takes up gas for weeks: the strut settles down by itself, by up to several tenths.
    Work.FLUID_ADDED: Baseline(0.8, 0.30),
    Work.FLUID_CHANGED: Baseline(1.0, 0.40, restarts=True),
    Work.SEALS: Baseline(1.0, 0.30, restarts=True),
    Work.CLEANING: Baseline(0.3, 0.12),
    Work.VALVE_CORE: Baseline(0.8, 0.12, restarts=True),
    Work.OVERHAUL: Baseline(1.0, 0.30, restarts=True),
    Work.INSTALLED: Baseline(0.6, 0.12),
    Work.INFLATED: Baseline(0.6, 0.12),
    Work.OTHER: Baseline(0.0, 0.0),
}

LEVEL_MOVING: Final = frozenset(kind for kind, effect in STRUT_BASELINES.items() if effect.reopen_sd > 0.0)
"""Work after which a strut has to find its place again."""


@dataclass(frozen=True)
class Rules:
    """Bounds of the classification; lengths in inches for struts, percent for tyres."""

    few_readings: int = 5
    few_within_days: float = 120.0
    settling_days: float = 14.0
    sticky_factor: float = 1.45
    sticky_readings: int = 10
    looks_low: float = 0.25
    still_low_share: float = 0.6
    service_now_loss: float = 0.3
    """Above this loss per month no date is honest: service now."""
    service_now_gap: float = 0.15
    """Nearer to the low limit than this no date is honest either."""


@dataclass(frozen=True)
class Steps:
    """What one reading may add to the evidence of an alert."""

    largest: float = 1.5
    low: float = 0.75
    """Only a reading this many standard deviations low may add anything."""
    doubtful: float = 1.5
    """One this many low is in doubt, until another bears it out."""
    borne_out_share: float = 0.36
    """A reading bears out its neighbour if it is at least this share as low."""
    suspects_wait: bool = True
    """One that is so far off that it is to be read again is in doubt even if the one before bears it out."""


@dataclass(frozen=True)
class DriftModel:
    """Beliefs about one kind of series. Lengths in inches for struts, natural log of pressure for tyres."""

    first_level_sd: float = 0.4
    seep_mean_per_month: float = -0.004
    seep_sd_per_month: float = 0.003
    level_walk_per_month: float = 0.012
    settle_days: float = 10.0
    baselines: dict[Work, Baseline] = field(default_factory=lambda: STRUT_BASELINES)
    reader_sd: float = 0.05
    friction_exercised_sd: float = 0.06
    friction_resting_sd: float = 0.20
    huber: float = 2.0
    outlier: float = 4.0
    outlier_above: float = 4.0
    """The same for readings that are too high."""
    level_excuses: float = 1.0
    """Share of the level's own variance that excuses a reading far too low; the noise of readings always does."""
    agreeing: float = 2.0
    agreeing_share: float = 0.0
    """A reading agrees with the outlier before it if at least this share as far off; of two high ones, either."""
    unrecorded_top_up_sd: float = 0.3
    doubtful: float = 1.25
    """This many standard deviations from a level that rests on so few readings, either may be wrong."""
    doubted_readings: int = 2
    doubted_level_sd: float = 0.6
    excuses: int = 2
    """So often a contradiction tells little of a leak, and no more: a leak contradicts the level after any work."""
    noise_prior_count: float = 12.0
    noise_forgetting: float = 0.995
    noise_clip: float = 9.0
    slot_days: float = 30.0
    slots: int = 14
    rates_per_month: tuple[float, ...] = (0.025, 0.065, 0.16, 0.4, 1.1)
    rate_weights: tuple[float, ...] = (1.0, 1.0, 1.0, 1.0, 1.0)
    leak_bound: float = 3.0
    """In the search for leaks an error beyond so many standard deviations says no more."""
    look_huber: float = 1.75
    """Huber's bound in the close look at a loss that stands."""
    steps: Steps = field(default_factory=Steps)
    rules: Rules = field(default_factory=Rules)

    def baseline_table(self) -> FloatArray:
        """Return what each kind of work does, indexed by its number: reopening, settling, whether it restarts."""
        table = np.zeros((3, max(Work) + 1))
        for kind, effect in self.baselines.items():
            table[:, kind] = effect.reopen_sd, effect.settle_sd, effect.restarts
        return table

    def log_prior(self) -> FloatArray:
        """Return ln of the prior weight of each rate; the slots share it evenly."""
        weights = np.asarray(self.rate_weights)
        return np.asarray(np.log(weights / weights.sum()))


STRUT_MODEL: Final = DriftModel()
