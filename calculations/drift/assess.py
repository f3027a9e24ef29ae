"""Assess many struts at once: finding, level, rate, forecast, and what became of every reading."""

from dataclasses import dataclass

import numpy as np

from calculations.drift.after_each import out_of_limits_after_each
from calculations.drift.ageing import day_of_change, last_days, last_work
from calculations.drift.episodes import alarm_statistic, stands_after_each
from calculations.drift.filter import LOAD, TEMPERATURE
from calculations.drift.findings import (
    DISPOSITIONS,
    FINDINGS,
    SET_ASIDE,
    CheckFirst,
    Disposition,
    Finding,
    Symptoms,
    check_first,
    classify,
    grade,
    is_sticky,
)
from calculations.drift.fluid_evidence import weigh_kind
from calculations.drift.forecast import FORECAST_DAYS
from calculations.drift.histories import BoolArray, FloatArray, Histories, IntArray
from calculations.drift.losses import LossEstimate, estimate_losses
from calculations.drift.model import DAYS_PER_MONTH, STRUT_MODEL, DriftModel, Rules
from calculations.drift.on_stop import surely_high, topped_out
from calculations.drift.settings import Settings
from calculations.drift.sweep import Swept, read_hot, series_ends, sweep
from calculations.drift.thresholds import CLOSES_BELOW, opening_evidence


@dataclass(frozen=True)
class Assessments:
    """One entry per series; quantities in inches, months and days of the histories' own epoch.

    ``finding`` indexes :data:`calculations.drift.findings.FINDINGS`, ``level`` is a
    :class:`~calculations.drift.findings.Level`. Losses are positive when the strut goes down. A breach day is
    NaN where none is in sight or ``service_now`` says that no date would be honest.
    """

    finding: IntArray
    level: IntArray
    check_first: list[CheckFirst]
    losing: BoolArray
    """An alert for a loss stands."""
    evidence: FloatArray
    evidence_needed: FloatArray
    loss_in_per_month: FloatArray
    loss_low: FloatArray
    loss_high: FloatArray
    level_in: FloatArray
    """NaN where nothing was read, and on the upper stop, where length does not tell it."""
    level_low_in: FloatArray
    level_high_in: FloatArray
    breach_day: FloatArray
    breach_low_day: FloatArray
    breach_high_day: FloatArray
    service_now: BoolArray
    onset_day: FloatArray
    fluid_probability: FloatArray
    suspect_last_reading: BoolArray
    changes_day: FloatArray
    """First day on which the calendar alone may change finding or level; NaN where it cannot."""
    readings_used: IntArray
    readings_set_aside: IntArray
    temperature_slope_in_per_f: FloatArray
    temperature_slope_sd: FloatArray
    load_slope_in_per_lbf: FloatArray
    load_slope_sd: FloatArray
    noise_factor_exercised: FloatArray
    noise_factor_resting: FloatArray
    disposition: IntArray
    """Per reading of the histories: index into :data:`calculations.drift.findings.DISPOSITIONS`."""
    fitted_in: FloatArray
    """Per reading: level at sheet conditions as known then; of a loss that stands, on its line as known now, since
    it began or the last work. NaN where the reading is impossible."""
    fitted_sd_in: FloatArray


