"""The lockstep bank against leaks that are followed one by one in plain Python."""

from dataclasses import fields

import numpy as np
import pytest
from numpy.testing import assert_allclose

from calculations.drift.close_look import look_closely
from calculations.drift.filter import Priors, run_filter
from calculations.drift.forecast import fine
from calculations.drift.histories import FloatArray
from calculations.drift.lanes import Lanes
from calculations.drift.model import STRUT_MODEL, DriftModel
from calculations.drift.replay import cut_off
from calculations.drift.sweep import sweep, with_habits
from calculations.drift.tyre_model import TYRE_MODEL
from tests.calculations.drift.slow_bank import evidence_of, log_ratios_of, of_each_rate
from tests.calculations.drift.test_oracle_filter import BOTH_MODELS, HABITS, troubled_histories

BOTH_SHIPPED = pytest.mark.parametrize("model", [STRUT_MODEL, TYRE_MODEL], ids=["struts", "tyres"])
NO_MATTER = [
    field.name for field in fields(Lanes) if field.type is FloatArray and field.name not in ("day", "variance")
]
SINGLE_PRECISION = 2e-4
"""The bank sums single precision; its evidence is compared with thresholds of 3 and more."""


@BOTH_MODELS
@pytest.mark.parametrize("seed", range(4))
def test_every_leak_is_weighed_the_same(seed: int, model: DriftModel) -> None:
    histories = troubled_histories(seed)

    swept = sweep(histories, model, HABITS)

    offsets = swept.prepared.offsets
    for series in range(histories.count):
        slow = evidence_of(histories, series, model, HABITS)
        fast = swept.evidence[offsets[series] : offsets[series + 1]]
        assert_allclose(fast, slow, rtol=SINGLE_PRECISION, atol=SINGLE_PRECISION)


@pytest.mark.parametrize("days", [900.0, 50.0], ids=["old", "young"])
@BOTH_MODELS
def test_leaks_of_each_rate_that_began_are_weighed_the_same(model: DriftModel, days: float) -> None:
    whole = troubled_histories(2)
    histories = cut_off(whole, np.arange(whole.count), np.full(whole.count, whole.readings.day.min() + days))

    swept = sweep(histories, model, HABITS)

    for series in range(histories.count):
        slow = of_each_rate(histories, series, model, HABITS)
        assert_allclose(swept.of_each_rate[:, series], slow, rtol=20 * SINGLE_PRECISION)


@BOTH_MODELS
def test_a_close_look_weighs_each_onset_as_if_it_were_alone(model: DriftModel) -> None:
    histories = troubled_histories(1)
    swept = sweep(histories, model, HABITS, keep_above=-np.inf)
    doubted = 0

    for chunk in swept.kept:
        heard = ~swept.lone[chunk.lanes.position]
        leaks = look_closely(chunk.lanes, chunk.filtered, heard, chunk.told.remembered, with_habits(model, HABITS))
        doubted += int(chunk.filtered.doubted.sum())
        for lane, series in enumerate(chunk.lanes.series):
            for slot in np.flatnonzero(np.isfinite(leaks.onset_day[:, lane]))[::3]:
                slow = log_ratios_of(histories, int(series), model, HABITS, leaks.onset_day[slot, lane])
                fast = leaks.log_ratio[:, slot, lane]
                assert_allclose(fast, slow, rtol=SINGLE_PRECISION, atol=5 * SINGLE_PRECISION)

    assert min(swept.lone.sum(), doubted) > 5


def onsets_of(last_day: float, remembered: float, repaired: float = 0.0) -> list[float]:
    """Return the onsets of a close look at a strut that was read on its first day, after repair, and on its last."""
    day = np.array([0.0, repaired, last_day])
    lanes = Lanes(
        series=np.array([0]),
        active=np.ones(3, np.int64),
        position=np.arange(3)[:, None],
        day=18_000.0 + day[:, None],
        restarts=np.array([[False], [repaired > 0.0], [False]]),
        variance=np.ones((3, 1)),
        **dict.fromkeys(NO_MATTER, np.zeros((3, 1))),
    )
    filtered = run_filter(lanes, Priors(np.zeros((5, 1)), np.ones((5, 1)), np.ones((2, 1))), STRUT_MODEL)
    leaks = look_closely(lanes, filtered, lanes.position >= 0, np.array([remembered], np.float32), fine(STRUT_MODEL))
    onset = leaks.onset_day[:, 0] - 18_000.0
    return sorted(onset[np.isfinite(onset)].tolist())


def test_a_close_look_takes_every_tenth_day_of_a_short_history_once() -> None:
    assert onsets_of(last_day=57.0, remembered=0.0) == [0.0, 10.0, 20.0, 30.0, 40.0, 50.0]


def test_a_close_look_takes_the_days_around_an_older_onset_too() -> None:
    recent = [10.0 * number for number in range(32, 71)]

    assert onsets_of(last_day=701.0, remembered=210.0) == [190.0, 200.0, 210.0, 220.0, 230.0, *recent]
    assert onsets_of(last_day=701.0, remembered=310.0) == [290.0, 300.0, 310.0, *recent]
    assert onsets_of(last_day=701.0, remembered=0.0) == [0.0, 10.0, 20.0, *recent]


def test_a_close_look_begins_no_leak_before_a_repair() -> None:
    assert set(onsets_of(last_day=701.0, remembered=655.0, repaired=655.0)) == {
        655.0,
        660.0,
        670.0,
        680.0,
        690.0,
        700.0,
    }
    assert min(onsets_of(last_day=701.0, remembered=215.0, repaired=205.0)) == 205.0


@BOTH_SHIPPED
def test_a_close_look_reaches_as_far_back_as_the_ring_of_the_bank(model: DriftModel) -> None:
    look = fine(model)

    assert look.slots * look.slot_days >= (model.slots - 1) * model.slot_days
