"""Gas or fluid: what was seen at the strut decides, for the extension alone cannot tell.

Notes
-----
Extension answers to the sum of gas and fluid; one inch of fluid lost changes the temperature slope by about
0.0014 in/degF, some 140 readings for two sigma. So the odds come from what people saw or tried since the loss
began: what was seen before tells nothing of it.

A second look at the same thing is no independent witness, for it is the same seal and mostly the same eyes: each
older look counts half as much as the next newer one. ASSUMED, as are the base-10 logs of the Bayes factors (no
source); both to be refitted from outcomes that clubs record.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calculations.drift.histories import BoolArray, FloatArray, Histories, IntArray, Seen, Work

PRIOR_LOG10_ODDS: Final = -0.35
LOG10_FACTOR: Final[dict[Seen, float]] = {
    Seen.FLUID_WET: 0.9,
    Seen.FLUID_DRY: -0.5,
    Seen.FLUID_LEVEL_LOW: 1.3,
    Seen.FLUID_LEVEL_OK: -1.3,
    Seen.BUBBLES_AT_VALVE: -1.5,
    Seen.HOLDS_PRESSURE_ON_JACKS: 0.6,
    Seen.BOTTOMS_AT_NORMAL_EXTENSION: 0.7,
}
_SUBJECTS: Final = (
    (Seen.FLUID_WET, Seen.FLUID_DRY),
    (Seen.FLUID_LEVEL_LOW, Seen.FLUID_LEVEL_OK),
    (Seen.BUBBLES_AT_VALVE,),
    (Seen.HOLDS_PRESSURE_ON_JACKS,),
    (Seen.BOTTOMS_AT_NORMAL_EXTENSION,),
)
_FACTORS: Final = np.array([0.0, *(LOG10_FACTOR.get(kind, 0.0) for kind in sorted(Seen))])
_LEVEL_LOOKS: Final = (int(Seen.FLUID_LEVEL_LOW), int(Seen.FLUID_LEVEL_OK))
OLDER_LOOK_SHARE: Final = 0.5
REMEMBERED_DAYS: Final = 180.0
LEVEL_RESTORED_DAYS: Final = 60.0
"""After fluid was added the level is right for a while, whatever is lost; a loss takes about this long to show."""
_ENDS_EVIDENCE: Final = (Work.SEALS, Work.OVERHAUL, Work.FLUID_CHANGED, Work.VALVE_CORE)


@dataclass(frozen=True)
class KindOfLoss:
    """Per series."""

    fluid_probability: FloatArray
    evidence_of_kind: BoolArray
    fluid_level_checked: BoolArray


def weigh_kind(histories: Histories, now_day: FloatArray, onset_day: FloatArray) -> KindOfLoss:
    """Return the probability that what is lost, if anything is, is fluid.

    Parameters
    ----------
    histories : Histories
    now_day : array, (series,)
        Only what was seen up to this day, and not long before it, counts.
    onset_day : array, (series,)
        When the loss began, NaN where none is known of.
    """
    seen, count = histories.seen, histories.count
    since = np.fmax(_last_end(histories, now_day), onset_day)
    since = np.maximum(since, now_day - REMEMBERED_DAYS)
    recent = (seen.day <= now_day[seen.series]) & (seen.day >= since[seen.series])
    telling = recent & ~_just_restored(histories)
    log_odds = np.full(count, PRIOR_LOG10_ODDS)
    any_evidence = np.zeros(count, bool)
    for subject in _SUBJECTS:
        looks = _one_a_day(histories, np.flatnonzero(telling & np.isin(seen.kind, [int(kind) for kind in subject])))
        series = seen.series[looks]
        older_than_newest = np.searchsorted(series, series, side="right") - 1 - np.arange(len(looks))
        np.add.at(log_odds, series, _FACTORS[seen.kind[looks]] * OLDER_LOOK_SHARE**older_than_newest)
        any_evidence[series] = True
    checked = np.zeros(count, bool)
    checked[seen.series[recent & np.isin(seen.kind, _LEVEL_LOOKS)]] = True
    return KindOfLoss(1.0 / (1.0 + 10.0**-log_odds), any_evidence, checked)


def _one_a_day(histories: Histories, looks: IntArray) -> IntArray:
    """Keep the last look of each strut and day: what was sent twice was seen once."""
    series, day = histories.seen.series[looks], np.floor(histories.seen.day[looks])
    last = np.ones(len(looks), bool)
    last[:-1] = (series[1:] != series[:-1]) | (day[1:] != day[:-1])
    return looks[last]


def _just_restored(histories: Histories) -> BoolArray:
    """Return which looks found a right fluid level not long after fluid was added."""
    seen, work = histories.seen, histories.work
    restored = np.zeros(len(seen.day), bool)
    for added in np.flatnonzero(work.kind == int(Work.FLUID_ADDED)):  # rare work
        own = slice(*histories.seen_offsets[work.series[added] : work.series[added] + 2])
        since = seen.day[own] - work.day[added]
        restored[own] |= (since >= 0.0) & (since < LEVEL_RESTORED_DAYS)
    return np.asarray(restored & (seen.kind == int(Seen.FLUID_LEVEL_OK)))


def _last_end(histories: Histories, now_day: FloatArray) -> FloatArray:
    """Day of the last work that makes older looks meaningless."""
    work = histories.work
    since = np.full(histories.count, -np.inf)
    ends = np.isin(work.kind, [int(kind) for kind in _ENDS_EVIDENCE]) & (work.day <= now_day[work.series])
    np.maximum.at(since, work.series[ends], work.day[ends])
    return since


def fluid_probability(*seen: Seen) -> float:
    """Return the probability of fluid loss after these looks.

    Examples
    --------
    >>> round(fluid_probability(), 2)
    0.31
    >>> round(fluid_probability(Seen.FLUID_WET, Seen.FLUID_LEVEL_LOW), 2)
    0.99
    """
    log_odds = PRIOR_LOG10_ODDS + sum(LOG10_FACTOR[kind] for kind in seen)
    return float(1.0 / (1.0 + 10.0**-log_odds))
