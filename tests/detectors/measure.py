"""The same yardstick for every detector: false alarms on leak-free fleets, delay on leaking ones.

A detector is anything that gives a statistic after every reading, higher meaning more leak. An alarm
episode is a reading above the threshold with none above it in the 60 days before on that strut; the
threshold of each detector is set so that leak-free struts see the same number of episodes per strut-year.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from tests.simulator.fleet import DAYS_PER_MONTH, Fleet

Array = npt.NDArray[np.float64]

QUIET_DAYS = 60.0


def episode_starts(series: npt.NDArray[np.int64], day: Array, above: npt.NDArray[np.bool_]) -> npt.NDArray[np.int64]:
    """Return the indices of readings at which an alarm episode starts."""
    hits = np.nonzero(above)[0]
    if not len(hits):
        return hits
    fresh = np.ones(len(hits), bool)
    fresh[1:] = (series[hits[1:]] != series[hits[:-1]]) | (day[hits[1:]] - day[hits[:-1]] > QUIET_DAYS)
    return hits[fresh]


def false_alarm_rate(fleet: Fleet, statistic: Array, threshold: float) -> float:
    """Alarm episodes per strut-year of a fleet that does not leak."""
    years = fleet.scenario.struts * fleet.scenario.months / 12.0
    return len(episode_starts(fleet.series, fleet.day, statistic > threshold)) / years


def threshold_for(fleet: Fleet, statistic: Array, rate_per_year: float) -> float:
    """Threshold at which the leak-free fleet sees this many false alarms per strut-year."""
    return lowest_threshold(statistic, rate_per_year, lambda at: false_alarm_rate(fleet, statistic, at))


def lowest_threshold(statistic: Array, rate_per_year: float, false_alarms_at: Callable[[float], float]) -> float:
    """Lowest value of the statistic above which there are no more false alarms than so many per year."""
    values = np.sort(statistic[np.isfinite(statistic)])
    low, high = 0, len(values) - 1
    # The first threshold from above that is too generous: rates rise as thresholds fall, but for ties.
    while low < high:
        middle = (low + high) // 2
        if false_alarms_at(float(values[middle])) > rate_per_year:
            low = middle + 1
        else:
            high = middle
    return float(values[low])


@dataclass(frozen=True)
class Delays:
    """What a detector did on a leaking fleet."""

    days: Array
    """Per strut: from onset to the first alarm after it; inf where none came."""
    before_breach: float
    """Share of struts flagged before their extension fell below the limit (or never having fallen)."""

    @property
    def median(self) -> float:
        """Median delay; inf when more than half were not found."""
        return float(np.median(self.days))


def delays(fleet: Fleet, statistic: Array, threshold: float) -> Delays:
    """Time each strut from the onset of its leak to the alarm; struts already in alarm then are left out."""
    truth = fleet.truth
    first, already = first_alarms(fleet.series, fleet.day, statistic > threshold, truth.onset_day)
    delay = (first - truth.onset_day)[~already]
    breach = np.maximum(truth.first_day_below_limit, truth.onset_day)
    fair = ~already & (truth.first_day_below_limit > truth.onset_day)
    flagged = np.isfinite(first) & (first < breach)
    return Delays(delay, float(flagged[fair].mean()) if fair.any() else float("nan"))


def first_alarms(
    series: npt.NDArray[np.int64], day: Array, above: npt.NDArray[np.bool_], onset_day: Array
) -> tuple[Array, npt.NDArray[np.bool_]]:
    """Return the day of each series' first alarm after its onset (inf for none), and which were in alarm already."""
    after = day >= onset_day[series]
    first = np.full(len(onset_day), np.inf)
    hits = np.nonzero(above & after)[0]
    np.minimum.at(first, series[hits], day[hits])
    last_before = np.full(len(onset_day), -1)
    np.maximum.at(last_before, series[~after], np.nonzero(~after)[0])
    return first, (last_before >= 0) & above[last_before]


__all__ = [
    "DAYS_PER_MONTH",
    "Delays",
    "delays",
    "episode_starts",
    "false_alarm_rate",
    "first_alarms",
    "lowest_threshold",
    "threshold_for",
]
