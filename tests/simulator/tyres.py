"""Simulated tyres: permeation, weather, gauges, hot readings, blunders, re-inflation, punctures."""

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from tests.simulator.scenario import Climate

Array = npt.NDArray[np.float64]
SEA_LEVEL_PSIA = 14.69595


@dataclass(frozen=True)
class TyreScenario:
    """Two years of tyres at one service pressure; losses in percent of absolute pressure per day."""

    tyres: int = 300
    days: float = 730.0
    service_psig: float = 30.0
    readings_per_month: tuple[float, float] = (2.0, 10.0)
    permeation_mean: float = 0.05
    permeation_sd: float = 0.03
    leak_percent_per_day: float = 0.0
    onset_day: tuple[float, float] = (150.0, 270.0)
    gauge_sd_psi: float = 0.4
    temperature_error_f: float = 4.0
    hot_share: float = 0.05
    hot_f: tuple[float, float] = (20.0, 70.0)
    hot_told: float = 0.5
    """Share of hot readings that the reader marks as hot."""
    blunder_share: float = 0.01
    inflate_below_psig: float = 27.0
    """Nobody corrects for temperature at the aircraft: this is as read."""
    inflated: float = 0.7
    """Share of readings below it that end with an inflation."""
    set_sd_percent: float = 1.5
    warmth_ignored: float = 0.5
    """How far the cold of the day is forgotten in what is filled: 0 is full correction, 1 is none."""
    written_after: float = 0.0
    """Share of inflations of which somebody writes down what the gauge showed afterwards."""
    filling_warms_f: tuple[float, float] = (0.0, 10.0)
    """How much warmer than the air the gas is then."""
    climate: Climate = field(default_factory=Climate)


@dataclass(frozen=True)
class TyreFleet:
    """Flat readings and inflations, and what really happened."""

    scenario: TyreScenario
    series: npt.NDArray[np.int64]
    day: Array
    pressure_psig: Array
    temperature_f: Array
    cold: npt.NDArray[np.bool_]
    inflation_series: npt.NDArray[np.int64]
    inflation_day: Array
    inflated_to_psig: Array
    """As read afterwards; NaN where nobody wrote it down."""
    inflation_temperature_f: Array
    onset_day: Array
    loss_percent_per_day: Array


def simulate_tyres(scenario: TyreScenario, seed: int) -> TyreFleet:
    """Live through the tyres' two years one after the other."""
    rng = np.random.default_rng(seed)
    columns: list[list[float]] = []
    inflations: list[tuple[int, float, float, float]] = []
    permeation = np.maximum(rng.normal(scenario.permeation_mean, scenario.permeation_sd, scenario.tyres), 0.0)
    onset = rng.uniform(*scenario.onset_day, scenario.tyres)
    for tyre in range(scenario.tyres):
        count = rng.poisson(rng.uniform(*scenario.readings_per_month) * scenario.days / 30.44)
        level, last = rng.normal(0.0, 1.5), 0.0
        for day in np.sort(rng.uniform(0, scenario.days, count)):
            leaking = max(day - max(last, onset[tyre]), 0.0) * scenario.leak_percent_per_day
            level, last = level - permeation[tyre] * (day - last) - leaking, day
            air = _air(scenario.climate, day, rng)
            hot = rng.random() < scenario.hot_share
            inside = air + (rng.uniform(*scenario.hot_f) if hot else 0.0)
            read = _gauge_psig(scenario, level, inside) + rng.normal(0, scenario.gauge_sd_psi)
            if rng.random() < scenario.blunder_share:
                read += rng.choice([-10.0, 10.0])
            told = hot and rng.random() < scenario.hot_told
            thermometer = np.rint(air + rng.normal(0, scenario.temperature_error_f))
            columns.append([tyre, day, max(np.rint(2 * read) / 2, 0.0), thermometer, float(not told)])
            if read < scenario.inflate_below_psig and rng.random() < scenario.inflated:
                warm = 100 * np.log((air + 459.67) / 529.67)
                level = rng.normal(0.0, scenario.set_sd_percent) - scenario.warmth_ignored * warm
                last = day + 0.01
                inflations.append((tyre, last, _read_after(scenario, level, air, rng), thermometer))
    table, inflated = np.array(columns).T, np.array(inflations).reshape(-1, 4).T
    return TyreFleet(
        scenario,
        table[0].astype(np.int64),
        table[1],
        table[2],
        table[3],
        table[4].astype(bool),
        inflated[0].astype(np.int64),
        *inflated[1:],
        onset,
        permeation + scenario.leak_percent_per_day,
    )


def _gauge_psig(scenario: TyreScenario, level: float, inside_f: float) -> float:
    absolute = (scenario.service_psig + SEA_LEVEL_PSIA) * np.exp(level / 100) * (inside_f + 459.67) / 529.67
    return float(absolute - SEA_LEVEL_PSIA)


def _read_after(scenario: TyreScenario, level: float, air_f: float, rng: np.random.Generator) -> float:
    if not scenario.written_after or rng.random() >= scenario.written_after:
        return float("nan")
    shown = _gauge_psig(scenario, level, air_f + rng.uniform(*scenario.filling_warms_f))
    return float(np.rint(2 * (shown + rng.normal(0, scenario.gauge_sd_psi))) / 2)


def _air(climate: Climate, day: float, rng: np.random.Generator) -> float:
    season = climate.mean_f - climate.season_f * np.cos(2 * np.pi * (day - 20.0) / 365.25)
    return float(season + climate.day_swing_f * rng.uniform(-1, 1) + rng.normal(0, climate.weather_sd_f))
