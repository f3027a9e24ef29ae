"""Tyres: permeation and weather left alone, punctures found, hot and blundered readings set aside."""

from dataclasses import replace

import numpy as np
import pytest

from calculations.drift import (
    DISPOSITIONS,
    FINDINGS,
    TYRE_SETTINGS,
    Disposition,
    Events,
    Finding,
    TyreReadings,
    Tyres,
    Work,
    arrange_tyres,
    assess_tyres,
    replay,
)
from calculations.drift.histories import Histories, arrange
from calculations.drift.replay import cut_off
from calculations.drift.tyre_loss import charge_percent
from calculations.drift.tyre_model import TYRE_MODEL
from tests.detectors.measure import first_alarms
from tests.simulator.tyres import TyreScenario, simulate_tyres
from tests.simulator.tyres_as_histories import joined_histories_of, tyre_histories_of, tyres_of


def one_tyre(pressure_psig: np.ndarray, day: np.ndarray, cold: np.ndarray | None = None) -> tuple[Histories, Tyres]:
    size = len(day)
    tyres = Tyres(*(np.array([value]) for value in (30.0, 27.0, 33.0, 70.0)))
    readings = TyreReadings(
        np.zeros(size, np.int64), day, pressure_psig, np.full(size, 70.0),
        np.ones(size, bool) if cold is None else cold, np.full(size, 0.5), np.full(size, 3.0), np.full(size, 14.696),
    )  # fmt: skip
    return arrange_tyres(readings, tyres, Events.none()), tyres


def test_charge_does_not_move_with_temperature_alone() -> None:
    """29 psig at 59 degF reads 26.725 psig at 32 degF and 32.033 at 95 (rigid volume, ideal gas; computed)."""
    pressure = np.array([29.0, 26.725, 32.033])
    charge = charge_percent(
        pressure, np.array([59.0, 32.0, 95.0]), np.full(3, 14.696), np.full(3, 29.0), np.full(3, 59.0)
    )

    assert charge == pytest.approx([100.0, 100.0, 100.0], abs=0.005)


def test_one_percent_a_day_is_found_and_measured() -> None:
    day = np.arange(0.0, 60.0, 3.0)
    loss = 0.5 * np.maximum(day - 40.0, 0.0) + 0.05 * day
    pressure = (30.0 + 14.696) * np.exp(-loss / 100.0) - 14.696 + np.random.default_rng(1).normal(0, 0.2, len(day))
    histories, tyres = one_tyre(pressure, day)

    result = assess_tyres(histories, tyres, now_day=58.0)

    assert result.drift.losing[0]
    assert result.loss_low[0] < 0.55 < result.loss_high[0]
    assert result.fast[0]


def test_a_tyre_that_only_permeates_is_steady() -> None:
    day = np.arange(0.0, 120.0, 6.0)
    pressure = (30.0 + 14.696) * np.exp(-0.0005 * day) - 14.696
    histories, tyres = one_tyre(pressure, day)

    result = assess_tyres(histories, tyres, now_day=115.0)

    assert FINDINGS[result.drift.finding[0]] is Finding.STEADY
    assert result.loss_percent_per_day[0] == pytest.approx(0.05, abs=0.02)
    assert result.pressure_now_psig[0] == pytest.approx(pressure[-1], abs=0.3)


def test_a_flat_or_negative_gauge_is_no_reading() -> None:
    day = np.arange(0.0, 60.0, 5.0)
    pressure = np.full(len(day), 30.0)
    pressure[4] = 0.0
    histories, tyres = one_tyre(pressure, day)

    result = assess_tyres(histories, tyres, now_day=56.0)

    assert result.drift.readings_set_aside[0] == 1


def test_hot_readings_are_set_aside_however_many() -> None:
    """Each 50 degF warmer than the air: (30 + 14.7) * 50/530 = 4.2 psi more."""
    day = np.arange(0.0, 240.0, 6.0)
    cold = day < 120.0
    histories, tyres = one_tyre(np.where(cold, 30.0, 34.2), day, cold)

    result = assess_tyres(histories, tyres, now_day=day[-1])

    assert result.pressure_now_psig[0] == pytest.approx(30.0, abs=0.1)
    assert (result.drift.readings_used[0], result.drift.readings_set_aside[0]) == (20, 20)
    assert {DISPOSITIONS[one] for one in result.drift.disposition[~cold]} == {Disposition.HOT}


def test_simulated_tyres_punctures_are_found_and_healthy_ones_left_alone() -> None:
    """Half a percent a day, tyres topped up every two or three weeks and never mended.

    Median delay over 400 such tyres: 21 d (``python -m tests.detectors.tyres``).
    """
    quiet_fleet = simulate_tyres(TyreScenario(tyres=60), seed=7601)
    fleet = simulate_tyres(TyreScenario(tyres=30, leak_percent_per_day=0.5), seed=7602)

    quiet = assess_tyres(tyre_histories_of(quiet_fleet), tyres_of(quiet_fleet), now_day=730.0)
    heard = replay(joined_histories_of(fleet), TYRE_SETTINGS, TYRE_MODEL)

    assert quiet.drift.losing.mean() <= 0.1
    delay = np.full(30, np.inf)
    still_open = np.isnan(heard.closed_day) | (heard.closed_day > fleet.onset_day[heard.series])
    np.minimum.at(delay, heard.series[still_open], (heard.opened_day - fleet.onset_day[heard.series])[still_open])
    assert np.median(delay) <= 30.0


