"""Run detectors of leaking tyres on the same histories and print the table: ``python -m tests.detectors.tyres``.

As for struts (``python -m tests.detectors``): thresholds are set on one leak-free fleet so that each detector
raises the same number of false alarms per tyre-year, and delays are measured on leaking fleets of other seeds.
``--thresholds`` prints the evidence of the product's detector at a range of false-alarm rates, ``--rates`` how
well it tells the rate of a loss.
"""

import argparse
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from calculations.drift import FleetHabits, Histories, assess_tyres, replay
from calculations.drift.episodes import alarm_statistic
from calculations.drift.model import DriftModel
from calculations.drift.replay import cut_off
from calculations.drift.sweep import sweep
from calculations.drift.tyre_model import TYRE_HABITS, TYRE_MODEL, TYRE_SETTINGS
from tests.detectors.__main__ import write
from tests.detectors.measure import Array, episode_starts, first_alarms, lowest_threshold
from tests.simulator.tyres import TyreFleet, TyreScenario, simulate_tyres
from tests.simulator.tyres_as_histories import joined_histories_of, tyre_histories_of, tyres_of

RATES: Final = (0.05, 0.1, 0.2, 0.5, 1.0, 3.0)
FALSE_ALARMS: Final = (0.005, 0.016, 0.03, 0.06, 0.10, 0.17, 0.30, 0.50)
BEYOND_ANY_BLUNDER: Final = 1e6
NOT_ROBUST: Final = replace(
    TYRE_MODEL,
    huber=BEYOND_ANY_BLUNDER,
    leak_bound=BEYOND_ANY_BLUNDER,
    look_huber=BEYOND_ANY_BLUNDER,
    outlier=np.inf,
    outlier_above=np.inf,
)


@dataclass(frozen=True)
class Heard:
    """What a detector says after every reading."""

    series: np.typing.NDArray[np.int64]
    day: Array
    statistic: Array


def raw_threshold(fleet: TyreFleet) -> Heard:
    """How far the gauge reads below service pressure [psi]."""
    return Heard(fleet.series, fleet.day, fleet.scenario.service_psig - fleet.pressure_psig)


def corrected_threshold(fleet: TyreFleet) -> Heard:
    """How far the charge is below that at service pressure [percent]."""
    readings = tyre_histories_of(fleet).readings
    return Heard(readings.series, readings.day, 100.0 - readings.corrected_in)


def bank_on_raw(fleet: TyreFleet) -> Heard:
    """The product's detector on pressures taken for cold ones at the reference temperature."""
    return bank(replace(fleet, temperature_f=np.full(len(fleet.day), 70.0)))


def bank_not_robust(fleet: TyreFleet) -> Heard:
    """The product's detector without bounds on what one reading says."""
    return bank(fleet, NOT_ROBUST)


def bank(fleet: TyreFleet, model: DriftModel = TYRE_MODEL, habits: FleetHabits = TYRE_HABITS) -> Heard:
    """What an alert of the product is decided on."""
    histories = joined_histories_of(fleet)
    swept = sweep(histories, model, habits)
    prepared = swept.prepared
    statistic = alarm_statistic(swept, model)
    series = histories.readings.series[prepared.row]
    return Heard(series, prepared.day, np.where(np.isneginf(statistic), -9.0, statistic))


DETECTORS: Final[dict[str, Callable[[TyreFleet], Heard]]] = {
    "raw threshold": raw_threshold,
    "corrected threshold": corrected_threshold,
    "bank on raw pressure": bank_on_raw,
    "bank, not robust": bank_not_robust,
    "bank (ours)": bank,
}


def threshold_for(fleet: TyreFleet, heard: Heard, rate: float) -> float:
    """Threshold at which leak-free tyres see so many false alarms per tyre-year."""
    years = fleet.scenario.tyres * fleet.scenario.days / 365.25
    return lowest_threshold(
        heard.statistic,
        rate,
        lambda at: len(episode_starts(heard.series, heard.day, heard.statistic > at)) / years,
    )


def median_delay(fleet: TyreFleet, heard: Heard, threshold: float) -> float:
    """Days from onset to alarm that half of the tyres not in alarm already need."""
    first, already = first_alarms(heard.series, heard.day, heard.statistic > threshold, fleet.onset_day)
    return float(np.median((first - fleet.onset_day)[~already]))


