"""Many ragged histories laid side by side, so that the n-th readings of all struts are one array.

Series are ordered longest first: at step k the first ``active[k]`` lanes still have a reading, and a plain
slice takes the place of a mask.
"""

from dataclasses import dataclass, fields

import numpy as np

from calculations.drift.histories import BoolArray, FloatArray, Histories, IntArray
from calculations.drift.model import DAYS_PER_MONTH, DriftModel
from calculations.drift.settings import FleetHabits

DAYS_PER_YEAR = 365.25


@dataclass(frozen=True)
class Prepared:
    """Per usable reading, flat: what the filter needs beyond the reading itself."""

    row: IntArray
    offsets: IntArray
    day: FloatArray
    month: FloatArray
    elapsed_months: FloatArray
    value: FloatArray
    temperature_offset_f: FloatArray
    load_offset_lbf: FloatArray
    variance: FloatArray
    resting: FloatArray
    reopen_variance: FloatArray
    settle_variance: FloatArray
    restarts: BoolArray
    settling: FloatArray
    since_work_days: FloatArray


@dataclass(frozen=True)
class Lanes:
    """A chunk of series, padded to (steps, lanes); ``series`` names the series in each lane."""

    series: IntArray
    active: IntArray
    position: IntArray
    """Index into the flat :class:`Prepared` arrays, (steps, lanes); -1 where there is no reading."""
    day: FloatArray
    month: FloatArray
    elapsed_months: FloatArray
    value: FloatArray
    temperature_offset_f: FloatArray
    load_offset_lbf: FloatArray
    variance: FloatArray
    resting: FloatArray
    reopen_variance: FloatArray
    settle_variance: FloatArray
    restarts: BoolArray
    settling: FloatArray

    def last_repair(self) -> FloatArray:
        """Return when each lane was last repaired [days after its first reading], 0 where never, (lanes,)."""
        return np.asarray(np.max(np.where(self.restarts, self.day - self.day[0], 0.0), axis=0))


_FLOAT_COLUMNS = tuple(f.name for f in fields(Lanes) if f.type == FloatArray)


def prepare(histories: Histories, usable: BoolArray, model: DriftModel, habits: FleetHabits) -> Prepared:
    """Join readings with the servicing before them and price each reading's uncertainty.

    Parameters
    ----------
    histories : Histories
    usable : array of bool
        Readings that are possible at all.
    model : DriftModel
    habits : FleetHabits
        How far recorded temperatures and loads are to be believed.

    Notes
    -----
    A thermometer's error is taken out of every reading by the correction and so put into it with the other
    sign. Learned naively, that biases the strut's own temperature slope towards zero (errors in variables),
    and the biased slope then leaves a yearly wave that looks like a leak each autumn. So the departure from
    the season is shrunk to its real share first; the season itself is known well.
    """
    row = np.nonzero(usable)[0]
    readings, struts = histories.readings, histories.struts
    series = readings.series[row]
    offsets = np.searchsorted(series, np.arange(histories.count + 1))
    day = readings.day[row]
    first = day[offsets[:-1].clip(max=max(len(day) - 1, 0))] if len(day) else np.empty(0)
    since_first = day - first[series] if len(day) else day
    previous = np.concatenate([[0.0], day[:-1]]) if len(day) else day
    is_first = np.zeros(len(row), bool)
    is_first[offsets[:-1][np.diff(offsets) > 0]] = True
    elapsed = np.where(is_first, 0.0, day - previous)
    reopen, settle, restarts, since_work = _work_before(histories, series, day, is_first, model)
    temperature = readings.temperature_offset_f[row]
    load = readings.load_offset_lbf[row]
    unreal_f = (1.0 - habits.temperature_trust) * (temperature - season_f(day, habits))
    unreal_lbf = (1.0 - habits.load_trust) * (load - habits.usual_load_lbf)
    undone = struts.temperature_slope_in_per_f[series] * unreal_f + struts.load_slope_in_per_lbf[series] * unreal_lbf
    return Prepared(
        row=row,
        offsets=offsets,
        day=day,
        month=since_first / DAYS_PER_MONTH,
        elapsed_months=elapsed / DAYS_PER_MONTH,
        value=readings.corrected_in[row] + undone,
        temperature_offset_f=temperature - unreal_f,
        load_offset_lbf=load - unreal_lbf,
        variance=reading_variance(histories, row, model),
        resting=(~readings.exercised[row]).astype(float),
        reopen_variance=reopen,
        settle_variance=settle,
        restarts=restarts,
        settling=np.where(np.isfinite(since_work), np.exp(-np.minimum(since_work, 1e4) / model.settle_days), 0.0),
        since_work_days=since_work,
    )


