"""What learning an operator's tyre noise does to false alarms, and what one bad reading does to a quiet tyre.

``python -m tests.detectors.tyre_robustness`` prints, per scenario, cautions opened per tyre-year on leak-free
fleets for 0.10 chosen: with the model's own figures, after learning from the whole fleet, and after learning from
forty of its tyres; then, after learning from the whole fleet, for 0.03 and 0.30 chosen. ``--blunders`` prints in
what share of places in quiet histories one reading that is so many psi out opens a caution then or later, and for
comparison a reading that was never taken.
"""

import argparse
from collections.abc import Callable
from dataclasses import replace
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from calculations.drift import TYRE_HABITS, TYRE_SETTINGS, FleetHabits, learn_tyre_habits
from calculations.drift.assess import alerts_after_each
from calculations.drift.sweep import sweep
from calculations.drift.tyre_model import TYRE_MODEL
from tests.detectors.__main__ import write
from tests.detectors.robustness import openings_per_year
from tests.simulator.scenario import Climate
from tests.simulator.tyres import TyreFleet, TyreScenario, simulate_tyres
from tests.simulator.tyres_as_histories import (
    joined_histories_of,
    read_after_inflating,
    tyre_histories_of,
    tyres_of,
)

ORDINARY: Final[dict[str, dict[str, Any]]] = {
    "base": {},
    "inflations written down": {"written_after": 1.0},
    "inflated at 25 psi": {"inflate_below_psig": 25.0},
    "1-3 readings a month": {"readings_per_month": (1.0, 3.0)},
    "10-20 a month": {"readings_per_month": (10.0, 20.0)},
    "cold climate": {"climate": Climate(35.0, 32.0, 12.0, 12.0)},
    "hot climate": {"climate": Climate(80.0, 12.0, 4.0, 15.0)},
}
NOISY: Final[dict[str, dict[str, Any]]] = {
    "thermometer error 8 F": {"temperature_error_f": 8.0},
    "gauge error 1 psi": {"gauge_sd_psi": 1.0},
    "15 % read hot": {"hot_share": 0.15},
    "hot never told": {"hot_told": 0.0},
    "blunders 3 %": {"blunder_share": 0.03},
    "permeation .08 +- .05": {"permeation_mean": 0.08, "permeation_sd": 0.05},
    "cold ignored": {"warmth_ignored": 1.0},
    "set with sd 3 %": {"set_sd_percent": 3.0},
}
ALL_WORST: Final[dict[str, Any]] = {name: value for own in NOISY.values() for name, value in own.items()}
SCENARIOS: Final = {**ORDINARY, **NOISY, "all at their worst": ALL_WORST}

BLUNDERS_PSI: Final = (-10.0, 10.0, -7.0, 7.0, -5.0, 5.0)
QUIET: Final = TyreScenario(tyres=400, days=500.0, blunder_share=0.0)


def learned_from(fleet: TyreFleet, tyres: int) -> FleetHabits:
    """Return what the service learns from the first so many tyres."""
    chosen = replace(fleet, scenario=replace(fleet.scenario, tyres=tyres))
    after = read_after_inflating(fleet)
    early = after.series < tyres
    few = type(after)(**{name: column[early] for name, column in vars(after).items()})
    return learn_tyre_habits(tyre_histories_of(fleet).select(np.arange(tyres)), tyres_of(chosen), few)


def cautions(fleet: TyreFleet, habits: FleetHabits, rate: float = 0.10) -> float:
    """Return cautions opened per tyre-year by one who chose so many."""
    chosen = replace(TYRE_SETTINGS, false_alarms_per_year=rate)
    years = fleet.scenario.tyres * fleet.scenario.days / 365.25
    return openings_per_year(joined_histories_of(fleet), years, habits, chosen, TYRE_MODEL)


