"""The accuracy bar in a size that a test run bears; ``python -m tests.detectors`` has the full table."""

import numpy as np
import pytest

from calculations.drift import Histories, Settings, assess
from calculations.drift.model import STRUT_MODEL
from calculations.drift.replay import cut_off
from calculations.drift.thresholds import opening_evidence
from tests.detectors.measure import delays, threshold_for
from tests.detectors.oracle import semi_oracle
from tests.detectors.ours import robust_bank
from tests.detectors.rivals import RIVALS
from tests.simulator import Fleet, Scenario, simulate
from tests.simulator.as_histories import histories_of


def test_delay_is_near_the_semi_oracle_and_before_every_rival() -> None:
    quiet = simulate(Scenario(struts=300), seed=7501)
    leaking = simulate(Scenario(struts=120, leak_in_per_month=0.2), seed=7502)

    def median_delay(detector: object) -> float:
        threshold = threshold_for(quiet, detector(quiet), 0.10)  # type: ignore[operator]
        return delays(leaking, detector(leaking), threshold).median  # type: ignore[operator]

    ours = median_delay(robust_bank)

    assert ours <= 1.25 * median_delay(semi_oracle)
    assert all(ours <= median_delay(rival) for rival in RIVALS.values())


def test_rate_intervals_sixty_days_after_onset_cover(leaking_fleet: Fleet, leaking_histories: Histories) -> None:
    """Nominal 90 %; of about 40 struts, fewer than 80 % covered would be out by three standard deviations."""
    truth, count = leaking_fleet.truth, leaking_fleet.scenario.struts
    day, series = leaking_fleet.day, leaking_fleet.series
    within = day <= truth.onset_day[series] + 60.0
    last = np.zeros(count)
    np.maximum.at(last, series[within], day[within])
    known = cut_off(leaking_histories, np.arange(count), last)

    result = assess(known, now_day=last)

    rate = truth.leak_in_per_month + truth.seep_in_per_month
    covered = (result.loss_low <= rate) & (rate <= result.loss_high)
    assert result.losing.sum() >= 30
    assert covered[result.losing].mean() >= 0.8


def test_one_bad_reading_opens_no_caution() -> None:
    """An inch too low, once per strut, on struts that were not on the point of opening one anyway."""
    fleet = simulate(Scenario(struts=150, blunder_share=0.0, late_settling_share=0.0), seed=7503)
    before = robust_bank(fleet)
    rng = np.random.default_rng(4)
    start = np.searchsorted(fleet.series, np.arange(150))
    end = np.searchsorted(fleet.series, np.arange(150), side="right")
    row = start + 5 + (rng.random(150) * (end - start - 7)).astype(int)
    fleet.raw_in[row] -= 1.0
    fleet.corrected_in[row] -= 1.0

    after = robust_bank(fleet)

    needed = opening_evidence(Settings())
    clear = before[row - 1] < needed - STRUT_MODEL.steps.largest
    assert clear.sum() > 100
    assert not (after[row] > needed)[clear].any()


@pytest.mark.parametrize("rate", [0.5, 1.0])
def test_a_fast_leak_is_told_to_be_serviced_now(rate: float) -> None:
    fleet = simulate(Scenario(struts=40, leak_in_per_month=rate), seed=7504)
    result = assess(histories_of(fleet), now_day=731.0)

    assert result.losing.mean() > 0.95
    assert result.service_now[result.losing].mean() > 0.95


def test_an_old_loss_is_dated_though_the_bank_has_given_its_slot_away() -> None:
    fleet = simulate(Scenario(struts=60, leak_in_per_month=0.05, months=30, onset_day=(100.0, 200.0)), seed=7505)

    result = assess(histories_of(fleet), now_day=30 * 30.44)

    assert result.losing.mean() > 0.95
    assert abs(np.median((result.onset_day - fleet.truth.onset_day)[result.losing])) < 45.0