def test_two_readings_tell_of_a_tyre_that_goes_flat_in_weeks() -> None:
    """Three percent a day, read every fifth day: the second is far off, and the first has borne it out."""
    day = np.arange(0.0, 125.0, 5.0)
    charge = np.exp(-0.0005 * day - 0.03 * np.maximum(day - 113.0, 0.0))
    noise = np.random.default_rng(4).normal(0, 0.5, len(day))

    heard = [
        assess_tyres(*one_tyre((44.696 * charge - 14.696 + noise)[:known], day[:known]), now_day=day[known - 1])
        for known in (23, 24, 25)
    ]

    assert [bool(result.drift.losing[0]) for result in heard] == [False, False, True]
    assert heard[-1].fast[0]
    assert heard[-1].loss_low[0] <= 3.0 <= heard[-1].loss_high[0]


def test_a_tyre_that_goes_flat_in_weeks_is_told_so_at_once() -> None:
    """Three percent a day: of 385 tyres .94 are called fast when the alert opens; without the second reading .83."""
    fleet = simulate_tyres(TyreScenario(tyres=150, leak_percent_per_day=3.0), seed=7603)
    histories, heard = tyre_histories_of(fleet), replay(joined_histories_of(fleet), TYRE_SETTINGS, TYRE_MODEL)
    opened = first_alarms(heard.series, heard.opened_day, np.ones(len(heard.series), bool), fleet.onset_day)[0]
    found = np.flatnonzero(np.isfinite(opened))
    sheet = replace(fleet, scenario=replace(fleet.scenario, tyres=len(found)))

    told = assess_tyres(cut_off(histories, found, opened[found]), tyres_of(sheet), now_day=opened[found])

    assert told.fast[told.drift.losing].mean() > 0.89


def test_a_slow_puncture_is_heard_through_inflations() -> None:
    """0.3 % a day, set back to service pressure every twentieth day: each time it has gone down six percent."""
    day = np.arange(0.0, 180.0, 4.0)
    inflated = np.arange(82.0, 180.0, 20.0)
    since = np.array([d - max([0.0, *inflated[inflated < d]]) for d in day])
    loss = 0.05 * since + np.where(day > 80.0, 0.3 * np.where(day > 82.0, since, day - 80.0), 0.0)
    noise = np.random.default_rng(3).normal(0, 0.3, len(day))
    histories, tyres = one_tyre((30.0 + 14.696) * np.exp(-loss / 100.0) - 14.696 + noise, day)
    work = Events(np.zeros(len(inflated), np.int64), inflated, np.full(len(inflated), int(Work.INFLATED)))
    set_back = arrange(histories.readings, histories.struts, work)

    result = assess_tyres(set_back, tyres, now_day=179.0)

    assert result.drift.losing[0]
    assert result.loss_low[0] < 0.35 < result.loss_high[0]
    assert len(result.drift.disposition) == len(day)
    assert result.drift.readings_used[0] == len(day)


def test_an_inflated_tyre_stands_at_service_pressure_before_it_is_read() -> None:
    day = np.arange(0.0, 120.0, 6.0)
    histories, tyres = one_tyre(np.full(len(day), 26.0), day)
    inflated = Events(np.zeros(1, np.int64), np.array([116.0]), np.array([int(Work.INFLATED)]))

    result = assess_tyres(arrange(histories.readings, histories.struts, inflated), tyres, now_day=117.0)

    assert result.pressure_now_psig[0] == pytest.approx(30.0, abs=0.5)


def test_an_autumn_is_no_puncture() -> None:
    """A tyre set to 30 psi at 70 degF, read as the air cools to 20 degF: it reads 25.8 psi and has lost nothing."""
    day = np.arange(0.0, 150.0, 5.0)
    air_f = 70.0 - day / 3.0
    pressure = (30.0 + 14.696) * (air_f + 459.67) / 529.67 - 14.696
    size = len(day)
    tyres = Tyres(*(np.array([value]) for value in (30.0, 27.0, 33.0, 70.0)))
    readings = TyreReadings(
        np.zeros(size, np.int64), day, pressure, air_f,
        np.ones(size, bool), np.full(size, 0.5), np.full(size, 3.0), np.full(size, 14.696),
    )  # fmt: skip

    result = assess_tyres(arrange_tyres(readings, tyres, Events.none()), tyres, now_day=146.0)

    assert FINDINGS[result.drift.finding[0]] is Finding.TEMPERATURE_ONLY
    assert result.pressure_now_psig[0] == pytest.approx(30.0, abs=0.3)
