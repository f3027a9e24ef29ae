"""What one bad reading does to a strut that does not leak: ``python -m tests.detectors.blunders``.

Once per strut, anywhere in its history or at its very beginning, one reading is so many inches out, or was never
taken. Printed is in how many places of a thousand a caution opens at that reading, by the next, and within
twenty-five, where none stood before and none opens otherwise.
"""

import argparse
from dataclasses import replace
from functools import partial

import numpy as np

from calculations.drift import FleetHabits, Histories, Settings
from calculations.drift.assess import alerts_after_each
from calculations.drift.histories import BoolArray, FloatArray, IntArray
from calculations.drift.model import STRUT_MODEL
from calculations.drift.sweep import Swept, sweep
from tests.detectors.__main__ import write
from tests.simulator import MAIN, NOSE, Scenario, simulate
from tests.simulator.as_histories import histories_of

WITHIN = (1, 2, 25)
"""Readings, the bad one among them."""
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


def never_taken(histories: Histories, rows: IntArray) -> Histories:
    """Return the histories with some readings as none can be."""
    raw_in = histories.readings.raw_in.copy()
    raw_in[rows] = 0.0
    return replace(histories, readings=replace(histories.readings, raw_in=raw_in))


def opened_within(quiet: Histories, changed: Histories, rows: IntArray, readings: tuple[int, ...]) -> FloatArray:
    """Return on what share of struts a caution opens within so many readings from a changed one, and else not."""
    before, after = after_each_reading(quiet), after_each_reading(changed)
    ahead = rows[:, None] + np.arange(max(readings))
    at = np.where(ahead < quiet.offsets[1:, None], ahead, rows[:, None])
    clear = (rows == quiet.offsets[:-1]) | ~before[rows - 1]
    shares = [clear & after[at[:, :n]].any(axis=1) & ~before[at[:, :n]].any(axis=1) for n in readings]
    return np.mean(shares, axis=1)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(prog="python -m tests.detectors.blunders", description=__doc__)
    parser.add_argument("--struts", type=int, default=3000)
    parser.add_argument("--seed", type=int, default=95)
    parser.add_argument("--rounds", type=int, default=4, help="places in each history")
    options = parser.parse_args()
    write(f"of a thousand, within {WITHIN} readings: anywhere | at the very beginning")
    for strut_type in (MAIN, NOSE):
        struts = Scenario(strut_type=strut_type, struts=options.struts, blunder_share=0.0)
        quiet = histories_of(simulate(struts, options.seed))
        anywhere = [one_of_each(quiet, np.random.default_rng(number)) for number in range(options.rounds)]
        changes = {f"{out:+.2f} in": partial(misread, out_in=out) for out in OUT_IN} | {"never taken": never_taken}
        for name, change in changes.items():
            somewhere, first = (
                1e3 * np.mean([opened_within(quiet, change(quiet, rows), rows, WITHIN) for rows in places], axis=0)
                for places in (anywhere, [quiet.offsets[:-1]])
            )
            write(f"{strut_type.name} {name:11s} {np.round(somewhere, 1)} | {np.round(first, 1)}")
