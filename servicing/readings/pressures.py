"""Gauge readings on struts at rest, against the load that stood on them then."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Final

import numpy as np

from calculations.strut_estimate import REST_PRESSURE_SPREAD
from calculations.strut_pressure import (
    AREA_SD,
    GAUGE_SD_PSI,
    PRESSURE_VERDICTS,
    PressureVerdict,
    check_pressure_at_rest,
)
from servicing.readings.correction import sheet_load_sd
from servicing.readings.figures import sheet_figures
from servicing.readings.known_fleet import KnownLeg
from servicing.readings.models import Observation, StrutReading

_LEAST_LOAD_LBF: Final = 1.0  # what a changed sheet makes of an old reading may be no load at all


@dataclass(frozen=True, slots=True)
class PressureAtRest:
    """A gauge reading, what it carries and what stood on the leg; ``excess`` as a share of that load."""

    pressure_psig: float
    carried_lbf: float
    load_lbf: float
    excess: float
    excess_sd: float
    verdict: PressureVerdict


def at_rest(reading: StrutReading) -> bool:
    """Say whether a pressure was read, and with the strut on its wheel."""
    return reading.pressure_psig is not None and Observation.HOLDS_ON_JACKS not in reading.observations


def pressures_at_rest(readings: Sequence[StrutReading], legs: Sequence[KnownLeg]) -> list[PressureAtRest]:
    """Return what the pressures of readings tell, each on its leg as of `legs`; all must be `at_rest`."""
    if not readings:
        return []
    figures, each = sheet_figures(legs), np.arange(len(legs))
    strut = figures.strut_figures(each)

    def column(values: list[float | None], missing: float) -> np.ndarray:
        return np.array([missing if value is None else value for value in values])

    load = np.maximum([row.load_lbf for row in readings], _LEAST_LOAD_LBF)
    weighed = np.array([row.leg_load_lbf is not None for row in readings])
    people = column([row.occupants_lb for row in readings], 0.0) - figures.reference_occupants_lb
    beyond = load - figures.reference_load_lbf - figures.load_per_occupant * people
    per_fuel = figures.load_per_fuel
    fuel = np.divide(beyond, per_fuel, out=np.zeros_like(beyond), where=per_fuel > 0.0)
    guessed = np.array(["reference_load" in names for names in figures.estimated]) & ~weighed
    found = check_pressure_at_rest(
        column([row.pressure_psig for row in readings], 0.0),
        load,
        strut.area_in2,
        extension_in=[row.extension_in for row in readings],
        # Only the sheet can say where the stop is; an estimate would cry wolf.
        full_extension_in=column([leg.sheet.full_extension_in for leg in legs], np.inf),
        gauge_sd_psi=[_gauge_sd_psi(row) for row in readings],
        load_sd_lbf=np.sqrt(
            np.array([row.load_sd_lbf for row in readings]) ** 2
            + np.where(weighed, 0.0, sheet_load_sd(figures, each, fuel, people)) ** 2
            + np.where(guessed, REST_PRESSURE_SPREAD * load, 0.0) ** 2
        ),
        area_sd=np.maximum(AREA_SD, 2.0 * figures.tube_diameter_sd_in / figures.tube_diameter_in),
    )
    return [
        PressureAtRest(float(row.pressure_psig or 0.0), carried, row.load_lbf, excess, sd, PRESSURE_VERDICTS[verdict])
        for row, carried, excess, sd, verdict in zip(
            readings,
            found.carried_lbf.tolist(),
            found.excess.tolist(),
            found.excess_sd.tolist(),
            found.verdict.tolist(),
            strict=True,
        )
    ]


def _gauge_sd_psi(reading: StrutReading) -> float:
    """Return what a gauge may be off; a stated error is a bound, within which all is as likely."""
    stated = reading.gauge.gauge_error_psi if reading.gauge else None
    return GAUGE_SD_PSI if stated is None else stated / sqrt(3.0)
