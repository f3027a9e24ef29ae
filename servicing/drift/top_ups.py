"""Two top-ups in less than two months with nobody looking at the fluid: a leak until someone has looked.

The statistic starts from a new level after each top-up, so whoever tops up often enough never lets it see a
loss. The work itself then is the evidence. It stays an advisory: on a strut that is filled now and then for
other reasons, two fall this close together by chance about as often as a caution may be wrong.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from calculations.drift import Events, Seen
from calculations.drift import Work as Baseline
from servicing.drift.work_done import Done

CLOSE_TOGETHER_DAYS: Final = 60.0
SAME_OCCASION_DAYS: Final = 1.0  # doses, not top-ups
# After these either the fluid is known, or what was losing may have been mended, or the gas was only moved about.
_BEGIN_ANEW: Final = frozenset(
    {
        Baseline.GAS_RELEASED,
        Baseline.FLUID_ADDED,
        Baseline.FLUID_CHANGED,
        Baseline.VALVE_CORE,
        Baseline.SEALS,
        Baseline.OVERHAUL,
        Baseline.INSTALLED,
    }
)
_FLUID_CHECKED: Final = (Seen.FLUID_LEVEL_OK, Seen.FLUID_LEVEL_LOW)


@dataclass(frozen=True, slots=True)
class Repeated:
    """Two top-ups close together."""

    first_day: float
    second_day: float


def repeated_top_ups(done: Iterable[Done], seen: Events, *, now_day: float) -> dict[int, Repeated]:
    """Return, by series, the last two top-ups where they ask for a look at the fluid that nobody has taken.

    It stops asking when as much time has passed without a third as lay between the two at most.
    """
    by_series: dict[int, list[Done]] = {}
    for one in done:
        if now_day - one.day < 2.0 * CLOSE_TOGETHER_DAYS:  # of two that still ask, not even the first is older
            by_series.setdefault(one.series, []).append(one)
    suspects = {series for series, own in by_series.items() if sum(_adds_gas(one) for one in own) > 1}
    checks: dict[int, list[float]] = {}
    for series, day, kind in zip(seen.series.tolist(), seen.day.tolist(), seen.kind.tolist(), strict=True):
        if series in suspects and kind in _FLUID_CHECKED:
            checks.setdefault(series, []).append(day)
    found = {series: _last_pair(by_series[series], checks.get(series, [])) for series in suspects}
    return {
        series: pair
        for series, pair in sorted(found.items())
        if pair is not None and now_day - pair.second_day < CLOSE_TOGETHER_DAYS
    }


def _adds_gas(one: Done) -> bool:
    return one.kind == Baseline.GAS_ADDED


def _last_pair(done: list[Done], checked_days: list[float]) -> Repeated | None:
    last: Done | None = None
    pair: Repeated | None = None
    # A look on the very moment of a top-up belongs to it.
    looks = [Done(done[0].series, day, Baseline.FLUID_ADDED) for day in checked_days]
    for one in sorted([*done, *looks], key=lambda each: (each.day, not _adds_gas(each), str(each.sitting))):
        if one.kind in _BEGIN_ANEW:
            last, pair = None, None
        elif _adds_gas(one):
            if last is not None and not _one_occasion(last, one):
                close = one.day - last.day < CLOSE_TOGETHER_DAYS
                pair = Repeated(last.day, one.day) if close else None
            last = one
    return pair


def _one_occasion(before: Done, after: Done) -> bool:
    same_sitting = before.sitting is not None and before.sitting == after.sitting
    return same_sitting or after.day - before.day < SAME_OCCASION_DAYS
