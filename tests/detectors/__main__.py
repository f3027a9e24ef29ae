"""Run every detector on the same histories and print the table: ``python -m tests.detectors``.

Thresholds are set on one leak-free fleet so that each detector raises the same number of false alarms per
strut-year; delays are then measured on leaking fleets of other seeds. ``--thresholds`` prints the evidence of
the product's detector at a range of false-alarm rates instead, which is where its table comes from.
"""

import argparse
import sys
import time
from collections.abc import Callable

from tests.detectors.lockstep import Array
from tests.detectors.measure import delays, false_alarm_rate, threshold_for
from tests.detectors.oracle import clairvoyant, semi_oracle
from tests.detectors.ours import robust_bank
from tests.detectors.rivals import RIVALS
from tests.simulator import MAIN, NOSE, Fleet, Scenario, simulate

RATES = (0.02, 0.05, 0.1, 0.2, 0.5, 1.0)
DETECTORS: dict[str, Callable[[Fleet], Array]] = {
    **RIVALS,
    "robust bank (ours)": robust_bank,
    "semi-oracle": semi_oracle,
    "clairvoyant": clairvoyant,
}


def table(kind: str, quiet: int, leaking: int, seed: int, rate: float) -> None:
    """Print one line per detector: threshold, median delays, share flagged before breach."""
    strut_type = {"main": MAIN, "nose": NOSE}[kind]
    healthy = simulate(Scenario(strut_type=strut_type, struts=quiet), seed)
    fleets = [
        simulate(Scenario(strut_type=strut_type, struts=leaking, leak_in_per_month=leak), seed + 1 + number)
        for number, leak in enumerate(RATES)
    ]
    write(
        f"{kind}: {rate} false alarms per strut-year; {quiet} quiet, {leaking} leaking struts per rate; seed {seed}"
    )
    write(f"{'detector':22s} {'thresh':>7s} | median delay [d] at {RATES} in/month | flagged before breach")
    for name, detector in DETECTORS.items():
        begun = time.perf_counter()
        threshold = threshold_for(healthy, detector(healthy), rate)
        results = [delays(fleet, detector(fleet), threshold) for fleet in fleets]
        medians = " ".join(f"{result.median:6.0f}" for result in results)
        early = " ".join(f"{result.before_breach:.2f}" for result in results)
        write(f"{name:22s} {threshold:7.2f} | {medians} | {early} | {time.perf_counter() - begun:.1f} s")


def thresholds(kind: str, quiet: int, seed: int) -> None:
    """Print evidence against false-alarm rate of the product's detector."""
    healthy = simulate(Scenario(strut_type={"main": MAIN, "nose": NOSE}[kind], struts=quiet), seed)
    statistic = robust_bank(healthy)
    for rate in (0.005, 0.016, 0.03, 0.06, 0.10, 0.17, 0.30, 0.60, 1.0):
        threshold = threshold_for(healthy, statistic, rate)
        write(f"{kind} {rate:6.3f} {threshold:6.2f} {false_alarm_rate(healthy, statistic, threshold):.3f}")


def write(line: str) -> None:
    """Write a line at once, for the table takes minutes."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    parser = argparse.ArgumentParser(prog="python -m tests.detectors", description=__doc__)
    parser.add_argument("--kind", choices=("main", "nose"), default="main")
    parser.add_argument("--quiet", type=int, default=1500, help="leak-free struts of two years")
    parser.add_argument("--leaking", type=int, default=300, help="leaking struts per rate")
    parser.add_argument("--seed", type=int, default=41)
    parser.add_argument("--rate", type=float, default=0.10, help="false alarms per strut-year")
    parser.add_argument("--thresholds", action="store_true")
    chosen = parser.parse_args()
    if chosen.thresholds:
        thresholds(chosen.kind, chosen.quiet, chosen.seed)
    else:
        table(chosen.kind, chosen.quiet, chosen.leaking, chosen.seed, chosen.rate)
