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
from calculations.drift.as_set import with_pressures_set
from calculations.drift.assess import Assessments, assess
from calculations.drift.histories import (
    BoolArray,
    Events,
    FloatArray,
    Histories,
    IntArray,
    Readings,
    Struts,
    arrange,
)
from calculations.drift.model import DAYS_PER_MONTH
from calculations.drift.settings import Settings
from calculations.drift.tyre_model import (
    FAST_PERCENT_PER_DAY,
    FILLING_WARMS_F,
    FILLING_WARMS_SD_F,
    TYRE_MODEL,
    TYRE_SETTINGS,
)

FAHRENHEIT_TO_ABSOLUTE: Final = 459.67


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
        At rest long enough to have air temperature; hot readings are set aside.
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
    """Infinite for a fast one: how much faster it might be, a few readings cannot say."""
    fast: BoolArray
    """Losing fast: read again tomorrow, do not wait."""
    pressure_now_psig: FloatArray
    """At reference temperature and sea level."""


def arrange_tyres(readings: TyreReadings, tyres: Tyres, work: Events) -> Histories:
    """Return tyre histories in percent of the charge that gives service pressure."""
    service = tyres.service_psig + STANDARD_ATMOSPHERE_PSI
    none = np.zeros(len(service))
    return arrange(
        charges(readings, tyres),
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


def charges(readings: TyreReadings, tyres: Tyres) -> Readings:
    """Return readings in percent of the charge that gives service pressure."""
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
    nothing = np.zeros(len(series))
    return Readings(
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
    )


def charges_after_work(readings: TyreReadings, tyres: Tyres) -> Readings:
    """Return what was read right after an inflation, when the gas is not yet as cold as the air that was noted."""
    warmed = readings.temperature_f + FILLING_WARMS_F
    sd = np.hypot(readings.temperature_sd_f, FILLING_WARMS_SD_F)
    return charges(replace(readings, temperature_f=warmed, temperature_sd_f=sd), tyres)


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
    histories: Histories,
    tyres: Tyres,
    *,
    now_day: float | FloatArray,
    settings: Settings = TYRE_SETTINGS,
    after_work: TyreReadings | None = None,
) -> TyreAssessments:
    """Assess every tyre; ``histories`` come from :func:`arrange_tyres`.

    ``after_work`` are pressures written down with an inflation, at its very time and with the temperature of the air.
    """
    joined = joined_histories(histories, tyres, after_work)
    drift = _of_readings_alone(
        assess(joined, now_day=now_day, settings=settings, model=TYRE_MODEL), histories, joined
    )
    service = tyres.service_psig + STANDARD_ATMOSPHERE_PSI
    loss = drift.loss_in_per_month / DAYS_PER_MONTH
    fast = drift.losing & (loss > FAST_PERCENT_PER_DAY)
    return TyreAssessments(
        drift=drift,
        loss_percent_per_day=loss,
        loss_low=drift.loss_low / DAYS_PER_MONTH,
        loss_high=np.where(fast, np.inf, drift.loss_high / DAYS_PER_MONTH),
        fast=fast,
        pressure_now_psig=service * np.exp(drift.level_in / 100.0 - 1.0) - STANDARD_ATMOSPHERE_PSI,
    )


def joined_histories(histories: Histories, tyres: Tyres, after_work: TyreReadings | None = None) -> Histories:
    """Return the histories with what work did to the pressures, as far as anybody knows."""
    return with_pressures_set(histories, None if after_work is None else charges_after_work(after_work, tyres))


def _of_readings_alone(found: Assessments, histories: Histories, joined: Histories) -> Assessments:
    """Return what was concluded from the joined histories, told of the readings that people took."""
    taken: BoolArray = joined.source_row < len(histories.readings.day)
    added = np.bincount(joined.readings.series[~taken], minlength=joined.count)
    return replace(
        found,
        readings_used=found.readings_used - added,
        disposition=found.disposition[taken],
        fitted_in=found.fitted_in[taken],
        fitted_sd_in=found.fitted_sd_in[taken],
    )
