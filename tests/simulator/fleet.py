"""Draw a fleet and live through its months: readings with their errors, top-ups, leaks, and the truth."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from tests.simulator.physics import Array, StrutBody
from tests.simulator.scenario import Scenario

DAYS_PER_MONTH = 30.44


@dataclass(frozen=True)
class Truth:
    """What really happened; per strut, and per reading where named so."""

    leak_in_per_month: Array
    onset_day: Array
    seep_in_per_month: Array
    first_day_below_limit: Array
    sticky: npt.NDArray[np.bool_]
    reading_level_in: Array
    """Per reading: extension at reference conditions that the charge then would show."""
    reading_exact_in: Array
    """Per reading: corrected with the strut's true figures, free of blunders and of late settling (an oracle's)."""
    reading_sd_in: Array
    """Per reading: true standard deviation of ``reading_exact_in`` about the level."""
    reading_blunder: npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Fleet:
    """Readings and servicings as a club would send them, flat and sorted by strut and day."""

    scenario: Scenario
    series: npt.NDArray[np.int64]
    day: Array
    raw_in: Array
    corrected_in: Array
    temperature_offset_f: Array
    load_offset_lbf: Array
    exercised: npt.NDArray[np.bool_]
    scale_in: Array
    service_series: npt.NDArray[np.int64]
    service_day: Array
    service_added: npt.NDArray[np.bool_]
    service_recorded: npt.NDArray[np.bool_]
    sheet: StrutBody
    truth: Truth


class _Weather:
    def __init__(self, scenario: Scenario, rng: np.random.Generator) -> None:
        self.climate, self.rng = scenario.climate, rng

    def air_f(self, day: Array) -> Array:
        climate = self.climate
        season = -climate.season_f * np.cos(2 * np.pi * (day - 20.0) / 365.25)
        hour = self.rng.uniform(-1.0, 1.0, day.shape)
        return (
            climate.mean_f + season + climate.day_swing_f * hour + self.rng.normal(0, climate.weather_sd_f, day.shape)
        )


def simulate(scenario: Scenario, seed: int) -> Fleet:
    """Live through a fleet's history; the same scenario and seed give the same fleet."""
    return _Life(scenario, np.random.default_rng(seed)).lived()