def assess(
    histories: Histories,
    *,
    now_day: float | FloatArray,
    settings: Settings | None = None,
    model: DriftModel = STRUT_MODEL,
) -> Assessments:
    """Assess every strut from its history up to now.

    Parameters
    ----------
    histories : Histories
        Arranged; readings and events after ``now_day`` must not be in it.
    now_day : float or array, (series,)
        The day of the assessment, same epoch as the readings.
    settings : Settings
        The operator's choices and the fleet's habits.
    model : DriftModel

    Returns
    -------
    Assessments
        A pure function of the arguments: nothing remembers earlier calls.
    """
    settings = settings or Settings()
    now = np.broadcast_to(np.asarray(now_day, float), (histories.count,)).copy()
    closes = opening_evidence(settings) - CLOSES_BELOW
    swept = sweep(histories, model, settings.habits, keep_above=closes)
    has, last = series_ends(swept.prepared.offsets)
    statistic, stands = alerts_after_each(swept, settings, model)
    losing = _holds_at(stands, last, has)
    estimate = estimate_losses(histories, swept, losing, model)
    worked_day = last_work(histories, model)
    symptoms = _symptoms(histories, swept, estimate, losing, worked_day, now, settings, model)
    stopped = _high_on_stop(histories, losing, worked_day, model)
    finding = np.where(stopped, FINDINGS.index(Finding.STANDING_HIGH), classify(symptoms))
    service_now = losing & _no_honest_date(histories, estimate, model.rules)
    last_day = last_days(swept)
    dated = losing & ~service_now
    disposition = _dispositions(histories, swept, model)
    aside = np.isin(disposition, [DISPOSITIONS.index(d) for d in SET_ASIDE])
    fitted, fitted_sd = _fitted(histories, swept, estimate, losing, worked_day)
    set_aside = np.bincount(histories.readings.series[aside], minlength=histories.count)
    return Assessments(
        finding=finding,
        level=grade(finding, symptoms),
        check_first=check_first(finding, symptoms),
        losing=losing,
        evidence=_at(statistic, last, has, -np.inf),
        evidence_needed=np.full(histories.count, opening_evidence(settings)),
        loss_in_per_month=estimate.loss,
        loss_low=estimate.loss_low,
        loss_high=estimate.loss_high,
        level_in=np.where(stopped, np.nan, estimate.level),
        level_low_in=np.where(stopped, np.nan, estimate.level_low),
        level_high_in=np.where(stopped, np.nan, estimate.level_high),
        breach_day=_dates(last_day, estimate.breach, dated),
        breach_low_day=_dates(last_day, estimate.breach_low, dated),
        breach_high_day=_dates(last_day, estimate.breach_high, dated),
        service_now=service_now,
        onset_day=estimate.onset_day,
        fluid_probability=symptoms.fluid_probability,
        suspect_last_reading=_holds_at(swept.alone, last, has),
        changes_day=day_of_change(histories, swept, estimate, symptoms, now, settings, model),
        readings_used=np.diff(histories.offsets) - set_aside,
        readings_set_aside=set_aside,
        temperature_slope_in_per_f=histories.struts.temperature_slope_in_per_f + swept.state[TEMPERATURE],
        temperature_slope_sd=np.sqrt(swept.covariance[TEMPERATURE, TEMPERATURE]),
        load_slope_in_per_lbf=histories.struts.load_slope_in_per_lbf + swept.state[LOAD],
        load_slope_sd=np.sqrt(swept.covariance[LOAD, LOAD]),
        noise_factor_exercised=swept.noise_factor[0],
        noise_factor_resting=swept.noise_factor[1],
        disposition=disposition,
        fitted_in=fitted,
        fitted_sd_in=fitted_sd,
    )


def alerts_after_each(swept: Swept, settings: Settings, model: DriftModel) -> tuple[FloatArray, BoolArray]:
    """Return the statistic after each usable reading, and whether an alert stands after it."""
    statistic = alarm_statistic(swept, model)
    opens = opening_evidence(settings)
    return statistic, stands_after_each(swept.prepared, statistic, opens, opens - CLOSES_BELOW)


def _high_on_stop(histories: Histories, losing: BoolArray, worked_day: FloatArray, model: DriftModel) -> BoolArray:
    """Return whether the last reading, since any work, was on the upper stop; a loss that stands speaks first."""
    has, last = series_ends(histories.offsets)
    since_work = _at(histories.readings.day, last, has, -np.inf) > worked_day
    return np.asarray(~losing & since_work & _holds_at(surely_high(histories, model), last, has))


def _no_honest_date(histories: Histories, estimate: LossEstimate, rules: Rules) -> BoolArray:
    gap = estimate.level - histories.struts.low_limit_in
    return (estimate.loss > rules.service_now_loss) | (gap < rules.service_now_gap)


