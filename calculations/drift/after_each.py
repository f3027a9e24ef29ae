"""What would have been found after each reading: every finding that needs no estimate of a loss, from one sweep.

Only what readings tell is here. The calendar ends a settling, too, and work that is done twice asks for a look; both
are told between readings, and neither is of a level to open a caution.
"""

import numpy as np

from calculations.drift.episodes import stands_after_each
from calculations.drift.findings import Symptoms, classify, is_sticky
from calculations.drift.histories import BoolArray, FloatArray, Histories, IntArray
from calculations.drift.model import DriftModel
from calculations.drift.normal import NORMAL_05
from calculations.drift.settings import FleetHabits
from calculations.drift.sweep import Swept


def findings_after_each(
    histories: Histories, swept: Swept, losing: BoolArray, habits: FleetHabits, model: DriftModel
) -> IntArray:
    """Return the index into :data:`calculations.drift.findings.FINDINGS` after each usable reading.

    Where ``losing``, the kind of loss is left open: it takes a closer look than this.
    """
    prepared = swept.prepared
    series = histories.readings.series[prepared.row]
    enough = _enough_after_each(swept, series, model)
    low, high = out_of_limits_after_each(histories, swept)
    nothing = np.zeros(len(series), bool)
    symptoms = Symptoms(
        losing=losing,
        fluid_probability=np.zeros(len(series)),
        evidence_of_kind=nothing,
        fluid_level_checked=nothing,
        standing_low=enough & low,
        standing_high=enough & high,
        suspect=swept.alone,
        too_few=~enough,
        settling=prepared.since_work_days < model.rules.settling_days,
        sticky=_sticky_after_each(swept, habits, model),
        temperature_only=nothing,  # ends no finding that is told, and is not told itself
        near_limit=nothing,
    )
    return classify(symptoms)


def out_of_limits_after_each(histories: Histories, swept: Swept) -> tuple[BoolArray, BoolArray]:
    """Return whether the strut stands below its low limit and above its high one after each usable reading.

    It takes two readings, for one may be the wrong one: after this reading and after the one before it the level is
    surely beyond the limit, this reading itself is beyond it, and so is another since work. It stands until the level
    is back within: one that hangs on its limit then opens one alert and not many.
    """
    prepared, struts = swept.prepared, histories.struts
    series = histories.readings.series[prepared.row]
    half = NORMAL_05 * np.sqrt(swept.level_variance)
    low, high = struts.low_limit_in[series], struts.high_limit_in[series]

    def stands(beyond: FloatArray, read_beyond: BoolArray) -> BoolArray:
        surely = beyond / half
        sure = np.flatnonzero(surely > 1.0)
        # The reading before is of another series only where nothing is known yet.
        by_one = ~read_beyond[sure] | (surely[sure - 1] <= 1.0)
        surely[sure[by_one]] = 1.0
        known = _two_since_work(swept, read_beyond)
        return stands_after_each(prepared, np.where(known, surely, -np.inf), opens=1.0, closes=0.0)

    return stands(low - swept.level, prepared.value < low), stands(swept.level - high, prepared.value > high)


def _enough_after_each(swept: Swept, series: IntArray, model: DriftModel) -> BoolArray:
    day, rules = swept.prepared.day, model.rules
    if not len(day):
        return swept.alone
    span = 1.0 + np.ptp(day) + rules.few_within_days  # one number orders all: series first, then day
    key = series * span + (day - day.min())
    good = np.concatenate([[0], np.cumsum(~swept.alone)])
    first = np.maximum(
        np.searchsorted(key, key - rules.few_within_days, side="right"), swept.prepared.offsets[:-1][series]
    )
    return np.asarray(good[1:] - good[first] >= rules.few_readings)


def _two_since_work(swept: Swept, chosen: BoolArray) -> BoolArray:
    """Return whether two chosen readings at least came since the series or the work before began."""
    prepared, at = swept.prepared, np.arange(len(chosen))
    fresh = prepared.reopen_variance > 0
    fresh[prepared.offsets[:-1][np.diff(prepared.offsets) > 0]] = True
    good = np.concatenate([[0], np.cumsum(chosen & ~swept.alone)])
    return np.asarray(good[1:] - good[np.maximum.accumulate(np.where(fresh, at, 0))] >= 2)


def _sticky_after_each(swept: Swept, habits: FleetHabits, model: DriftModel) -> BoolArray:
    """Learn each strut's noise again as the filter does, and keep what it was after each reading."""
    prepared = swept.prepared
    lengths = np.diff(prepared.offsets)
    prior = np.array([[habits.noise_factor_exercised], [habits.noise_factor_resting]])
    weight = np.full((2, len(lengths)), habits.noise_prior_count)
    total, seen = weight * prior, np.zeros((2, len(lengths)))
    spread = np.minimum(swept.surprise**2, model.noise_clip)
    sticky = np.zeros(len(prepared.day), bool)
    for step in range(lengths.max(initial=0)):
        series = np.flatnonzero(lengths > step)
        at = prepared.offsets[series] + step
        own = (prepared.resting[at].astype(int), series)
        total[own] = model.noise_forgetting * total[own] + spread[at] * total[own] / weight[own]
        weight[own] = model.noise_forgetting * weight[own] + 1.0
        seen[own] += 1.0
        sticky[at] = is_sticky(total[:, series] / weight[:, series], seen[:, series], model.rules)
    return sticky
