"""The lockstep bank against leaks that are followed one by one in plain Python."""

import pytest
from numpy.testing import assert_allclose

from calculations.drift.model import DriftModel
from calculations.drift.sweep import sweep
from tests.calculations.drift.slow_bank import evidence_of
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
