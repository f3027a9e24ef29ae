"""The histories of many struts or tyres as flat arrays, in the one order that time gives them.

Everything that drift concludes is a function of these arrays alone. They are put into canonical order and
freed of duplicates first, so that the order in which telephones came back online cannot change a finding.
"""

from dataclasses import dataclass, fields, replace
from enum import IntEnum
from typing import Final

import numpy as np
import numpy.typing as npt

from calculations.errors import CalculationError, Fault

FloatArray = npt.NDArray[np.float64]
Single = npt.NDArray[np.float32]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]


class Work(IntEnum):
    """Servicing as far as drift cares: what it did to the baseline."""

    GAS_ADDED = 1
    GAS_RELEASED = 2
    FLUID_ADDED = 3
    FLUID_CHANGED = 4
    SEALS = 5
    CLEANING = 6
    VALVE_CORE = 7
    OVERHAUL = 8
    INSTALLED = 9
    INFLATED = 10
    OTHER = 11


class Seen(IntEnum):
    """Something that a person saw or tried, which tells gas from fluid, or what a reading is worth."""

    FLUID_WET = 1
    FLUID_DRY = 2
    FLUID_LEVEL_LOW = 3
    FLUID_LEVEL_OK = 4
    BUBBLES_AT_VALVE = 5
    HOLDS_PRESSURE_ON_JACKS = 6
    BOTTOMS_AT_NORMAL_EXTENSION = 7
    TOPPED_OUT = 8
    """By gauge and ruler, at the reading of this very moment: fully out, and the gas pushing more than the load."""


@dataclass(frozen=True)
class Readings:
    """Readings of all series, flat; ``series`` says which strut each belongs to.

    Parameters
    ----------
    series : array of int, shape (N,)
        Index of the strut, 0 .. number of series - 1.
    day : array, shape (N,)
        Time of the reading [days since any fixed epoch].
    corrected_in, raw_in : array, shape (N,)
        Extension brought to the sheet's load and temperature, and as read [in].
    temperature_offset_f, load_offset_lbf : array, shape (N,)
        Strut temperature and load minus the sheet's [degF], [lbf]. They carry what the sheet's figures
        got wrong: the residual sensitivity of each strut is learned against them.
    exercised : array of bool, shape (N,)
        Whether friction had let the strut find its place.
    temperature_sd_f, load_sd_lbf, scale_in : array, shape (N,)
        How well temperature and load were known [degF], [lbf] and the step of the ruler [in].
    """

    series: IntArray
    day: FloatArray
    corrected_in: FloatArray
    raw_in: FloatArray
    temperature_offset_f: FloatArray
    load_offset_lbf: FloatArray
    exercised: BoolArray
    temperature_sd_f: FloatArray
    load_sd_lbf: FloatArray
    scale_in: FloatArray


@dataclass(frozen=True)
class Struts:
    """What is known of each series; every array has one entry per series.

    Parameters
    ----------
    target_in, low_limit_in, high_limit_in : array
        Type sheet extensions at reference load and temperature [in].
    full_extension_in : array
        Tube fully out [in]; NaN where the sheet does not say.
    temperature_slope_in_per_f, load_slope_in_per_lbf : array
        The sheet's own sensitivities at target, used for the reading's uncertainty (load slope < 0).
    temperature_slope_sd, load_slope_sd : array
        Prior standard uncertainty of those, same units: what the sheet's estimated figures may hide.
    """

    target_in: FloatArray
    low_limit_in: FloatArray
    high_limit_in: FloatArray
    full_extension_in: FloatArray
    temperature_slope_in_per_f: FloatArray
    load_slope_in_per_lbf: FloatArray
    temperature_slope_sd: FloatArray
    load_slope_sd: FloatArray


@dataclass(frozen=True)
class Events:
    """Servicings (``kind`` a :class:`Work`) or things seen (``kind`` a :class:`Seen`), flat."""

    series: IntArray
    day: FloatArray
    kind: IntArray

    @staticmethod
    def none() -> "Events":
        """Return an empty table."""
        return Events(np.empty(0, np.int64), np.empty(0), np.empty(0, np.int64))


@dataclass(frozen=True)
class Histories:
    """All that is known of many struts, sorted by series and time.

    Build with :func:`arrange`. ``source_row`` maps each kept reading to its row in the arrays that were
    given; ``duplicate_rows`` are rows that said the same thing again.
    """

    readings: Readings
    struts: Struts
    work: Events
    seen: Events
    offsets: IntArray
    work_offsets: IntArray
    seen_offsets: IntArray
    source_row: IntArray
    duplicate_rows: IntArray

    @property
    def count(self) -> int:
        """Number of series."""
        return len(self.offsets) - 1

    def select(self, chosen: IntArray) -> "Histories":
        """Return the histories of the chosen series only, renumbered 0, 1, ..."""
        rows, offsets = _rows_of(self.offsets, chosen)
        work_rows, work_offsets = _rows_of(self.work_offsets, chosen)
        seen_rows, seen_offsets = _rows_of(self.seen_offsets, chosen)
        readings = Readings(**{f.name: getattr(self.readings, f.name)[rows] for f in fields(Readings)})
        return Histories(
            readings=replace(readings, series=_numbering(offsets)),
            struts=Struts(**{f.name: getattr(self.struts, f.name)[chosen] for f in fields(Struts)}),
            work=Events(_numbering(work_offsets), self.work.day[work_rows], self.work.kind[work_rows]),
            seen=Events(_numbering(seen_offsets), self.seen.day[seen_rows], self.seen.kind[seen_rows]),
            offsets=offsets,
            work_offsets=work_offsets,
            seen_offsets=seen_offsets,
            source_row=self.source_row[rows],
            duplicate_rows=np.empty(0, np.int64),
        )


