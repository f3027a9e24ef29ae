"""The lockstep bank against leaks that are followed one by one in plain Python."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from calculations.drift.close_look import look_closely
from calculations.drift.model import DriftModel
from calculations.drift.sweep import sweep, with_habits
from tests.calculations.drift.slow_bank import evidence_of, log_ratios_of
from tests.calculations.drift.test_oracle_filter import BOTH_MODELS, HABITS, troubled_histories

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


@BOTH_MODELS
def test_a_close_look_weighs_each_onset_as_if_it_were_alone(model: DriftModel) -> None:
    histories = troubled_histories(7)
    held_back = 0

    for chunk in sweep(histories, model, HABITS, keep_above=-np.inf).kept:
        leaks = look_closely(chunk.lanes, chunk.filtered, chunk.remembered, with_habits(model, HABITS))
        held_back += int((chunk.filtered.outlier & ~chunk.filtered.confirmed).sum())
        for lane, series in enumerate(chunk.lanes.series):
            for slot in np.flatnonzero(np.isfinite(leaks.onset_day[:, lane]))[::3]:
                slow = log_ratios_of(histories, int(series), model, HABITS, leaks.onset_day[slot, lane])
                fast = leaks.log_ratio[:, slot, lane]
                assert_allclose(fast, slow, rtol=SINGLE_PRECISION, atol=5 * SINGLE_PRECISION)

    assert held_back > 20


@BOTH_MODELS
def test_a_close_look_begins_no_leak_before_a_repair(model: DriftModel) -> None:
    for chunk in sweep(troubled_histories(7), model, HABITS, keep_above=-np.inf).kept:
        onset = look_closely(chunk.lanes, chunk.filtered, chunk.remembered, model).onset_day
        repaired = np.max(np.where(chunk.lanes.restarts, chunk.lanes.day, chunk.lanes.day[0]), axis=0)
        assert (onset >= repaired - 0.01).all()
        assert (onset[-1] > repaired).any()
