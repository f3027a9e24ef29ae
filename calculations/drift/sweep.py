"""One sweep over all histories: filter and bank in chunks, evidence after every reading, alerts by hysteresis."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, fields, replace
from typing import Final

import numpy as np

from calculations.drift.bank import Evidence, run_bank
from calculations.drift.filter import LEVEL, LOAD, STATES, TEMPERATURE, Filtered, Priors, default_priors, run_filter
from calculations.drift.histories import BoolArray, FloatArray, Histories, IntArray
from calculations.drift.lanes import Lanes, Prepared, lane_groups, lay_out, prepare
from calculations.drift.model import STRUT_MODEL, DriftModel
from calculations.drift.on_stop import topped_out
from calculations.drift.settings import FleetHabits

LANES: Final = 2000
"""Series per chunk: enough to drown the interpreter's share, few enough for the processor's cache."""
THREADS: Final = 2
LONGER_THAN_TUBE = 1.15
"""A reading this many times the full extension is no reading of this strut."""


@dataclass(frozen=True)
class Chunk:
    """Series side by side with what was computed on them."""

    lanes: Lanes
    filtered: Filtered
    told: Evidence

    def only(self, columns: IntArray) -> "Chunk":
        """Return the chosen lanes only, in the same order."""
        present = self.lanes.position[:, columns] >= 0
        steps = int(present.sum(axis=0).max())
        lanes = {f.name: getattr(self.lanes, f.name) for f in fields(Lanes)}
        lanes = {name: v[:steps, columns] for name, v in lanes.items() if v.ndim == 2}
        filtered = {f.name: getattr(self.filtered, f.name) for f in fields(Filtered)}
        filtered = {
            name: v[..., columns] if name in _PER_SERIES else v[:steps, ..., columns] for name, v in filtered.items()
        }
        chosen = Lanes(series=self.lanes.series[columns], active=present[:steps].sum(axis=1), **lanes)
        told = Evidence(
            self.told.after_each[:steps, columns], self.told.remembered[columns], self.told.of_each_rate[:, columns]
        )
        return Chunk(chosen, Filtered(**filtered), told)


@dataclass(frozen=True)
class Swept:
    """Per usable reading (flat) and per series, after one sweep."""

    prepared: Prepared
    usable: BoolArray
    evidence: FloatArray
    level: FloatArray
    level_variance: FloatArray
    level_before: FloatArray
    """Level as known just before the reading."""
    outlier: BoolArray
    confirmed: BoolArray
    surprise: FloatArray
    """How far the reading was from what was expected [standard deviations]."""
    weight: FloatArray
    state: FloatArray
    """(states, series)"""
    covariance: FloatArray
    noise_factor: FloatArray
    own_factor: FloatArray
    """The noise factor without the prior's share."""
    noise_count: FloatArray
    of_each_rate: FloatArray
    """Of :class:`~calculations.drift.bank.Evidence`, (rates, series)."""
    kept: list[Chunk]
    """Series that may need a closer look, with all that was computed on them."""

    @property
    def alone(self) -> BoolArray:
        """Readings far off that no other reading has agreed with so far: they count for nothing."""
        return self.outlier & ~self.confirmed

    @property
    def lone(self) -> BoolArray:
        """Readings far off that the next does not agree with either."""
        agreed = np.zeros(len(self.alone), bool)
        agreed[:-1] = self.confirmed[1:]  # the first of a series confirms none
        return self.alone & ~agreed


def possible_readings(histories: Histories, model: DriftModel = STRUT_MODEL) -> BoolArray:
    """Return which readings can be readings of a strut that is free to move."""
    raw = histories.readings.raw_in
    full = histories.struts.full_extension_in[histories.readings.series]
    possible = np.isfinite(raw) & (raw > 0.0) & ~(raw > LONGER_THAN_TUBE * full)
    return possible & ~topped_out(histories) & ~read_hot(histories, model)


def read_hot(histories: Histories, model: DriftModel) -> BoolArray:
    """Return which readings were taken where nothing is known of the part's own temperature."""
    return np.asarray(~histories.readings.exercised & np.isinf(model.friction_resting_sd))


