"""False alarms when the noise is not as assumed, before and after the service has learned the fleet.

``python -m tests.detectors.robustness`` prints, per scenario, cautions opened per strut-year (openings with
hysteresis, as an operator would see them) on leak-free fleets: with the model's own figures, after learning
from the whole fleet, and after learning from sixty of its struts only.
"""

import argparse
import sys
from dataclasses import replace

import numpy as np

from calculations.drift import FleetHabits, Histories, Settings, learn_habits
from calculations.drift.assess import alerts_after_each
from calculations.drift.model import STRUT_MODEL, DriftModel
from calculations.drift.sweep import sweep
from tests.simulator import ALL_BAD, MAIN, NOSE, Climate, Scenario, simulate
from tests.simulator.as_histories import histories_of

SCENARIOS: dict[str, dict[str, object]] = {
    "base": {},
    "nose": {"strut_type": NOSE},
    "temperature error 8 F": {"temperature_error_f": 8.0},
    "fuel error 40 lb": {"fuel_error_lb": 40.0},
    "blunders 5 %": {"blunder_share": 0.05},
    "30 % sticky": {"sticky_share": 0.3},
    "seep up to .02": {"seep_in_per_month": (0.0, 0.02)},
    "rarely moved": {"friction_persistence": 0.7},
    "3 services a year": {"routine_services_per_year": 3.0},
    "reader .1 in": {"reader_sd_in": 0.1},
    "all bad": dict(ALL_BAD),
    "cold climate": {"climate": Climate(35.0, 32.0, 12.0, 12.0)},
    "hot climate": {"climate": Climate(80.0, 12.0, 4.0, 15.0)},
    "1-3 readings a month": {"readings_per_month": (1.0, 3.0)},
    "10-20 a month": {"readings_per_month": (10.0, 20.0)},
    "four months unread": {"gap_share": 0.7},
    "30 % work unrecorded": {"unrecorded_share": 0.3},
}


def openings_per_year(
    histories: Histories,
    years: float,
    habits: FleetHabits,
    chosen: Settings | None = None,
    model: DriftModel = STRUT_MODEL,
) -> float:
    """Cautions opened per part and year."""
    swept = sweep(histories, model, habits)
    _, stands = alerts_after_each(swept, replace(chosen or Settings(), habits=habits), model)
    series = histories.readings.series[swept.prepared.row]
    follows = np.concatenate([[False], (series[1:] == series[:-1]) & stands[:-1]])
    return float((stands & ~follows).sum() / years)


def report(name: str, struts: int, seed: int) -> str:
    """Return the line of one scenario."""
    scenario = Scenario(**{"strut_type": MAIN, "struts": struts, **SCENARIOS[name]})  # type: ignore[arg-type]
    histories = histories_of(simulate(scenario, seed))
    years = struts * scenario.months / 12.0
    learned, few = learn_habits(histories), learn_habits(histories.select(np.arange(60)))
    rates = [openings_per_year(histories, years, habits) for habits in (FleetHabits(), learned, few)]
    return (
        f"{name:22s} {rates[0]:.3f} | {rates[1]:.3f} (shift {learned.threshold_shift:+.2f}, noise "
        f"{learned.noise_factor_exercised:.2f} {learned.noise_factor_resting:.2f}, trust "
        f"{learned.temperature_trust:.2f} {learned.load_trust:.2f}) | {rates[2]:.3f} ({few.threshold_shift:+.2f})"
    )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(prog="python -m tests.detectors.robustness", description=__doc__)
    parser.add_argument("--struts", type=int, default=700)
    parser.add_argument("--seed", type=int, default=91)
    chosen = parser.parse_args()
    sys.stdout.write(f"{'scenario':22s} as shipped | learned from all | learned from 60 struts\n")
    for scenario_name in SCENARIOS:
        sys.stdout.write(report(scenario_name, chosen.struts, chosen.seed) + "\n")
        sys.stdout.flush()
