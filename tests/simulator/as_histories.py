"""A simulated fleet in the shape that the drift calculations take."""

import numpy as np

from calculations.drift.histories import Events, Histories, Readings, Struts, Work, arrange
from tests.simulator.fleet import Fleet

# What the sheet's estimated gas column and fluid may hide, per unit of the slope itself.
TEMPERATURE_SLOPE_SD = 0.0020
LOAD_SLOPE_SD = 0.0012


def readings_of(fleet: Fleet) -> Readings:
    """Return what the club recorded, with the uncertainties that it would state."""
    size = len(fleet.day)
    return Readings(
        series=fleet.series,
        day=fleet.day,
        corrected_in=fleet.corrected_in,
        raw_in=fleet.raw_in,
        temperature_offset_f=fleet.temperature_offset_f,
        load_offset_lbf=fleet.load_offset_lbf,
        exercised=fleet.exercised,
        temperature_sd_f=np.full(size, 4.0),
        load_sd_lbf=np.full(size, 8.0),
        scale_in=np.full(size, 1 / 8),
    )


def struts_of(fleet: Fleet) -> Struts:
    """Return the type sheet, the same for every strut of the fleet."""
    kind, count = fleet.scenario.strut_type, fleet.scenario.struts
    temperature_slope, load_slope = fleet.sheet.slopes(np.full(count, kind.target_in), kind.reference_load_lbf)
    one = np.ones(count)
    return Struts(
        target_in=kind.target_in * one,
        low_limit_in=(kind.target_in - 0.5) * one,
        high_limit_in=(kind.target_in + 0.5) * one,
        full_extension_in=kind.full_extension_in * one,
        temperature_slope_in_per_f=temperature_slope,
        load_slope_in_per_lbf=load_slope,
        temperature_slope_sd=TEMPERATURE_SLOPE_SD * one,
        load_slope_sd=LOAD_SLOPE_SD * one,
    )


def work_of(fleet: Fleet) -> Events:
    """Return the servicings that were written down."""
    told = fleet.service_recorded
    kind = np.where(fleet.service_added[told], int(Work.GAS_ADDED), int(Work.GAS_RELEASED))
    return Events(fleet.service_series[told], fleet.service_day[told], kind.astype(np.int64))


def histories_of(fleet: Fleet) -> Histories:
    """Return the whole fleet, arranged."""
    return arrange(readings_of(fleet), struts_of(fleet), work_of(fleet))