def table(scenario: TyreScenario, quiet: int, leaking: int, seed: int, rate: float) -> None:
    """Print one line per detector: threshold and median delays."""
    healthy = simulate_tyres(replace(scenario, tyres=quiet), seed)
    fleets = [
        simulate_tyres(replace(scenario, tyres=leaking, leak_percent_per_day=leak), seed + 1 + number)
        for number, leak in enumerate(RATES)
    ]
    write(f"{rate} false alarms per tyre-year; {quiet} quiet, {leaking} leaking tyres per rate; seed {seed}")
    write(f"{'detector':22s} {'thresh':>7s} | median delay [d] at {RATES} % of absolute pressure per day")
    for name, detector in DETECTORS.items():
        threshold = threshold_for(healthy, detector(healthy), rate)
        medians = " ".join(f"{median_delay(fleet, detector(fleet), threshold):6.0f}" for fleet in fleets)
        write(f"{name:22s} {threshold:7.2f} | {medians}")


def thresholds(scenario: TyreScenario, quiet: int, seed: int) -> None:
    """Print evidence against false-alarm rate of the product's detector."""
    healthy = simulate_tyres(replace(scenario, tyres=quiet), seed)
    heard = bank(healthy)
    for rate in FALSE_ALARMS:
        write(f"{rate:6.3f} {threshold_for(healthy, heard, rate):6.2f}")


def rates(scenario: TyreScenario, leaking: int, seed: int) -> None:
    """Print how well the rate of a loss is told: when the alert opens, and 60 days after onset."""
    write("leak, when: coverage of the 90 % interval, root mean square error [%/day], share called fast")
    for number, leak in enumerate(RATES):
        fleet = simulate_tyres(replace(scenario, tyres=leaking, leak_percent_per_day=leak), seed + 1 + number)
        histories = tyre_histories_of(fleet)
        opened = _first_opening(fleet, histories)
        found = np.flatnonzero(np.isfinite(opened))
        write(f"{leak:5.2f} at alarm {_told(fleet, histories, found, opened[found])}")
        everyone = np.arange(leaking)
        write(f"{leak:5.2f} 60 days  {_told(fleet, histories, everyone, fleet.onset_day + 60.0)}")


def _first_opening(fleet: TyreFleet, histories: Histories) -> Array:
    heard = replay(joined_histories_of(fleet), TYRE_SETTINGS, TYRE_MODEL)
    always = np.ones(len(heard.series), bool)
    return first_alarms(heard.series, heard.opened_day, always, fleet.onset_day)[0]


def _told(fleet: TyreFleet, histories: Histories, chosen: np.typing.NDArray[np.int64], day: Array) -> str:
    sheet = replace(fleet, scenario=replace(fleet.scenario, tyres=len(chosen)))
    found = assess_tyres(cut_off(histories, chosen, day), tyres_of(sheet), now_day=day)
    losing, true_loss = found.drift.losing, fleet.loss_percent_per_day[chosen]
    within = (found.loss_low <= true_loss) & (true_loss <= found.loss_high)
    error = np.sqrt(np.mean((found.loss_percent_per_day - true_loss)[losing] ** 2))
    return f"{within[losing].mean():.2f} {error:.2f} {found.fast[losing].mean():.2f} of {losing.sum()} found"


if __name__ == "__main__":
    parser = argparse.ArgumentParser(prog="python -m tests.detectors.tyres", description=__doc__)
    parser.add_argument("--quiet", type=int, default=2000, help="leak-free tyres of two years")
    parser.add_argument("--leaking", type=int, default=400, help="leaking tyres per rate")
    parser.add_argument("--seed", type=int, default=61)
    parser.add_argument("--rate", type=float, default=0.10, help="false alarms per tyre-year")
    parser.add_argument("--inflate-below", type=float, default=TyreScenario.inflate_below_psig, help="psi, as read")
    parser.add_argument("--written", type=float, default=0.0, help="share of inflations with the pressure after them")
    parser.add_argument("--thresholds", action="store_true")
    parser.add_argument("--rates", action="store_true")
    chosen_options = parser.parse_args()
    simulated = TyreScenario(inflate_below_psig=chosen_options.inflate_below, written_after=chosen_options.written)
    if chosen_options.thresholds:
        thresholds(simulated, chosen_options.quiet, chosen_options.seed)
    elif chosen_options.rates:
        rates(simulated, chosen_options.leaking, chosen_options.seed)
    else:
        table(simulated, chosen_options.quiet, chosen_options.leaking, chosen_options.seed, chosen_options.rate)
