"""The accuracy bar in a size that a test run bears; ``python -m tests.detectors`` has the full table."""

from dataclasses import replace

import numpy as np
import pytest

from calculations.drift import FleetHabits, Histories, Settings, assess
from calculations.drift.assess import alerts_after_each
from calculations.drift.model import STRUT_MODEL
from calculations.drift.replay import cut_off
from calculations.drift.sweep import sweep
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


@pytest.mark.parametrize("out_in", [-0.5, -1.0])
def test_one_bad_reading_opens_no_caution_unless_another_bears_it_out(out_in: float) -> None:
    """Once per strut, wherever its evidence stands."""
    histories = histories_of(simulate(Scenario(struts=2000, blunder_share=0.0), seed=7503))
    rng = np.random.default_rng(4)
    bad = histories.offsets[:-1] + 3 + (rng.random(2000) * (np.diff(histories.offsets) - 6)).astype(int)
    readings = histories.readings
    corrected_in, raw_in = readings.corrected_in.copy(), readings.raw_in.copy()
    corrected_in[bad] += out_in
    raw_in[bad] += out_in
    misread = replace(histories, readings=replace(readings, corrected_in=corrected_in, raw_in=raw_in))

    swept = sweep(misread, STRUT_MODEL, FleetHabits())

    stands = alerts_after_each(swept, Settings(), STRUT_MODEL)[1]
    surprise, at = swept.surprise, np.searchsorted(swept.prepared.row, bad)
    enough = STRUT_MODEL.steps.borne_out_share * surprise[at]
    in_doubt = (swept.prepared.row[at] == bad) & (surprise[at] < -STRUT_MODEL.steps.doubtful)
    in_doubt &= surprise[at - 1] > enough
    borne_out = surprise[at + 1] <= enough
    assert in_doubt.sum() > 1000
    assert not (stands[at] & ~stands[at - 1])[in_doubt].any()
    assert not (stands[at + 1] & ~stands[at - 1])[in_doubt & ~borne_out].any()


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