def strut_priors(histories: Histories, model: DriftModel, habits: FleetHabits) -> Priors:
    """Return what is believed of each strut before its first reading."""
    priors = default_priors(histories.count, model)
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


def chunks(prepared: Prepared, priors: Priors, model: DriftModel, lanes: int = LANES) -> Iterator[Chunk]:
    """Yield the sweep chunk by chunk; array sums let go of the interpreter, so threads do share the cores."""

    def computed(chosen: IntArray) -> Chunk:
        chunk = lay_out(prepared, chosen)
        own = Priors(priors.mean[:, chosen], priors.variance[:, chosen], priors.noise_factor[:, chosen])
        filtered = run_filter(chunk, own, model)
        return Chunk(chunk, filtered, run_bank(chunk, filtered, model))

    groups = lane_groups(prepared, lanes)
    if len(groups) < 2:
        yield from map(computed, groups)
        return
    with ThreadPoolExecutor(THREADS) as pool:
        yield from pool.map(computed, groups)


def sweep(histories: Histories, model: DriftModel, habits: FleetHabits, *, keep_above: float = np.inf) -> Swept:
    """Run filter and bank over every history.

    Parameters
    ----------
    keep_above : float
        Keep all that was computed of series whose last evidence is above this, for a closer look.
    """
    model = with_habits(model, habits)
    usable = possible_readings(histories, model)
    prepared = prepare(histories, usable, model, habits)
    priors = strut_priors(histories, model, habits)
    swept = _unswept(prepared, usable, priors, len(model.rates_per_month))
    for chunk in chunks(prepared, priors, model):
        _keep(swept, chunk)
        last = (chunk.lanes.position >= 0).sum(axis=0) - 1
        candidates = np.nonzero(chunk.told.after_each[last, np.arange(len(last))] >= keep_above)[0]
        if len(candidates):
            swept.kept.append(chunk.only(candidates))
    return swept


def _unswept(prepared: Prepared, usable: BoolArray, priors: Priors, rates: int) -> Swept:
    size, count = len(prepared.row), priors.mean.shape[1]
    covariance = np.zeros((STATES, STATES, count))
    covariance[np.arange(STATES), np.arange(STATES)] = priors.variance
    return Swept(
        prepared=prepared,
        usable=usable,
        evidence=np.full(size, -np.inf),
        level=np.zeros(size),
        level_variance=np.zeros(size),
        level_before=np.zeros(size),
        outlier=np.zeros(size, bool),
        confirmed=np.zeros(size, bool),
        surprise=np.zeros(size),
        weight=np.zeros(size),
        state=priors.mean.copy(),
        covariance=covariance,
        noise_factor=priors.noise_factor.copy(),
        own_factor=np.ones((2, count)),
        noise_count=np.zeros((2, count)),
        of_each_rate=np.zeros((rates, count)),
        kept=[],
    )


_PER_READING: Final = ("level", "level_variance", "level_before", "outlier", "confirmed", "surprise", "weight")
_PER_SERIES: Final = ("state", "covariance", "noise_factor", "own_factor", "noise_count")


def _keep(swept: Swept, chunk: Chunk) -> None:
    """Write a chunk's results to their places in the whole."""
    here = chunk.lanes.position >= 0
    where = chunk.lanes.position[here]
    swept.evidence[where] = chunk.told.after_each[here]
    for name in _PER_READING:
        getattr(swept, name)[where] = getattr(chunk.filtered, name)[here]
    swept.of_each_rate[:, chunk.lanes.series] = chunk.told.of_each_rate
    for name in _PER_SERIES:
        getattr(swept, name)[..., chunk.lanes.series] = getattr(chunk.filtered, name)


def series_ends(offsets: IntArray) -> tuple[BoolArray, IntArray]:
    """Return which series have readings at all, and the index of the last reading of each (0 where none)."""
    has = np.diff(offsets) > 0
    return has, np.where(has, offsets[1:] - 1, 0)