def reading_variance(histories: Histories, row: IntArray, model: DriftModel) -> FloatArray:
    """Return the variance of readings before any noise factor: reader, ruler, conditions and friction."""
    readings, struts = histories.readings, histories.struts
    series = readings.series[row]
    friction = np.where(readings.exercised[row], model.friction_exercised_sd, model.friction_resting_sd)
    return np.asarray(
        model.reader_sd**2
        + readings.scale_in[row] ** 2 / 12.0
        + (struts.temperature_slope_in_per_f[series] * readings.temperature_sd_f[row]) ** 2
        + (struts.load_slope_in_per_lbf[series] * readings.load_sd_lbf[row]) ** 2
        + friction**2
    )


def season_f(day: FloatArray, habits: FleetHabits) -> FloatArray:
    """Return the usual temperature offset on a day [degF]."""
    turn = 2.0 * np.pi * day / DAYS_PER_YEAR
    wave = habits.season_cos_f * np.cos(turn) + habits.season_sin_f * np.sin(turn)
    return np.asarray(habits.season_mean_f + wave)


def _work_before(
    histories: Histories, series: IntArray, day: FloatArray, is_first: BoolArray, model: DriftModel
) -> tuple[FloatArray, FloatArray, BoolArray, FloatArray]:
    """Fold every servicing into the first reading after it."""
    work = histories.work
    reopen, settle = np.zeros(len(day)), np.zeros(len(day))
    restarts = np.zeros(len(day), bool)
    last_work = np.full(len(day), -np.inf)
    if len(work.day) and len(day):
        reopen_sd, settle_sd, repairs = (column[work.kind] for column in model.baseline_table())
        repair = repairs > 0
        moves = reopen_sd > 0
        # One number orders both tables: series first, then day. A reading at the very time of work is before it.
        span = 1.0 + max(day.max(), work.day.max()) - min(day.min(), work.day.min())
        origin = min(day.min(), work.day.min())
        reading_key = series * span + (day - origin)
        after = np.searchsorted(reading_key, work.series * span + (work.day - origin), side="right")
        hits = moves & (after < len(day))
        hits[hits] &= series[after[hits]] == work.series[hits]
        np.maximum.at(reopen, after[hits], reopen_sd[hits] ** 2)
        np.maximum.at(settle, after[hits], settle_sd[hits] ** 2)
        np.logical_or.at(restarts, after[hits], repair[hits])
        np.maximum.at(last_work, after[hits], work.day[hits])
        last_work = _carried(last_work, series)
    reopen[is_first], restarts[is_first] = 0.0, False
    return reopen, settle, restarts, day - last_work


def _carried(last_work: FloatArray, series: IntArray) -> FloatArray:
    """Carry the day of the latest work forward within each series."""
    marks = np.where(np.isfinite(last_work), np.arange(len(last_work)), -1)
    latest = np.maximum.accumulate(marks)
    belongs = (latest >= 0) & (series[latest] == series)
    return np.where(belongs, last_work[latest], -np.inf)


def lane_groups(prepared: Prepared, lanes: int) -> list[IntArray]:
    """Return groups of at most so many series, longest first, leaving out those without a reading."""
    lengths = np.diff(prepared.offsets)
    order = np.argsort(-lengths, kind="stable")
    order = order[lengths[order] > 0]
    return [order[start : start + lanes] for start in range(0, len(order), lanes)]


def in_one_piece(shape: tuple[int, int], *rows: int) -> list[FloatArray]:
    """Return arrays of so many rows each, every row of a shape, zero, as one piece of memory.

    The system hands out a large piece at once and small ones page by page, which would take longer than the sums.
    """
    return np.split(np.zeros((sum(rows), *shape)), np.cumsum(rows)[:-1])


def lay_out(prepared: Prepared, chosen: IntArray) -> Lanes:
    """Lay the chosen series, longest first, side by side."""
    lengths = np.diff(prepared.offsets)[chosen]
    step = np.arange(int(lengths[0]))[:, None]
    present = step < lengths
    position = np.where(present, prepared.offsets[chosen] + step, 0)
    columns = dict(zip(_FLOAT_COLUMNS, in_one_piece(position.shape, len(_FLOAT_COLUMNS))[0], strict=True))
    for name, column in columns.items():
        getattr(prepared, name).take(position, out=column, mode="clip")
    for name in ("reopen_variance", "settle_variance"):  # elsewhere it is no matter what stands where no reading is
        columns[name][~present] = 0.0
    return Lanes(
        series=chosen,
        active=present.sum(axis=1),
        position=np.where(present, position, -1),
        restarts=prepared.restarts[position],
        **columns,
    )