def arrange(readings: Readings, struts: Struts, work: Events, seen: Events | None = None) -> Histories:
    """Put readings and events of all struts into canonical order and drop duplicates.

    Parameters
    ----------
    readings : Readings
        In any order.
    struts : Struts
        One entry per series.
    work, seen : Events
        Servicings and things seen, in any order.

    Returns
    -------
    Histories

    Raises
    ------
    CalculationError
        When arrays differ in length, hold numbers that are not finite, or name a series that is not there.
    """
    seen = Events.none() if seen is None else seen
    count = len(struts.target_in)
    _check(readings, struts, work, seen, count)
    kept, duplicates = _canonical_rows(readings)
    ordered = Readings(**{f.name: np.ascontiguousarray(getattr(readings, f.name)[kept]) for f in fields(Readings)})
    work, seen = _sorted_events(work), _sorted_events(seen)
    bounds = np.arange(count + 1)
    return Histories(
        readings=ordered,
        struts=struts,
        work=work,
        seen=seen,
        offsets=np.searchsorted(ordered.series, bounds),
        work_offsets=np.searchsorted(work.series, bounds),
        seen_offsets=np.searchsorted(seen.series, bounds),
        source_row=kept,
        duplicate_rows=duplicates,
    )


# Beyond time, ties are broken by value, so that two readings of one minute have one order whoever sent first.
_TIE_BREAKERS: Final = (
    "scale_in",
    "load_sd_lbf",
    "temperature_sd_f",
    "exercised",
    "load_offset_lbf",
    "temperature_offset_f",
    "corrected_in",
    "raw_in",
)


def _canonical_rows(readings: Readings) -> tuple[IntArray, IntArray]:
    series, day = readings.series, readings.day
    if np.all((series[1:] > series[:-1]) | ((series[1:] == series[:-1]) & (day[1:] > day[:-1]))):
        return np.arange(len(series)), np.empty(0, np.int64)
    order = np.lexsort([day, series])
    at_once = (np.diff(series[order]) == 0) & (np.diff(day[order]) == 0)
    if not at_once.any():
        return order, np.empty(0, np.int64)
    # Few readings share series and moment, and only among those does the rest of their values count.
    tied = np.concatenate([[False], at_once]) | np.concatenate([at_once, [False]])
    rows = order[tied]
    rows = rows[np.lexsort([*(getattr(readings, name)[rows] for name in _TIE_BREAKERS), day[rows], series[rows]])]
    order[tied] = rows
    same = np.ones(len(rows) - 1, bool)
    for name in ("series", "day", *_TIE_BREAKERS):
        column = getattr(readings, name)[rows]
        same &= column[1:] == column[:-1]
    again = np.zeros(len(order), bool)
    again[np.flatnonzero(tied)[1:][same]] = True
    return order[~again], np.sort(order[again])


def _sorted_events(events: Events) -> Events:
    order = np.lexsort([events.kind, events.day, events.series])
    return Events(events.series[order], events.day[order], events.kind[order])


def _rows_of(offsets: IntArray, chosen: IntArray) -> tuple[IntArray, IntArray]:
    lengths = offsets[chosen + 1] - offsets[chosen]
    new_offsets = np.concatenate([[0], np.cumsum(lengths)]).astype(np.int64)
    rows = np.arange(new_offsets[-1]) + np.repeat(offsets[chosen] - new_offsets[:-1], lengths)
    return rows, new_offsets


def _numbering(offsets: IntArray) -> IntArray:
    return np.repeat(np.arange(len(offsets) - 1), np.diff(offsets))


_MAY_BE_MISSING: Final = ("full_extension_in",)


def _check(readings: Readings, struts: Struts, work: Events, seen: Events, count: int) -> None:
    faults = _column_faults("struts", struts, count)
    for name, table in (("readings", readings), ("work", work), ("seen", seen)):
        own = _column_faults(name, table, len(table.series))
        if not own and len(table.series) and (table.series.min() < 0 or table.series.max() >= count):
            own = [Fault(f"{name}.series", "no_such_series", f"must lie in 0..{count - 1}")]
        faults += own
    if faults:
        raise CalculationError(faults)


def _column_faults(name: str, table: Readings | Struts | Events, length: int) -> list[Fault]:
    faults = []
    for field in fields(table):
        column = np.asarray(getattr(table, field.name))
        path = f"{name}.{field.name}"
        if column.shape != (length,):
            faults.append(Fault(path, "wrong_length", f"shape is {column.shape}, expected ({length},)"))
        elif field.name not in _MAY_BE_MISSING and not np.all(np.isfinite(column)):
            faults.append(Fault(path, "not_finite", "holds a value that is not a finite number"))
    return faults
