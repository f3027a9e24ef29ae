"""What the service learns of a fleet from its own history."""

from dataclasses import replace

import numpy as np
import pytest

from calculations.drift import FleetHabits, Histories, Settings, learn_habits
from calculations.drift.fleet_noise import learn_noise
from calculations.drift.mirror import upside_down
from calculations.drift.thresholds import opening_evidence
from tests.detectors.robustness import openings_per_year
from tests.simulator import ALL_BAD, Scenario, simulate
from tests.simulator.as_histories import histories_of


def test_a_quiet_fleet_keeps_to_the_chosen_rate_as_shipped(quiet_histories: Histories) -> None:
    """0.10 per strut-year chosen, 500 strut-years seen: three Poisson standard deviations are 0.042."""
    assert openings_per_year(quiet_histories, 500.0, FleetHabits()) <= 0.142


def test_with_every_noise_figure_at_its_worst_the_learned_fleet_keeps_within_a_factor_of_two() -> None:
    histories = histories_of(simulate(Scenario(struts=150, **ALL_BAD), seed=7401))  # type: ignore[arg-type]

    shipped = openings_per_year(histories, 300.0, FleetHabits())
    learned = openings_per_year(histories, 300.0, learn_habits(histories))

    assert shipped > 0.2
    assert learned <= 0.2


def test_the_trust_in_a_bad_thermometer_is_learned() -> None:
    """Departures from the season: weather sd 8, hour of day 9/sqrt(3), recorded with an error of sd 8 [degF].

    The real share is (64 + 27) / (64 + 27 + 64) = 0.59; what a filter that learns meanwhile leaves is near it.
    """
    histories = histories_of(simulate(Scenario(struts=80, temperature_error_f=8.0), seed=7402))

    assert learn_noise(histories).temperature_trust == pytest.approx(0.59, abs=0.1)


def test_a_fleet_of_a_few_struts_changes_little(quiet_histories: Histories) -> None:
    few = quiet_histories.select(np.arange(3))

    habits = learn_habits(few)

    assert habits.noise_factor_exercised == 1.0
    assert habits.noise_factor_resting == 1.0
    assert abs(habits.threshold_shift) < 0.5


def test_no_history_teaches_nothing(quiet_histories: Histories) -> None:
    empty = replace(
        quiet_histories.select(np.empty(0, np.int64)),
    )
    assert learn_habits(empty) == FleetHabits()


def test_turned_upside_down_twice_is_the_same(quiet_histories: Histories) -> None:
    twice = upside_down(upside_down(quiet_histories))

    np.testing.assert_allclose(twice.readings.corrected_in, quiet_histories.readings.corrected_in, rtol=1e-12)


def test_the_learned_shift_raises_what_an_alert_needs() -> None:
    noisy = Settings(habits=FleetHabits(threshold_shift=0.7))

    assert opening_evidence(noisy) == pytest.approx(opening_evidence(Settings()) + 0.7)