class _Life:
    def __init__(self, scenario: Scenario, rng: np.random.Generator) -> None:
        self.scenario, self.rng = scenario, rng
        self.weather = _Weather(scenario, rng)
        self._draw_struts()
        self._draw_times()

    def _draw_struts(self) -> None:
        s, rng, n = self.scenario, self.rng, self.scenario.struts
        t = s.strut_type
        area = np.pi / 4 * t.tube_diameter_in**2
        spread = lambda factor: np.exp(rng.normal(0, np.log(factor), n))  # noqa: E731
        full = np.full(n, t.full_extension_in)
        self.body = StrutBody(
            np.full(n, area),
            t.gas_column_in * spread(s.gas_column_factor),
            t.fluid_in3 * spread(s.fluid_factor),
            np.full(n, 8e-4),
            full,
        )
        one = np.ones(n)
        self.sheet = StrutBody(area * one, t.gas_column_in * one, t.fluid_in3 * one, 8e-4 * one, full)
        self.sticky = rng.random(n) < s.sticky_share
        self.friction = np.where(self.sticky, rng.uniform(0.08, 0.14, n), rng.uniform(0.015, 0.06, n))
        self.rocking = np.where(rng.random(n) < 0.5, *s.rocking_share)
        self.ruler = rng.choice(np.array(s.rulers_in), n)
        self.seep = rng.uniform(*s.seep_in_per_month, n)
        self.leak = np.full(n, s.leak_in_per_month)
        self.onset = rng.uniform(*s.onset_day, n)
        self.temperature_slope, self.load_slope = self.body.slopes(np.full(n, t.target_in), t.reference_load_lbf)
        reference = np.full(n, t.reference_load_lbf)
        at = lambda x: self.body.charge_mol(np.full(n, x), reference, np.full(n, 70.0))  # noqa: E731
        self.mol_per_in = at(t.target_in + 0.5) - at(t.target_in - 0.5)

    def _draw_times(self) -> None:
        s, rng, n = self.scenario, self.rng, self.scenario.struts
        length = s.months * DAYS_PER_MONTH
        self.length = length
        count = rng.poisson(rng.uniform(*s.readings_per_month, n) * s.months)
        day = np.sort(
            np.where(np.arange(count.max())[:, None] < count, rng.uniform(0, length, (count.max(), n)), np.inf),
            axis=0,
        )
        gap_start = rng.uniform(0, length - 120.0, n)
        in_gap = (rng.random(n) < s.gap_share) & (day > gap_start) & (day < gap_start + 120.0)
        self.times = np.sort(np.where(in_gap, np.inf, day), axis=0)

    def _fallen(self, day: Array) -> Array:
        leaking = self.leak * np.maximum(day - self.onset, 0.0)
        return (self.seep * day + leaking) / DAYS_PER_MONTH

    def _charge(self, day: Array) -> Array:
        return np.maximum(self.base_mol - self.mol_per_in * (self._fallen(day) - self.base_fallen), 1e-6)

    def _true_load(self) -> tuple[Array, Array]:
        s, n = self.scenario, self.scenario.struts
        fuel = self.rng.uniform(0.25, 1.0, n) * s.full_fuel_lb
        load = s.strut_type.reference_load_lbf + s.strut_type.load_per_fuel * (fuel - s.full_fuel_lb)
        recorded = np.clip(fuel + self.rng.normal(0, s.fuel_error_lb, n), 0, s.full_fuel_lb * 1.05)
        return load + self.rng.normal(0, s.other_load_sd_lbf, n), s.strut_type.load_per_fuel * (
            recorded - s.full_fuel_lb
        )

    def _service(self, day: Array, who: npt.NDArray[np.bool_]) -> None:
        """Set the exposed tube to target as it looks that day, whatever the temperature."""
        s, rng, n = self.scenario, self.rng, self.scenario.struts
        day = np.where(who, day, 0.0)
        load, _ = self._true_load()
        air = self.weather.air_f(day)
        before = self._charge(day)
        wanted = s.strut_type.target_in + rng.normal(0, 0.1, n)
        after = self.body.charge_mol(wanted, load, air)
        self.base_mol = np.where(who, after, self.base_mol)
        self.base_fallen = np.where(who, self._fallen(day), self.base_fallen)
        late = who & (rng.random(n) < s.late_settling_share)
        self.settle_in = np.where(
            who, np.where(late, np.sign(after - before) * rng.uniform(0.05, 0.3, n), 0.0), self.settle_in
        )
        self.settle_tau = np.where(who, rng.uniform(4.0, 15.0, n), self.settle_tau)
        self.served = np.where(who, day, self.served)
        index = np.nonzero(who)[0]
        self.services.append(
            (index, day[index], (after > before)[index], rng.random(len(index)) >= s.unrecorded_share)
        )

    def _start(self) -> None:
        s, n = self.scenario, self.scenario.struts
        t = s.strut_type
        level = t.target_in + self.rng.normal(0, 0.2, n)
        self.base_mol = self.body.charge_mol(level, np.full(n, t.reference_load_lbf), np.full(n, 70.0))
        self.base_fallen = np.zeros(n)
        self.settle_in, self.settle_tau, self.served = np.zeros(n), np.ones(n), np.zeros(n)
        self.services: list[tuple[npt.NDArray[np.int64], Array, npt.NDArray[np.bool_], npt.NDArray[np.bool_]]] = []
        self.side = self.rng.uniform(-1, 1, n)
        self.answer_day = np.full(n, np.inf)

    def _due_services(self, last: Array, now: Array, here: npt.NDArray[np.bool_]) -> None:
        rng, n = self.rng, self.scenario.struts
        gap = np.where(here, now - last, 0.0)
        routine = rng.random(n) < 1 - np.exp(-self.scenario.routine_services_per_year * gap / 365.25)
        when = last + rng.random(n) * gap
        answered = here & (self.answer_day <= now)
        when = np.where(answered, self.answer_day, when)
        who = here & (routine | answered)
        if who.any():
            self._service(when, who)
        self.answer_day = np.where(answered, np.inf, self.answer_day)

    def lived(self) -> Fleet:
        s, rng, n = self.scenario, self.rng, self.scenario.struts
        self._start()
        rows = []
        last = np.zeros(n)
        for now_all in self.times:
            here = np.isfinite(now_all)
            if not here.any():
                break
            now = np.where(here, now_all, 0.0)
            self._due_services(last, now, here)
            row = self._read(now)
            rows.append((here, now, row))
            looks_low = here & (row["raw"] < s.strut_type.target_in - s.low_reading_in)
            answered = looks_low & np.isinf(self.answer_day) & (rng.random(n) < s.low_reading_answered)
            self.answer_day = np.where(answered, now + rng.uniform(0.05, 6.0, n), self.answer_day)
            last = np.where(here, now, last)
        return self._gathered(rows)

    def _read(self, now: Array) -> dict[str, Array]:
        s, rng, n = self.scenario, self.rng, self.scenario.struts
        t = s.strut_type
        load, recorded_offset = self._true_load()
        air = self.weather.air_f(now)
        recorded_f = np.rint(air + rng.normal(0, s.temperature_error_f, n))
        rocked = rng.random(n) < self.rocking
        moved = rng.random(n) >= s.friction_persistence
        self.side = np.where(moved | rocked, rng.uniform(-1, 1, n), self.side)
        left = np.where(rocked, s.friction_left_by_rocking, 1.0)
        charge = self._charge(now)
        rest = self.body.extension_in(charge, load * (1 + self.friction * self.side * left), air)
        settling = self.settle_in * np.exp(-(now - self.served) / self.settle_tau)
        read = np.maximum(rest - settling + rng.normal(0, s.reader_sd_in, n), 0.0)
        good = np.rint(read / self.ruler) * self.ruler
        raw, blunder = self._blunder(good)
        sheet_load = t.reference_load_lbf + recorded_offset
        level = self.body.extension_in(charge, np.full(n, t.reference_load_lbf), np.full(n, 70.0))
        friction_in = t.reference_load_lbf * self.friction * left * -self.load_slope
        variance = (
            s.reader_sd_in**2
            + self.ruler**2 / 12
            + (self.temperature_slope * s.temperature_error_f) ** 2
            + self.load_slope**2 * ((t.load_per_fuel * s.fuel_error_lb) ** 2 + s.other_load_sd_lbf**2)
            + friction_in**2 / 3
        )
        return {
            "raw": raw,
            "blunder": blunder,
            "temperature": recorded_f - 70.0,
            "load": recorded_offset,
            "level": level,
            "corrected": self.sheet.corrected_in(raw, sheet_load, recorded_f, t.reference_load_lbf),
            "exact": self.body.corrected_in(good, sheet_load, recorded_f, t.reference_load_lbf) + settling,
            "rocked": rocked,
            "sd": np.sqrt(variance),
        }

    def _blunder(self, good: Array) -> tuple[Array, npt.NDArray[np.bool_]]:
        s, rng, n = self.scenario, self.rng, self.scenario.struts
        blunder = rng.random(n) < s.blunder_share
        other_leg = good + rng.choice(np.array([-1.25, 1.25]), n) + rng.normal(0, 0.3, n)
        kinds = np.stack([good + 1, good - 1, other_leg, good * 2.54, good / 2.54, good + 0.5, good - 0.5])
        kind = rng.integers(0, len(kinds), n)
        wrong = np.clip(kinds[kind, np.arange(n)], 0.0625, None)
        return np.where(blunder, np.rint(wrong / self.ruler) * self.ruler, good), blunder

    def _gathered(self, rows: list[tuple[npt.NDArray[np.bool_], Array, dict[str, Array]]]) -> Fleet:
        s, n = self.scenario, self.scenario.struts
        here = np.stack([r[0] for r in rows], axis=1)
        day = np.stack([r[1] for r in rows], axis=1)[here]
        column = {name: np.stack([r[2][name] for r in rows], axis=1)[here] for name in rows[0][2]}
        series = np.repeat(np.arange(n), here.sum(axis=1))
        below = np.full(n, np.inf)
        low = column["level"] < s.strut_type.target_in - 0.5
        np.minimum.at(below, series[low], day[low])
        index, when, added, recorded = (
            np.concatenate([e[i] for e in self.services] or [np.empty(0)]) for i in range(4)
        )
        order = np.lexsort([when, index])
        truth = Truth(
            self.leak,
            self.onset,
            self.seep,
            below,
            self.sticky,
            column["level"],
            column["exact"],
            column["sd"],
            column["blunder"].astype(bool),
        )
        return Fleet(
            s,
            series,
            day,
            column["raw"],
            column["corrected"],
            column["temperature"],
            column["load"],
            column["rocked"].astype(bool),
            self.ruler[series],
            index[order].astype(np.int64),
            when[order],
            added[order].astype(bool),
            recorded[order].astype(bool),
            self.sheet,
            truth,
        )
