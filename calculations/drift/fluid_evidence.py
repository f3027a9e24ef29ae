"""Gas or fluid: what was seen at the strut decides, for the extension alone cannot tell.

Notes
-----
Extension answers to the sum of gas and fluid; one inch of fluid lost changes the temperature slope by about
0.0014 in/degF, some 140 readings for two sigma. So the odds come from what people saw or tried.

The base-10 logs of the Bayes factors are ASSUMED (no source), to be refitted from outcomes that clubs record.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calculations.drift.histories import BoolArray, FloatArray, Histories, Seen, Work

PRIOR_LOG10_ODDS: Final = -0.35
LOG10_FACTOR: Final[dict[Seen, float]] = {
    Seen.FLUID_WET: 0.9,
    Seen.FLUID_DRY: -0.5,
    Seen.FLUID_LEVEL_LOW: 1.3,
    Seen.FLUID_LEVEL_OK: -1.3,
    Seen.BUBBLES_AT_VALVE: -1.5,
    Seen.HOLDS_PRESSURE_ON_JACKS: 0.6,
    Seen.BOTTOMS_AT_NORMAL_EXTENSION: 0.7,
    Seen.WIPED_CLEAN: 0.0,
}
# Looks at the same thing replace each other: the newest counts.
_SUBJECTS: Final = (
    (Seen.FLUID_WET, Seen.FLUID_DRY, Seen.WIPED_CLEAN),
    (Seen.FLUID_LEVEL_LOW, Seen.FLUID_LEVEL_OK),
    (Seen.BUBBLES_AT_VALVE,),
    (Seen.HOLDS_PRESSURE_ON_JACKS,),
    (Seen.BOTTOMS_AT_NORMAL_EXTENSION,),
)
REMEMBERED_DAYS: Final = 180.0
_ENDS_EVIDENCE: Final = (Work.SEALS, Work.OVERHAUL, Work.FLUID_CHANGED)


@dataclass(frozen=True)
class KindOfLoss:
    """Per series."""

    fluid_probability: FloatArray
    evidence_of_kind: BoolArray
    fluid_level_checked: BoolArray


def weigh_kind(histories: Histories, now_day: FloatArray) -> KindOfLoss:
    """Return the probability that what is lost, if anything is, is fluid.

    Parameters
    ----------
    histories : Histories
    now_day : array, (series,)
        Only what was seen up to this day, and not long before it, counts.
    """
    seen, count = histories.seen, histories.count
    log_odds = np.full(count, PRIOR_LOG10_ODDS)
    any_evidence = np.zeros(count, bool)
    checked = np.zeros(count, bool)
    since = _last_end(histories, now_day)
    counts = (seen.day <= now_day[seen.series]) & (seen.day >= now_day[seen.series] - REMEMBERED_DAYS)
    counts &= seen.day >= since[seen.series]
    for subject in _SUBJECTS:
        about = np.nonzero(counts & np.isin(seen.kind, [int(kind) for kind in subject]))[0]
        newest = np.full(count, -1)
        newest[seen.series[about]] = about  # sorted by day: the last write wins
        has = newest >= 0
        factor = np.zeros(count)
        factor[has] = [LOG10_FACTOR[Seen(kind)] for kind in seen.kind[newest[has]]]
        log_odds += factor
        any_evidence |= factor != 0.0
        if Seen.FLUID_LEVEL_OK in subject:
            checked |= has
    return KindOfLoss(1.0 / (1.0 + 10.0**-log_odds), any_evidence, checked)


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
