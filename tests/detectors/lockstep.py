"""Walk many ragged series in step: at step k every series that has a k-th reading takes it."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from tests.simulator.fleet import Fleet

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Step:
    """The k-th readings: which series take part, where they sit in the flat arrays, and what came before."""

    who: npt.NDArray[np.int64]
    row: npt.NDArray[np.int64]
    elapsed_days: Array
    served: npt.NDArray[np.bool_]
    """A recorded servicing lies between the reading before and this one."""


def steps(fleet: Fleet, usable: npt.NDArray[np.bool_]) -> Iterator[Step]:
    """Yield the steps over usable readings in time order."""
    rows = np.nonzero(usable)[0]
    series, day = fleet.series[rows], fleet.day[rows]
    start = np.searchsorted(series, np.arange(fleet.scenario.struts + 1))
    rank = np.arange(len(rows)) - start[series]
    served = _served_before(fleet, series, day)
    elapsed = np.where(rank > 0, day - np.concatenate([[0.0], day[:-1]]), 0.0)
    for k in range(int(rank.max()) + 1):
        here = np.nonzero(rank == k)[0]
        yield Step(series[here], rows[here], elapsed[here], served[here])


def _served_before(fleet: Fleet, series: npt.NDArray[np.int64], day: Array) -> npt.NDArray[np.bool_]:
    span = 1e5
    count = np.searchsorted(
        fleet.service_series[fleet.service_recorded] * span + fleet.service_day[fleet.service_recorded],
        series * span + day,
    )
    served = np.zeros(len(day), bool)
    served[1:] = (series[1:] == series[:-1]) & (count[1:] > count[:-1])
    return served


def possible(fleet: Fleet) -> npt.NDArray[np.bool_]:
    """Readings that could be readings of this strut at all."""
    return (fleet.raw_in > 0) & (fleet.raw_in < 1.15 * fleet.scenario.strut_type.full_extension_in)


def carried_forward(fleet: Fleet, statistic: Array) -> Array:
    """Fill readings without a statistic (NaN) with the one before on the same strut, else minus infinity."""
    index = np.where(np.isfinite(statistic), np.arange(len(statistic)), -1)
    latest = np.maximum.accumulate(index)
    own = (latest >= 0) & (fleet.series[latest] == fleet.series)
    return np.where(own, statistic[latest], -np.inf)
