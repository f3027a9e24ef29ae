"""Simulated tyres in the form that the drift computation takes."""

import numpy as np

from calculations.drift import Events, Histories, TyreReadings, Tyres, Work, arrange_tyres
from calculations.drift.tyre_loss import joined_histories
from tests.simulator.tyres import SEA_LEVEL_PSIA, TyreFleet

GAUGE_SD_PSI = 0.5
THERMOMETER_SD_F = 4.0


def tyres_of(fleet: TyreFleet) -> Tyres:
    """Return the sheet of every tyre; a tenth above or below service pressure is the limit."""
    service = np.full(fleet.scenario.tyres, fleet.scenario.service_psig)
    return Tyres(service, 0.9 * service, 1.1 * service, np.full(len(service), 70.0))


def tyre_histories_of(fleet: TyreFleet) -> Histories:
    """Return the histories as the service would have them, its own beliefs about gauge and thermometer included."""
    size = len(fleet.day)
    readings = TyreReadings(
        series=fleet.series,
        day=fleet.day,
        pressure_psig=fleet.pressure_psig,
        temperature_f=fleet.temperature_f,
        cold=fleet.cold,
        gauge_sd_psi=np.full(size, GAUGE_SD_PSI),
        temperature_sd_f=np.full(size, THERMOMETER_SD_F),
        atmosphere_psia=np.full(size, SEA_LEVEL_PSIA),
    )
    inflated = np.full(len(fleet.inflation_day), int(Work.INFLATED))
    return arrange_tyres(readings, tyres_of(fleet), Events(fleet.inflation_series, fleet.inflation_day, inflated))


def read_after_inflating(fleet: TyreFleet) -> TyreReadings:
    """Return what was written down with inflations."""
    written = np.isfinite(fleet.inflated_to_psig)
    size = int(written.sum())
    return TyreReadings(
        series=fleet.inflation_series[written],
        day=fleet.inflation_day[written],
        pressure_psig=fleet.inflated_to_psig[written],
        temperature_f=fleet.inflation_temperature_f[written],
        cold=np.ones(size, bool),
        gauge_sd_psi=np.full(size, GAUGE_SD_PSI),
        temperature_sd_f=np.full(size, THERMOMETER_SD_F),
        atmosphere_psia=np.full(size, SEA_LEVEL_PSIA),
    )


def joined_histories_of(fleet: TyreFleet) -> Histories:
    """Return the histories with what work did to the pressures."""
    return joined_histories(tyre_histories_of(fleet), tyres_of(fleet), read_after_inflating(fleet))