def _symptoms(
    histories: Histories,
    swept: Swept,
    estimate: LossEstimate,
    losing: BoolArray,
    worked_day: FloatArray,
    now: FloatArray,
    settings: Settings,
    model: DriftModel,
) -> Symptoms:
    struts, prepared, rules = histories.struts, swept.prepared, model.rules
    has, last = series_ends(prepared.offsets)
    kind = weigh_kind(histories, now, estimate.onset_day)
    series, alone = histories.readings.series[prepared.row], swept.alone

    def read_since(day: FloatArray, times: int) -> BoolArray:
        agreeing = (prepared.day > day[series]) & ~alone
        return np.asarray(np.bincount(series[agreeing], minlength=histories.count) >= times)

    last_day = last_days(swept)
    # A level that rests on one reading since the work is told by no caution: that reading may be the wrong one.
    # What is out of limits stays so while nobody reads it: the calendar mends nothing.
    supported = read_since(worked_day, 2) & read_since(last_day - rules.few_within_days, rules.few_readings)
    low, high = out_of_limits_after_each(histories, swept)
    raw_last = _at(histories.readings.raw_in[prepared.row], last, has, np.nan)
    seen_low = struts.target_in - raw_last
    true_low = struts.target_in - estimate.level
    until_breach = estimate.breach - (now - last_day)
    return Symptoms(
        losing=losing,
        fluid_probability=kind.fluid_probability,
        evidence_of_kind=kind.evidence_of_kind,
        fluid_level_checked=kind.fluid_level_checked,
        standing_low=supported & _holds_at(low, last, has),
        standing_high=supported & _holds_at(high, last, has),
        suspect=_holds_at(alone, last, has),
        too_few=~read_since(now - rules.few_within_days, rules.few_readings),
        settling=now - worked_day < rules.settling_days,
        sticky=is_sticky(swept.noise_factor, swept.noise_count, rules),
        temperature_only=has & (seen_low > rules.looks_low) & (true_low < rules.still_low_share * seen_low),
        near_limit=losing
        & (_no_honest_date(histories, estimate, model.rules) | (until_breach < settings.notice_days)),
    )


def _dispositions(histories: Histories, swept: Swept, model: DriftModel) -> IntArray:
    code = DISPOSITIONS.index
    disposition = np.full(len(histories.readings.day), code(Disposition.IMPOSSIBLE))
    disposition[topped_out(histories)] = code(Disposition.TOPPED_OUT)
    disposition[read_hot(histories, model)] = code(Disposition.HOT)
    disposition[swept.prepared.row] = np.select(
        [swept.lone, swept.outlier, swept.weight < 0.75],
        [code(Disposition.LONE_OUTLIER), code(Disposition.CONFIRMED_OUTLIER), code(Disposition.DISCOUNTED)],
        code(Disposition.USED),
    )
    return disposition


def _fitted(
    histories: Histories, swept: Swept, estimate: LossEstimate, losing: BoolArray, worked_day: FloatArray
) -> tuple[FloatArray, FloatArray]:
    row, day, last_day = swept.prepared.row, swept.prepared.day, last_days(swept)
    level, sd = swept.level.copy(), np.sqrt(swept.level_variance)
    offsets, begins = swept.prepared.offsets, np.maximum(estimate.onset_day, worked_day)
    for series in np.flatnonzero(losing):
        own = slice(offsets[series], offsets[series + 1])
        since = own.start + np.searchsorted(day[own], begins[series])
        on_line = slice(since, own.stop)
        ahead = (last_day[series] - day[on_line]) / DAYS_PER_MONTH
        level[on_line] = estimate.line[series] + estimate.loss[series] * ahead
        sd[on_line] = estimate.line_sd[series]
    fitted, fitted_sd = np.full((2, len(histories.readings.day)), np.nan)
    fitted[row], fitted_sd[row] = level, sd
    return fitted, fitted_sd


def _at(values: FloatArray, index: IntArray, has: BoolArray, missing: float) -> FloatArray:
    return np.where(has, values[index], missing) if len(values) else np.full(len(index), missing)


def _holds_at(values: BoolArray, index: IntArray, has: BoolArray) -> BoolArray:
    return has & values[index] if len(values) else np.zeros(len(index), bool)


def _dates(last_day: FloatArray, ahead: FloatArray, dated: BoolArray) -> FloatArray:
    return np.where(dated & (ahead < FORECAST_DAYS), last_day + ahead, np.nan)
