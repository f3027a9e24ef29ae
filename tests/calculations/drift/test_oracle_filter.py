"""The lockstep filter against the same method in plain Python, one strut and one reading at a time."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from calculations.drift import Events, FleetHabits, Histories, Readings, Struts, Work, arrange
from calculations.drift.model import STRUT_MODEL, DriftModel
from calculations.drift.sweep import sweep
from tests.calculations.drift.slow_filter import follow

HABITS = FleetHabits(
    noise_factor_exercised=1.3,
    noise_factor_resting=0.7,
    noise_prior_count=9.0,
    temperature_trust=0.8,
    load_trust=0.6,
    season_mean_f=-5.0,
    season_cos_f=-22.0,
    season_sin_f=6.0,
    usual_load_lbf=15.0,
)
OTHER_MODEL = replace(
    STRUT_MODEL,
    settle_days=25.0,
    huber=1.2,
    leak_bound=2.2,
    look_huber=1.1,
    outlier=3.0,
    outlier_above=2.5,
    level_excuses=0.6,
    agreeing=1.0,
    agreeing_share=0.5,
    noise_forgetting=0.97,
    slot_days=7.0,
    slots=16,
    rates_per_month=(0.05, 0.3, 2.0),
    rate_weights=(1.0, 2.0, 0.5),
)


def troubled_histories(seed: int, struts: int = 8, readings: int = 70) -> Histories:
    """Draw struts with leaks, every kind of work, blunders alone and in pairs, and impossible readings."""
    rng = np.random.default_rng(seed)
    size = struts * readings
    series = np.repeat(np.arange(struts), readings)
    day = 18_000.0 + np.round(rng.uniform(0.0, 900.0, size), 3)
    leak = rng.choice([0.0, 0.05, 0.3], struts)[series] / 30.0
    value = 4.5 - leak * np.maximum(day - 18_500.0, 0.0) + rng.normal(0.0, 0.1, size)
    blunder = rng.random(size)
    value += np.where(blunder < 0.03, rng.choice([-1.5, 1.5], size), 0.0)
    # Blunders in pairs: what a second reading confirms, and gas that nobody wrote down.
    pair = np.nonzero(rng.random(size) < 0.02)[0]
    order = np.lexsort([day, series])
    for place in pair:
        value[order[place : place + 2]] += rng.choice([-2.0, 2.0])
    raw = np.where(rng.random(size) < 0.03, rng.choice([-1.0, 0.0, 12.0], size), 3.0)
    raw[series == 0] = -1.0
    one = np.ones(struts)
    full = np.where(np.arange(struts) % 2, 8.0, np.nan)
    jobs = 6 * struts
    worked_on = rng.integers(0, struts, jobs)
    done = np.round(rng.uniform(17_950.0, 18_900.0, jobs))
    # Some work is written down at the very minute of a reading, which then was before it.
    done[::3] = [rng.choice(day[series == strut]) for strut in worked_on[::3]]
    return arrange(
        Readings(
            series, day, value, raw, rng.normal(-5.0, 20.0, size), rng.normal(15.0, 60.0, size),
            rng.random(size) < 0.7, rng.uniform(0.0, 6.0, size), rng.uniform(0.0, 12.0, size),
            rng.choice([0.0625, 0.125], size),
        ),
        Struts(4.5 * one, 4.0 * one, 5.0 * one, full, 0.017 * one, -0.0075 * one, 0.002 * one, 0.0012 * one),
        Events(worked_on, done, np.resize([int(kind) for kind in Work], jobs)),
    )  # fmt: skip


BOTH_MODELS = pytest.mark.parametrize("model", [STRUT_MODEL, OTHER_MODEL], ids=["struts", "other"])


@BOTH_MODELS
@pytest.mark.parametrize("seed", range(4))
def test_every_reading_and_every_strut_is_told_the_same(seed: int, model: DriftModel) -> None:
    histories = troubled_histories(seed)

    swept = sweep(histories, model, HABITS)

    offsets = swept.prepared.offsets
    for series in range(histories.count):
        here = slice(offsets[series], offsets[series + 1])
        told, strut = follow(histories, series, model, HABITS)
        for name in ("level", "level_before", "level_variance", "surprise", "weight", "outlier", "confirmed"):
            slow = [getattr(each, name) for each in told]
            assert_allclose(getattr(swept, name)[here], slow, rtol=1e-6, atol=1e-9, err_msg=name)
        assert_allclose(swept.state[:, series], strut.state, rtol=1e-6, atol=1e-9)
        assert_allclose(swept.covariance[:, :, series], strut.covariance, rtol=1e-6, atol=1e-9)
        assert_allclose(swept.noise_factor[:, series], np.divide(strut.noise_sum, strut.noise_count), rtol=1e-6)


def test_the_histories_hold_what_they_are_meant_to_try() -> None:
    outliers = confirmed = repairs = impossible = 0
    for seed in range(4):
        histories = troubled_histories(seed)
        swept = sweep(histories, STRUT_MODEL, HABITS)
        outliers += int(swept.outlier.sum())
        confirmed += int((swept.outlier & swept.confirmed).sum())
        repairs += int(swept.prepared.restarts.sum())
        impossible += int((~swept.usable).sum())
        assert set(histories.work.kind.tolist()) == {int(kind) for kind in Work}
        assert np.diff(swept.prepared.offsets)[0] == 0
    assert min(outliers, confirmed, repairs, impossible) >= 10
