"""What one bad reading does to a strut that does not leak: ``python -m tests.detectors.blunders``.

Once per strut, anywhere in its history, one reading is so many inches out. Printed is in how many places of a
thousand a caution opens at it, and with the reading after it, where none stood; then, of first readings, on how many
struts of a thousand one opens within the next twenty-five where none did.
"""

import argparse
from dataclasses import replace

import numpy as np

from calculations.drift import FleetHabits, Histories, Settings
from calculations.drift.assess import alerts_after_each
from calculations.drift.histories import BoolArray, IntArray
from calculations.drift.model import STRUT_MODEL
from calculations.drift.sweep import Swept, sweep
from tests.detectors.__main__ import write
from tests.simulator import MAIN, NOSE, Scenario, simulate
from tests.simulator.as_histories import histories_of

AFTER_FIRST = 25
OUT_IN = (-1.25, -1.0, -0.5, 0.5, 1.0)


def misread(histories: Histories, rows: IntArray, out_in: float) -> Histories:
    """Return the histories with some readings so many inches out."""
    readings = histories.readings
    corrected_in, raw_in = readings.corrected_in.copy(), readings.raw_in.copy()
    corrected_in[rows] += out_in
    raw_in[rows] += out_in
    return replace(histories, readings=replace(readings, corrected_in=corrected_in, raw_in=raw_in))


def one_of_each(histories: Histories, rng: np.random.Generator) -> IntArray:
    """Return one reading of each strut, none of the first three or the last three."""
    lengths = np.diff(histories.offsets)
    return np.asarray(histories.offsets[:-1] + 3 + (rng.random(len(lengths)) * (lengths - 6)).astype(np.int64))


def alerts(histories: Histories) -> tuple[Swept, BoolArray]:
    """Return the sweep, and whether an alert for a loss stands after each usable reading."""
    swept = sweep(histories, STRUT_MODEL, FleetHabits())
    return swept, alerts_after_each(swept, Settings(), STRUT_MODEL)[1]


def after_each_reading(histories: Histories) -> BoolArray:
    """Return the same after each reading of the histories; after one that is not usable none stands."""
    swept, stands = alerts(histories)
    told = np.zeros(len(histories.readings.day), bool)
    told[swept.prepared.row] = stands
    return told


def opened_at_and_after(histories: Histories, rows: IntArray, out_in: float) -> tuple[float, float]:
    """Return the share of places where a caution opens at the reading that is out, and with the next."""
    before, after = after_each_reading(histories), after_each_reading(misread(histories, rows, out_in))
    clear = ~(before[rows - 1] | before[rows] | before[rows + 1])
    at_once = clear & after[rows]
    return float(at_once.mean()), float((clear & ~at_once & after[rows + 1]).mean())


def opened_after_first(histories: Histories, out_in: float) -> float:
    """Return the share of struts on which a caution opens soon after a first reading that is out."""
    first = histories.offsets[:-1]
    series = histories.readings.series
    soon = np.arange(len(series)) < first[series] + AFTER_FIRST

    def ever(told: BoolArray) -> BoolArray:
        return np.asarray(np.bincount(series[told & soon], minlength=histories.count) > 0)

    after = ever(after_each_reading(misread(histories, first, out_in)))
    return float((after & ~ever(after_each_reading(histories))).mean())


if __name__ == "__main__":
    parser = argparse.ArgumentParser(prog="python -m tests.detectors.blunders", description=__doc__)
    parser.add_argument("--struts", type=int, default=3000)
    parser.add_argument("--seed", type=int, default=95)
    parser.add_argument("--rounds", type=int, default=4, help="places in each history")
    options = parser.parse_args()
    write("in of a thousand: at once, with the next | after a first reading")
    for strut_type in (MAIN, NOSE):
        quiet = histories_of(
            simulate(Scenario(strut_type=strut_type, struts=options.struts, blunder_share=0.0), options.seed)
        )
        places = [one_of_each(quiet, np.random.default_rng(number)) for number in range(options.rounds)]
        for out in OUT_IN:
            at_once, with_next = 1e3 * np.mean([opened_at_and_after(quiet, rows, out) for rows in places], axis=0)
            after_first = 1e3 * opened_after_first(quiet, out)
            write(f"{strut_type.name} {out:+.2f}: {at_once:5.1f} {with_next:5.1f} | {after_first:5.0f}")
