"""What each kind of work does to the history that drift reads: a table, nothing more."""

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from servicing.work.models import Work

SETTLING_DAYS: Final = 14.0  # common practice, no source: friction lets go over the next flights
STRETCH_HOURS: Final = 12.0  # tyre makers' table after FAA AC 20-97B: a new tyre stretches after first inflation


@dataclass(frozen=True, slots=True)
class Effect:
    """What one kind of work means for the readings before and after it.

    Parameters
    ----------
    level_moves
        Length (or pressure) before and after cannot be compared: a step here is no drift.
    new_baseline
        A loss seen before says nothing about the time after: trend and evidence start again.
    new_life
        Time, flights and landings since new seals or overhaul count from here.
    settling_days
        For so long a movement is expected and is not yet called a loss.
    forgets
        Looks taken before that no longer speak: ``fluid seen``, ``fluid level``, ``valve``, ``friction``.
    why
        The reason, for the chart and the person who asks.
    """

    level_moves: bool
    new_baseline: bool
    new_life: bool
    settling_days: float
    forgets: frozenset[str]
    why: str


def _effect(
    why: str,
    *forgets: str,
    level_moves: bool = True,
    new_baseline: bool = False,
    new_life: bool = False,
    settling_days: float = SETTLING_DAYS,
) -> Effect:
    return Effect(level_moves, new_baseline, new_life, settling_days, frozenset(forgets), why)


EFFECTS: Final = MappingProxyType(
    {
        Work.GAS_ADDED: _effect("gas was added: the length starts from a new level and may settle upwards late"),
        Work.GAS_RELEASED: _effect(
            "gas was let out: the length starts from a new level and may settle downwards late"
        ),
        Work.FLUID_ADDED: _effect(
            "fluid was added: fresh fluid takes up gas, so some length goes without a leak; new baseline",
            "fluid level",
            new_baseline=True,
        ),
        Work.FLUID_CHANGED: _effect(
            "the fluid was changed: fresh fluid takes up gas, so some length goes without a leak; new baseline",
            "fluid level",
            new_baseline=True,
        ),
        Work.VALVE_CORE: _effect(
            "the valve core was replaced: gas was let out for it and one way of losing gas is closed; "
            "a new baseline starts",
            "valve",
            new_baseline=True,
        ),
        Work.SEALS: _effect(
            "the seals were replaced: what leaked past the old ones says nothing about the new; new baseline",
            "fluid seen",
            "fluid level",
            "valve",
            "friction",
            new_baseline=True,
            new_life=True,
        ),
        Work.CLEANED: _effect(
            "the tube was cleaned and the strut exercised: fluid seen and friction before no longer count",
            "fluid seen",
            "friction",
            level_moves=False,
            settling_days=0.0,
        ),
        Work.OVERHAULED: _effect(
            "the strut was overhauled: a new baseline and a new life start",
            "fluid seen",
            "fluid level",
            "valve",
            "friction",
            new_baseline=True,
            new_life=True,
        ),
        Work.TYRE_INFLATED: _effect("the tyre was inflated: the pressure starts from a new level", settling_days=0.0),
        Work.TYRE_CHANGED: _effect(
            "the tyre was changed: a new tyre stretches in its first hours; a new baseline starts",
            "valve",
            new_baseline=True,
            new_life=True,
            settling_days=STRETCH_HOURS / 24.0,
        ),
        Work.TYRE_TURNED: _effect(
            "the tyre was turned on its wheel: it was deflated for that, so the pressure starts from a new level",
            "valve",
            settling_days=STRETCH_HOURS / 24.0,
        ),
        Work.BEARING_SEEN: _effect(
            "the wheel bearing was cleaned and greased: nothing changes for the pressure",
            level_moves=False,
            settling_days=0.0,
        ),
    }
)


def effect_of(work: str) -> Effect:
    """Return what a kind of work does.

    >>> effect_of("fluid changed").new_baseline
    True
    >>> effect_of("gas added").new_baseline
    False
    """
    return EFFECTS[Work(work)]