def report(name: str, tyres: int, seed: int) -> str:
    """Return the line of one scenario."""
    fleet = simulate_tyres(TyreScenario(tyres=tyres, **SCENARIOS[name]), seed)
    learned, few = learned_from(fleet, tyres), learned_from(fleet, 40)
    shipped, whole, forty = (cautions(fleet, habits) for habits in (TYRE_HABITS, learned, few))
    others = " ".join(f"{cautions(fleet, learned, rate):.3f}" for rate in (0.03, 0.30))
    return (
        f"{name:24s} {shipped:.3f} | {whole:.3f} (noise {learned.noise_factor_exercised:.1f} "
        f"{learned.noise_factor_resting:.1f}, permeation {-learned.seep_mean_per_month / 30.44:.3f} +- "
        f"{learned.seep_sd_per_month / 30.44:.3f}) | {forty:.3f} | {others}"
    )


def stood_ever(fleet: TyreFleet, rate: float = 0.10) -> npt.NDArray[np.bool_]:
    """Return which tyres had a caution at any time."""
    histories = joined_histories_of(fleet)
    swept = sweep(histories, TYRE_MODEL, TYRE_HABITS)
    settings = replace(TYRE_SETTINGS, false_alarms_per_year=rate)
    _, stands = alerts_after_each(swept, settings, TYRE_MODEL)
    ever = np.zeros(histories.count, bool)
    ever[histories.readings.series[swept.prepared.row[stands]]] = True
    return ever


def opened_by(change: Callable[[TyreFleet, npt.NDArray[np.int64]], TyreFleet], rounds: int, seed: int) -> float:
    """Return the share of places in quiet histories where a change to the reading there opens a caution."""
    fleet = simulate_tyres(QUIET, seed)
    quiet = ~stood_ever(fleet)
    counts = np.bincount(fleet.series, minlength=QUIET.tyres)
    starts = np.cumsum(counts) - counts
    rng = np.random.default_rng(seed)
    opened = 0
    for _ in range(rounds):
        places = starts + (rng.random(QUIET.tyres) * counts).astype(np.int64)
        opened += int((stood_ever(change(fleet, places)) & quiet).sum())
    return opened / (rounds * int(quiet.sum()))


def misread_by(psi: float) -> Callable[[TyreFleet, npt.NDArray[np.int64]], TyreFleet]:
    """Return a change that makes readings so many psi wrong."""

    def change(fleet: TyreFleet, places: npt.NDArray[np.int64]) -> TyreFleet:
        pressure = fleet.pressure_psig.copy()
        pressure[places] = np.maximum(pressure[places] + psi, 0.0)
        return replace(fleet, pressure_psig=pressure)

    return change


def never_taken(fleet: TyreFleet, places: npt.NDArray[np.int64]) -> TyreFleet:
    """Leave readings out."""
    return replace(
        fleet,
        series=np.delete(fleet.series, places),
        day=np.delete(fleet.day, places),
        pressure_psig=np.delete(fleet.pressure_psig, places),
        temperature_f=np.delete(fleet.temperature_f, places),
        cold=np.delete(fleet.cold, places),
    )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(prog="python -m tests.detectors.tyre_robustness", description=__doc__)
    parser.add_argument("--tyres", type=int, default=1500)
    parser.add_argument("--seed", type=int, default=93)
    parser.add_argument("--rounds", type=int, default=15, help="places in each quiet history")
    parser.add_argument("--blunders", action="store_true")
    options = parser.parse_args()
    if options.blunders:
        write(f"never taken {opened_by(never_taken, options.rounds, options.seed):.4f}")
        for size_psi in BLUNDERS_PSI:
            write(f"{size_psi:+6.0f} psi  {opened_by(misread_by(size_psi), options.rounds, options.seed):.4f}")
    else:
        write(f"{'scenario':24s} as shipped | learned from all | from forty | from all, 0.03 and 0.30 chosen")
        for scenario_name in SCENARIOS:
            write(report(scenario_name, options.tyres, options.seed))
