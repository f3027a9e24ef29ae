"""Learn a fleet's habits from its own history: how noisy its readings are, how much its struts seep.

Thermometers in the wrong place, guessed fuel, hurried rulers and worn seals make a fleet noisier than the
model supposes, and each would raise more false alarms than the operator chose. So the *noise* is calibrated
first, because it is physical, needs few struts and helps every estimate; a strut without history of its own
then starts from its fleet's noise instead of the model's. What is left is put right at the *threshold*
(:mod:`calculations.drift.mirror`).

Notes
-----
Means over struts are trimmed and spreads are taken from quantiles, so that a few leaking or sticky struts do
not make a quiet fleet look noisy. The spread of the seep is the spread of the struts' slopes less what their
own uncertainty explains (method of moments), kept within bounds.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from calculations.drift.filter import SLOPE
from calculations.drift.histories import FloatArray, Histories
from calculations.drift.lanes import DAYS_PER_YEAR, season_f
from calculations.drift.model import STRUT_MODEL, DriftModel
from calculations.drift.settings import FleetHabits
from calculations.drift.sweep import Swept, sweep

LEAST_STRUTS: Final = 6
LEAST_READINGS: Final = 15
LEAST_FLEET_READINGS: Final = 300
LEAST_SEASON_DAYS: Final = 300.0
SETTLED_DAYS: Final = 20.0
TRIMMED: Final = 0.15
TRUST_RANGE: Final = (0.3, 1.0)


@dataclass(frozen=True)
class Teachable:
    """What is believed of a fleet before its history speaks, and how far that may move it; units of the model."""

    before: FleetHabits
    factor_range: tuple[float, float]
    seep_mean_range: tuple[float, float]
    seep_sd_range: tuple[float, float]
    wide_seep_sd: float
    """Prior of the slope while the fleet's seep is being learned, so that it speaks for itself."""


STRUTS_TEACH: Final = Teachable(FleetHabits(), (0.5, 6.0), (-0.02, 0.0), (0.002, 0.012), 0.02)


def learn_noise(
    histories: Histories, model: DriftModel = STRUT_MODEL, teachable: Teachable = STRUTS_TEACH
) -> FleetHabits:
    """Return the fleet's habits as its history shows them; the model's own where the fleet is too small."""
    before = teachable.before
    habits = _with_season(histories, before)
    habits = _with_trust(histories, sweep(histories, model, habits), habits)
    for _ in range(2):
        wide = replace(
            habits, seep_mean_per_month=before.seep_mean_per_month, seep_sd_per_month=teachable.wide_seep_sd
        )
        habits = _with_noise(sweep(histories, model, wide), habits, teachable)
    return habits


def _with_season(histories: Histories, habits: FleetHabits) -> FleetHabits:
    """Fit the yearly wave of recorded temperatures, and the usual load."""
    day, offset = histories.readings.day, histories.readings.temperature_offset_f
    if len(day) < LEAST_FLEET_READINGS or np.ptp(day) < LEAST_SEASON_DAYS:
        return habits
    turn = 2.0 * np.pi * day / DAYS_PER_YEAR
    design = np.stack([np.ones(len(day)), np.cos(turn), np.sin(turn)], axis=1)
    mean, cosine, sine = (float(c) for c in np.linalg.lstsq(design, offset, rcond=None)[0])
    usual = float(np.mean(histories.readings.load_offset_lbf))
    return replace(habits, season_mean_f=mean, season_cos_f=cosine, season_sin_f=sine, usual_load_lbf=usual)


def _with_trust(histories: Histories, swept: Swept, habits: FleetHabits) -> FleetHabits:
    """Regress what is left of the readings on their departures in temperature and load, over the whole fleet.

    An error in the recorded temperature comes back through the correction with the sheet's slope; in units
    of that slope the coefficient is minus the share of the departures that is error.
    """
    prepared, readings, struts = swept.prepared, histories.readings, histories.struts
    known = habits.season_cos_f != 0.0 or habits.season_sin_f != 0.0
    if not known or len(prepared.row) < LEAST_FLEET_READINGS:
        return habits
    series = readings.series[prepared.row]
    left = prepared.value - swept.level_before
    bound = 3.0 * np.sqrt(prepared.variance)
    warm = struts.temperature_slope_in_per_f[series] * (
        readings.temperature_offset_f[prepared.row] - season_f(prepared.day, habits)
    )
    heavy = struts.load_slope_in_per_lbf[series] * (readings.load_offset_lbf[prepared.row] - habits.usual_load_lbf)
    calm = (np.abs(left) < bound) & (prepared.since_work_days > SETTLED_DAYS)
    weight = calm / prepared.variance
    design = np.stack([warm, heavy], axis=1)
    normal = design.T @ (design * weight[:, None]) + np.eye(2) * 1e-9
    coefficient = np.linalg.solve(normal, design.T @ (left * weight))
    trust = np.clip(1.0 + coefficient, *TRUST_RANGE)
    return replace(habits, temperature_trust=float(trust[0]), load_trust=float(trust[1]))


def _with_noise(swept: Swept, habits: FleetHabits, teachable: Teachable) -> FleetHabits:
    bounds, factor, count = teachable.factor_range, swept.own_factor, swept.noise_count
    exercised = _typical_factor(factor[0], count[0], habits.noise_factor_exercised, bounds)
    resting = _typical_factor(factor[1], count[1], habits.noise_factor_resting, bounds)
    seep_mean, seep_sd = _typical_seep(swept, habits, teachable)
    return replace(
        habits,
        noise_factor_exercised=exercised,
        noise_factor_resting=resting,
        seep_mean_per_month=seep_mean,
        seep_sd_per_month=seep_sd,
    )


def _typical_factor(factor: FloatArray, count: FloatArray, otherwise: float, bounds: tuple[float, float]) -> float:
    """Trimmed mean over struts that have enough readings of the class."""
    own = np.sort(factor[count >= LEAST_READINGS])
    if len(own) < LEAST_STRUTS:
        return otherwise
    cut = int(TRIMMED * len(own))
    return float(np.clip(own[: len(own) - cut].mean(), *bounds))


def _typical_seep(swept: Swept, habits: FleetHabits, teachable: Teachable) -> tuple[float, float]:
    """Undo the prior's pull on each strut's slope, then take median and quantile spread."""
    prior, lowest_sd = teachable.wide_seep_sd**2, teachable.seep_sd_range[0]
    variance = swept.covariance[SLOPE, SLOPE]
    told = variance < 0.5 * prior
    if told.sum() < LEAST_STRUTS:
        return habits.seep_mean_per_month, habits.seep_sd_per_month
    own_precision = 1.0 / variance[told] - 1.0 / prior
    pull = teachable.before.seep_mean_per_month / prior
    slope = (swept.state[SLOPE, told] / variance[told] - pull) / own_precision
    middle = np.median(slope)
    # 1.2816: upper tenth of the normal; the upper side, for leaks sit on the lower.
    spread = (np.quantile(slope, 0.9) - middle) / 1.2816
    excess = spread**2 - np.median(1.0 / own_precision)
    sd = np.sqrt(max(excess, lowest_sd**2))
    return float(np.clip(middle, *teachable.seep_mean_range)), float(np.clip(sd, *teachable.seep_sd_range))
