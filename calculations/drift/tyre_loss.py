"""Loss of tyre pressure: the same filter and bank on the logarithm of absolute pressure.

Notes
-----
In a rigid volume ``P / T`` is proportional to the gas in it, so ``100 + 100 ln(P / P_service) - 100 ln(T / T_ref)``
(P and T absolute) is the charge in percent of that at service pressure, and a leak is a straight line in it. The
"1 % per 5 degF" rule is right for *absolute* pressure; on a 30 psi gauge it is 1.4 %, which is why raw gauge
pressure mistakes every autumn for a puncture.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from calculations.constants import STANDARD_ATMOSPHERE_PSI
from calculations.drift.assess import Assessments, assess
from calculations.drift.histories import (
    BoolArray,
    Events,
    FloatArray,
    Histories,
    IntArray,
    Readings,
    Struts,
    Work,
    arrange,
)
from calculations.drift.model import DAYS_PER_MONTH, Baseline, DriftModel, Rules
from calculations.drift.settings import FleetHabits, Settings

FAHRENHEIT_TO_ABSOLUTE: Final = 459.67
HOT_VARIANCE_SD_PERCENT: Final = 6.0
PERMEATION_PERCENT_PER_DAY: Final = 0.05
PERMEATION_SD_PERCENT_PER_DAY: Final = 0.03
FAST_PERCENT_PER_DAY: Final = 0.3
"""Above this the interval is too narrow to be honest: say "fast"."""

THRESHOLD_SHIFT: Final = 0.1
"""What tyres need above the struts' table for the same false alarms, measured on simulated tyres."""

_RESET: Final = Baseline(reopen_sd=3.0, settle_sd=0.0)
_RENEWED: Final = Baseline(reopen_sd=5.0, settle_sd=0.0, restarts=True)

TYRE_MODEL: Final = DriftModel(
    first_level_sd=4.0,
    seep_mean_per_month=-PERMEATION_PERCENT_PER_DAY * DAYS_PER_MONTH,
    seep_sd_per_month=PERMEATION_SD_PERCENT_PER_DAY * DAYS_PER_MONTH,
    level_walk_per_month=0.2,
    baselines={Work.INFLATED: _RESET, Work.GAS_RELEASED: _RESET, Work.INSTALLED: _RENEWED, Work.VALVE_CORE: _RENEWED},
    reader_sd=0.0,
    huber=1.2,
    leak_huber=1.2,
    outlier=5.0,
    friction_exercised_sd=0.3,
    friction_resting_sd=HOT_VARIANCE_SD_PERCENT,
    unrecorded_top_up_sd=5.0,
    slot_days=7.0,
    slots=16,
    rules=Rules(
        settling_days=0.0,
        sticky_factor=np.inf,
        looks_low=3.0,
        service_now_loss=FAST_PERCENT_PER_DAY * DAYS_PER_MONTH,
        service_now_gap=1.0,
    ),
    rates_per_month=tuple(DAYS_PER_MONTH * rate for rate in (0.05, 0.09, 0.17, 0.31, 0.58, 1.1, 2.0, 3.7)),
    rate_weights=(1.0,) * 8,
)


@dataclass(frozen=True)
class TyreReadings:
    """Readings of all tyres, flat, in any order.

    Parameters
    ----------
    series : array of int
    day : array [days]
    pressure_psig, temperature_f : array
        As read, and the temperature of the tyre's air then [psi gauge], [degF].
    cold : array of bool
        At rest long enough to have air temperature; hot readings count for little.
    gauge_sd_psi, temperature_sd_f : array
        How well each was known.
    atmosphere_psia : array
        Air pressure where it was read.
    """

    series: IntArray
    day: FloatArray
    pressure_psig: FloatArray
    temperature_f: FloatArray
    cold: BoolArray
    gauge_sd_psi: FloatArray
    temperature_sd_f: FloatArray
    atmosphere_psia: FloatArray


@dataclass(frozen=True)
class Tyres:
    """Per tyre: service, lowest and highest pressure [psi gauge] at the reference temperature [degF]."""

    service_psig: FloatArray
    low_limit_psig: FloatArray
    high_limit_psig: FloatArray
    reference_temperature_f: FloatArray


@dataclass(frozen=True)
class TyreAssessments:
    """What is concluded of each tyre.

    ``drift`` has findings, dates and dispositions as for struts; its lengths are percent of the charge at
    service pressure, its rates percent per month. The fields here are in the tyre's own units.
    """

    drift: Assessments
    loss_percent_per_day: FloatArray
    loss_low: FloatArray
    loss_high: FloatArray
    fast: BoolArray
    """Losing faster than an interval could honestly say: read again tomorrow, do not wait."""
    pressure_now_psig: FloatArray
    """At reference temperature and sea level."""


