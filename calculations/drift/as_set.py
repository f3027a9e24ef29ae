"""Work that sets a tyre's pressure is a reading by itself: it leaves the tyre at service pressure, or near it."""

from dataclasses import fields, replace
from typing import Final

import numpy as np

from calculations.drift.histories import FloatArray, Histories, Readings, arrange
from calculations.drift.tyre_model import AS_SET_SD_PERCENT, COLD_SD_PERCENT

JUST_AFTER_DAYS: Final = 1e-4
"""A reading at the very time of work counts as taken before it."""
READ_AFTER_DAYS: Final = 1.5 * JUST_AFTER_DAYS


def with_pressures_set(histories: Histories, read_after: Readings | None = None) -> Histories:
    """Return the histories with a reading of the target for each work that sets the pressure.

    What somebody read right after work and wrote down with it, ``read_after`` at the time of the work, comes second:
    a slip of the pen is then far off from where work leaves a tyre.

    Without it the level before an inflation would be the best guess of that after it, the tyre's gain of ten
    percent an outlier, and a tyre that is inflated every fortnight always too freshly inflated to be judged.
    """
    work = histories.work
    chosen = np.isin(work.kind, list(AS_SET_SD_PERCENT))
    series, size = work.series[chosen], int(chosen.sum())
    sd = np.array([AS_SET_SD_PERCENT[kind] for kind in work.kind[chosen]])
    nothing, target = np.zeros(size), histories.struts.target_in[series]
    as_set = Readings(
        series=series,
        day=work.day[chosen] + JUST_AFTER_DAYS,
        corrected_in=target,
        raw_in=target,
        temperature_offset_f=nothing,
        load_offset_lbf=nothing,
        exercised=np.ones(size, bool),
        temperature_sd_f=nothing,
        load_sd_lbf=nothing,
        scale_in=_step_of(sd),
    )
    parts = [histories.readings, as_set]
    if read_after is not None:
        parts.append(replace(read_after, day=read_after.day + READ_AFTER_DAYS))
    joined = {f.name: np.concatenate([getattr(part, f.name) for part in parts]) for f in _COLUMNS}
    return arrange(Readings(**joined), histories.struts, work, histories.seen)


_COLUMNS: Final = fields(Readings)


def _step_of(sd: FloatArray) -> FloatArray:
    """Return the step of a ruler whose rounding would make a cold reading so uncertain."""
    return np.asarray(np.sqrt(12.0 * (sd**2 - COLD_SD_PERCENT**2)))
