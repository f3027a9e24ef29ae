"""How often the stated intervals hold what is true: ``python -m tests.detectors.coverage``.

The 90 % interval of the rate is looked at on the last reading up to 60 days after the onset, of all struts and of
those with an alert; the 80 % interval of the day of breach on the reading that opens the alert. What is true is the
charge lost per month and the day on which the length at sheet conditions would reach the limit at that rate.
"""

import argparse

import numpy as np

from calculations.drift import Histories, assess
from calculations.drift.assess import alerts_after_each
from calculations.drift.losses import estimate_losses
from calculations.drift.model import STRUT_MODEL
from calculations.drift.replay import cut_off
from calculations.drift.settings import FleetHabits, Settings
from calculations.drift.sweep import sweep
from tests.detectors.__main__ import RATES, write
from tests.simulator import MAIN, NOSE, Fleet, Scenario, StrutType, simulate
from tests.simulator.as_histories import histories_of

DAYS_AFTER_ONSET = 60.0


def rate_figures(fleet: Fleet, histories: Histories) -> tuple[float, float, int, float]:
    """Return the share of rates covered and the root mean square error [in/month]; how many alerts stood, covered.

    First of all struts with five readings since the onset and no work, looked at as if an alert stood.
    """
    truth, series, count = fleet.truth, fleet.series, histories.count
    last = np.zeros(count)
    since = (fleet.day >= truth.onset_day[series]) & (fleet.day <= truth.onset_day[series] + DAYS_AFTER_ONSET)
    np.maximum.at(last, series[since], fleet.day[since])
    known = cut_off(histories, np.arange(count), last)
    found = assess(known, now_day=last)
    closely = estimate_losses(
        known, sweep(known, STRUT_MODEL, FleetHabits(), keep_above=-np.inf), last > 0, STRUT_MODEL
    )
    worked = np.zeros(count, bool)
    onset = truth.onset_day[fleet.service_series]
    worked[fleet.service_series[(fleet.service_day > onset) & (fleet.service_day < onset + DAYS_AFTER_ONSET)]] = True
    fair = (np.bincount(series[since], minlength=count) >= 5) & ~worked
    rate = truth.leak_in_per_month + truth.seep_in_per_month
    covered = (closely.loss_low <= rate) & (rate <= closely.loss_high)
    error = float(np.sqrt(np.mean((closely.loss - rate)[fair] ** 2)))
    alerted = found.losing
    return float(covered[fair].mean()), error, int(alerted.sum()), float(covered[alerted].mean())


def breach_figures(fleet: Fleet, histories: Histories) -> tuple[int, float]:
    """Return how many alerts gave a date when they opened, and the share of true days inside the interval."""
    truth, settings = fleet.truth, Settings()
    swept = sweep(histories, STRUT_MODEL, settings.habits)
    stands = alerts_after_each(swept, settings, STRUT_MODEL)[1]
    row = histories.source_row[swept.prepared.row]
    opened = np.full(histories.count, np.inf)
    after = stands & (fleet.day[row] >= truth.onset_day[fleet.series[row]])
    np.minimum.at(opened, fleet.series[row][after], fleet.day[row][after])
    struts = np.flatnonzero(np.isfinite(opened))
    found = assess(cut_off(histories, struts, opened[struts]), now_day=opened[struts])
    at = np.searchsorted(fleet.series * 1e5 + fleet.day, struts * 1e5 + opened[struts])
    gap = truth.reading_level_in[at] - histories.struts.low_limit_in[struts]
    loss = (truth.leak_in_per_month + truth.seep_in_per_month)[struts]
    breach = opened[struts] + 30.44 * gap / loss
    dated = found.losing & ~found.service_now & (gap > 0)
    # Beyond the horizon no date is given: an open end covers whatever lies behind it.
    low, high = (np.nan_to_num(day, nan=np.inf) for day in (found.breach_low_day, found.breach_high_day))
    return int(dated.sum()), float(np.mean(((low <= breach) & (breach <= high))[dated]))


def table(strut_type: StrutType, struts: int, seed: int) -> None:
    """Print one line per rate of loss."""
    write(f"{strut_type.name}, {struts} struts per rate, seed {seed}")
    write("in/month | rate: covered (90 %), RMSE; alerts, covered | breach: dated, covered (80 %)")
    for number, leak in enumerate(RATES):
        fleet = simulate(Scenario(strut_type=strut_type, struts=struts, leak_in_per_month=leak), seed + number)
        histories = histories_of(fleet)
        covered, error, alerts, told = rate_figures(fleet, histories)
        dated, held = breach_figures(fleet, histories)
        write(f"{leak:8.2f} | {covered:.2f} {error:.3f} {alerts:5d} {told:.2f} | {dated:5d} {held:.2f}")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(prog="python -m tests.detectors.coverage", description=__doc__)
    parser.add_argument("--kind", choices=("main", "nose"), default="main")
    parser.add_argument("--struts", type=int, default=600)
    parser.add_argument("--seed", type=int, default=901)
    chosen = parser.parse_args()
    table({"main": MAIN, "nose": NOSE}[chosen.kind], chosen.struts, chosen.seed)
