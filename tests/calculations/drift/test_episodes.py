"""The evidence of an alert follows in steps: against the same rule, reading by reading in plain Python."""

import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from calculations.drift.as_set import with_pressures_set
from calculations.drift.episodes import alarm_statistic
from calculations.drift.model import STRUT_MODEL, DriftModel
from calculations.drift.sweep import Swept, sweep
from calculations.drift.thresholds import SETTLING_EXTRA
from calculations.drift.tyre_model import TYRE_MODEL
from tests.calculations.drift.test_oracle_filter import HABITS, troubled_histories


def slow_statistic(swept: Swept, series: int, model: DriftModel) -> list[float]:
    """Return the statistic after every reading of one series."""
    steps, own = model.steps, slice(*swept.prepared.offsets[series : series + 2])
    told, before, forerunner, doubted, kept = [], -math.inf, 0.0, False, False
    suspect = swept.outlier[own] & ~swept.confirmed[own] & steps.suspects_wait
    rows = zip(swept.evidence[own], swept.surprise[own], suspect, swept.prepared.since_work_days[own], strict=True)
    for number, (evidence, surprise, waits, since_work) in enumerate(rows):
        set_by_work = since_work < 2e-4
        agrees = forerunner <= steps.borne_out_share * surprise
        doubtful = surprise < -steps.doubtful and (waits or not agrees)
        unconfirmed = doubted and surprise > steps.borne_out_share * forerunner
        step = 0.0 if set_by_work or surprise > -steps.low or doubtful or unconfirmed else steps.largest * (1 + kept)
        before = evidence if number == 0 else min(evidence, before + step)
        extra = SETTLING_EXTRA if since_work < model.rules.settling_days else 0.0
        told.append(-math.inf if number == 0 else before - extra)
        if not set_by_work:
            forerunner, doubted, kept = surprise, doubtful, doubtful and agrees
    return told


@pytest.mark.parametrize("model", [STRUT_MODEL, TYRE_MODEL], ids=["struts", "tyres"])
@pytest.mark.parametrize("seed", range(3))
def test_the_statistic_follows_the_evidence_in_steps(seed: int, model: DriftModel) -> None:
    histories = with_pressures_set(troubled_histories(seed))

    swept = sweep(histories, model, HABITS)

    found, offsets, held = alarm_statistic(swept, model), swept.prepared.offsets, 0
    for series in range(histories.count):
        own = slice(offsets[series], offsets[series + 1])
        assert_allclose(found[own], slow_statistic(swept, series, model), atol=1e-6)
        held += int(np.sum(found[own][1:] < swept.evidence[own][1:] - SETTLING_EXTRA - 0.5))
    assert held > 8


@pytest.mark.parametrize("model", [STRUT_MODEL, TYRE_MODEL], ids=["struts", "tyres"])
def test_no_series_hears_of_another_and_what_work_set_is_no_witness_wherever_it_stands(model: DriftModel) -> None:
    """Surprises, evidence and work at random: readings that work set come first, last and many in a row."""
    swept, rng = sweep(troubled_histories(0), model, HABITS), np.random.default_rng(5)
    size = len(swept.evidence)
    since_work = rng.choice([1e-4, 5.0, 100.0], size, p=[0.4, 0.1, 0.5])
    drawn = replace(
        swept,
        prepared=replace(swept.prepared, since_work_days=since_work),
        surprise=rng.normal(-1.0, 1.5, size),
        evidence=rng.normal(0.0, 5.0, size),
    )

    found, offsets = alarm_statistic(drawn, model), drawn.prepared.offsets

    for series in range(len(offsets) - 1):
        own = slice(offsets[series], offsets[series + 1])
        assert_allclose(found[own], slow_statistic(drawn, series, model), atol=1e-6)
    begins = offsets[:-1][np.diff(offsets) > 0]
    assert np.any(since_work[begins] < 2e-4)
    assert np.any(since_work[begins[1:] - 1] < 2e-4)