def arrange_tyres(readings: TyreReadings, tyres: Tyres, work: Events) -> Histories:
    """Return tyre histories in percent of the charge that gives service pressure."""
    series = readings.series
    service = tyres.service_psig + STANDARD_ATMOSPHERE_PSI
    charge = charge_percent(
        readings.pressure_psig,
        readings.temperature_f,
        readings.atmosphere_psia,
        tyres.service_psig[series],
        tyres.reference_temperature_f[series],
    )
    absolute = readings.pressure_psig + readings.atmosphere_psia
    nothing, none = np.zeros(len(series)), np.zeros(len(service))
    return arrange(
        Readings(
            series=series,
            day=readings.day,
            corrected_in=charge,
            # A flat tyre has no charge to speak of, and its logarithm says nothing.
            raw_in=np.where(readings.pressure_psig > 0.0, 100.0 * absolute / service[series], 0.0),
            temperature_offset_f=nothing,
            load_offset_lbf=nothing,
            exercised=readings.cold,
            temperature_sd_f=readings.temperature_sd_f,
            load_sd_lbf=nothing,
            scale_in=np.sqrt(12.0) * 100.0 * readings.gauge_sd_psi / absolute,
        ),
        Struts(
            target_in=np.full(len(service), 100.0),
            low_limit_in=_percent_of_service(tyres.low_limit_psig, service),
            high_limit_in=_percent_of_service(tyres.high_limit_psig, service),
            full_extension_in=np.full(len(service), 200.0),
            temperature_slope_in_per_f=100.0 / (tyres.reference_temperature_f + FAHRENHEIT_TO_ABSOLUTE),
            load_slope_in_per_lbf=none,
            temperature_slope_sd=none,
            load_slope_sd=none,
        ),
        work,
    )


def _percent_of_service(pressure_psig: FloatArray, service_psia: FloatArray) -> FloatArray:
    return np.asarray(100.0 + 100.0 * np.log((pressure_psig + STANDARD_ATMOSPHERE_PSI) / service_psia))


def charge_percent(
    pressure_psig: FloatArray,
    temperature_f: FloatArray,
    atmosphere_psia: FloatArray,
    service_psig: FloatArray,
    reference_temperature_f: FloatArray,
) -> FloatArray:
    """Return the charge in percent of that which gives service pressure (to first order).

    Examples
    --------
    A 30 psi tyre set at 70 degF and read at 20 degF has lost nothing:

    >>> cold = (30.0 + 14.696) * (20 + 459.67) / (70 + 459.67) - 14.696
    >>> charge = charge_percent(*(np.array(v) for v in (cold, 20.0, 14.696, 30.0, 70.0)))
    >>> round(float(charge), 2)
    100.0
    """
    service = service_psig + STANDARD_ATMOSPHERE_PSI
    warmth = (temperature_f + FAHRENHEIT_TO_ABSOLUTE) / (reference_temperature_f + FAHRENHEIT_TO_ABSOLUTE)
    return np.asarray(100.0 + 100.0 * (np.log((pressure_psig + atmosphere_psia) / service) - np.log(warmth)))


def assess_tyres(
    histories: Histories, tyres: Tyres, *, now_day: float | FloatArray, settings: Settings | None = None
) -> TyreAssessments:
    """Assess every tyre; ``histories`` come from :func:`arrange_tyres`."""
    settings = for_tyres(settings or Settings())
    drift = assess(histories, now_day=now_day, settings=settings, model=TYRE_MODEL)
    service = tyres.service_psig + STANDARD_ATMOSPHERE_PSI
    loss = drift.loss_in_per_month / DAYS_PER_MONTH
    return TyreAssessments(
        drift=drift,
        loss_percent_per_day=loss,
        loss_low=drift.loss_low / DAYS_PER_MONTH,
        loss_high=drift.loss_high / DAYS_PER_MONTH,
        fast=drift.losing & (loss > FAST_PERCENT_PER_DAY),
        pressure_now_psig=service * np.exp(drift.level_in / 100.0 - 1.0) - STANDARD_ATMOSPHERE_PSI,
    )


def for_tyres(settings: Settings) -> Settings:
    """Return the settings with a tyre's habits in place of a strut's."""
    habits = FleetHabits(
        seep_mean_per_month=TYRE_MODEL.seep_mean_per_month,
        seep_sd_per_month=TYRE_MODEL.seep_sd_per_month,
        threshold_shift=THRESHOLD_SHIFT,
    )
    return replace(settings, habits=habits)
