"""One sweep over all histories: filter and bank in chunks, evidence after every reading, alerts by hysteresis."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from calculations.drift.bank import Bank, run_bank
from calculations.drift.filter import LEVEL, LOAD, STATES, TEMPERATURE, Filtered, Priors, default_priors, run_filter
from calculations.drift.histories import BoolArray, FloatArray, Histories, IntArray
from calculations.drift.lanes import Lanes, Prepared, lay_out, prepare
from calculations.drift.model import DriftModel
from calculations.drift.settings import FleetHabits

LANES = 512
LONGER_THAN_TUBE = 1.15
"""A reading this many times the full extension is no reading of this strut."""


@dataclass(frozen=True)
class Swept:
    """Per usable reading (flat) and per series, after one sweep."""

    prepared: Prepared
    usable: BoolArray
    evidence: FloatArray
    level: FloatArray
    level_sd: FloatArray
    outlier: BoolArray
    confirmed: BoolArray
    weight: FloatArray
    innovation_sds: FloatArray
    state: FloatArray
    """(states, series)"""
    covariance: FloatArray
    noise_factor: FloatArray
    noise_count: FloatArray


@dataclass(frozen=True)
class Chunk:
    """One chunk of a sweep with all that was computed on it."""

    lanes: Lanes
    filtered: Filtered
    bank: Bank


def possible_readings(histories: Histories) -> BoolArray:
    """Return which readings can be readings at all."""
    raw = histories.readings.raw_in
    full = histories.struts.full_extension_in[histories.readings.series]
    return np.isfinite(raw) & (raw > 0.0) & ~(raw > LONGER_THAN_TUBE * full)


def strut_priors(histories: Histories, prepared: Prepared, model: DriftModel, habits: FleetHabits) -> Priors:
    """Return what is believed of each strut before its first reading."""
    priors = default_priors(prepared, histories.count, model)
    priors.mean[LEVEL] = histories.struts.target_in
    priors.variance[TEMPERATURE] = histories.struts.temperature_slope_sd**2
    priors.variance[LOAD] = histories.struts.load_slope_sd**2
    priors.noise_factor[0] = habits.noise_factor_exercised
    priors.noise_factor[1] = habits.noise_factor_resting
    return priors


def with_habits(model: DriftModel, habits: FleetHabits) -> DriftModel:
    """Return the model as this fleet's history has corrected it."""
    return replace(
        model,
        noise_prior_count=habits.noise_prior_count,
        seep_mean_per_month=habits.seep_mean_per_month,
        seep_sd_per_month=habits.seep_sd_per_month,
    )


def chunks(
    prepared: Prepared, priors: Priors, model: DriftModel, *, bank_model: DriftModel | None = None, lanes: int = LANES
) -> Iterator[Chunk]:
    """Yield the sweep chunk by chunk."""
    for chunk in lay_out(prepared, lanes):
        own = Priors(
            priors.mean[:, chunk.series], priors.variance[:, chunk.series], priors.noise_factor[:, chunk.series]
        )
        filtered = run_filter(chunk, own, model)
        yield Chunk(chunk, filtered, run_bank(chunk, filtered, bank_model or model))


def sweep(histories: Histories, model: DriftModel, habits: FleetHabits) -> Swept:
    """Run filter and bank over every history."""
    model = with_habits(model, habits)
    usable = possible_readings(histories)
    prepared = prepare(histories, usable, model)
    priors = strut_priors(histories, prepared, model, habits)
    size, count = len(prepared.row), histories.count
    evidence, level, level_sd = np.full(size, -np.inf), np.zeros(size), np.zeros(size)
    weight, sds = np.zeros(size), np.zeros(size)
    outlier, confirmed = np.zeros(size, bool), np.zeros(size, bool)
    state, covariance = priors.mean.copy(), np.zeros((STATES, STATES, count))
    covariance[np.arange(STATES), np.arange(STATES)] = priors.variance
    factor, seen = priors.noise_factor.copy(), np.zeros((2, count))
    for chunk in chunks(prepared, priors, model):
        lanes, filtered = chunk.lanes, chunk.filtered
        here = lanes.position >= 0
        where = lanes.position[here]
        evidence[where] = chunk.bank.evidence[here]
        level[where], level_sd[where] = filtered.level[here], filtered.level_sd[here]
        outlier[where], confirmed[where] = filtered.outlier[here], filtered.confirmed[here]
        weight[where] = filtered.weight[here]
        sds[where] = (filtered.innovation * filtered.inverse_sd)[here]
        state[:, lanes.series] = filtered.state
        covariance[:, :, lanes.series] = filtered.covariance
        factor[:, lanes.series], seen[:, lanes.series] = filtered.noise_factor, filtered.noise_count
    return Swept(
        prepared, usable, evidence, level, level_sd, outlier, confirmed, weight, sds, state, covariance, factor, seen
    )


def open_after_each(prepared: Prepared, evidence: FloatArray, opens: FloatArray, closes: float) -> BoolArray:
    """Return whether an alert stands after each reading: opened above one bound, closed below a lower one.

    Parameters
    ----------
    evidence : array, (readings,)
    opens : array, (readings,)
        Evidence that opens an alert at each reading.
    closes : float
        Evidence below which an open alert closes.
    """
    # Between the bounds the last decided reading speaks; so only the decided ones need looking at.
    decided = np.where(evidence > opens, 1, np.where(evidence < closes, 0, -1))
    first = prepared.offsets[:-1][np.diff(prepared.offsets) > 0]
    undecided_start = first[decided[first] < 0]
    decided[undecided_start] = 0
    marks = np.where(decided >= 0, np.arange(len(decided)), 0)
    return np.asarray(decided[np.maximum.accumulate(marks)] == 1)


def series_ends(offsets: IntArray) -> tuple[BoolArray, IntArray]:
    """Return which series have readings at all, and the index of the last reading of each (0 where none)."""
    has = np.diff(offsets) > 0
    return has, np.where(has, offsets[1:] - 1, 0)
