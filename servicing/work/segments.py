"""From the steps of a top-up to what doses did: groups that begin and end with an exercised strut.

Between two readings of an exercised strut, friction hides nothing: the rise belongs to the strokes
between them. A dose whose strut has not been exercised since may still show its rise later.
"""

import math
import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final, Protocol

from calculations.dosing.calibration import READING_SD_IN

ON_STOP_IN: Final = 1 / 16  # from either stop; nearer than a ruler shows
BY_CHANCE_IN: Final = 2 * math.sqrt(2) * READING_SD_IN  # that two readings differ by, seldom more
EXERCISES: Final = ("not", "rocked", "taxied", "flown")  # each frees a strut more than the one before


class Step(Protocol):
    """What is needed of a step: `servicing.work.models.TopUpStep` has it."""

    @property
    def amount(self) -> float: ...
    @property
    def released(self) -> bool: ...
    @property
    def exercised(self) -> str: ...
    @property
    def extension_before_in(self) -> float | None: ...
    @property
    def extension_in(self) -> float: ...
    @property
    def corrected_before_in(self) -> float | None: ...
    @property
    def corrected_in(self) -> float: ...
    @property
    def hose_connected(self) -> bool: ...
    @property
    def equipment_id(self) -> uuid.UUID | None: ...


@dataclass(frozen=True, slots=True)
class DoseSeen:
    """What strokes did to the corrected extension, seen on an exercised strut.

    Parameters
    ----------
    amount
        Strokes, cycles or seconds.
    rise_in
        Change of corrected extension [in]; negative where gas was let out.
    hose_connections
        How often a hose was connected meanwhile, each costing gas where it was not filled first.
    settled
        False where the strut was not exercised before the first of the strokes.
    released
        Gas was let out.
    equipment_id
        With what.
    exercised
        How, before the length was last read.
    on_stop
        The strut stood on a stop before or after: gas then moves it less than the same gas would elsewhere.
    mixed
        Gas went both ways, or by two pumps, since the strut was exercised before: what each did cannot be told apart.
    went_back
        The length went back after stronger exercise, as where gas is lost over days.
    """

    amount: float
    rise_in: float
    hose_connections: int
    settled: bool
    released: bool
    equipment_id: uuid.UUID | None
    exercised: str
    on_stop: bool = False
    mixed: bool = False
    went_back: bool = False

    @property
    def comparable(self) -> bool:
        """Say whether strokes and length must agree."""
        return not (self.on_stop or self.mixed)

    @property
    def teaches(self) -> bool:
        """Say whether the rise per stroke may be learned from it."""
        return self.comparable and not self.went_back


@dataclass(frozen=True, slots=True)
class Progress:
    """Where a top-up stands.

    Parameters
    ----------
    seen
        Finished groups of doses.
    extension_in
        The corrected extension last seen [in].
    exercised
        Whether the strut was exercised before that.
    pending
        Doses since the strut was last exercised, as one group; None where there are none.
    """

    seen: tuple[DoseSeen, ...]
    extension_in: float
    exercised: bool
    pending: DoseSeen | None


def progress_of(steps: Sequence[Step], full_extension_in: float = math.inf) -> Progress:
    """Return where the steps, in order of time, lead to; there is at least one, a look."""
    walk = _Walk(steps[0], full_extension_in)
    for step in steps[1:]:
        walk.take(step)
    return walk.progress()


def learned_from(top_ups: Iterable[Sequence[Step]], full_extension_in: float = math.inf) -> list[DoseSeen]:
    """Return the finished groups of several top-ups of one strut."""
    return [seen for steps in top_ups if steps for seen in progress_of(steps, full_extension_in).seen]


def is_on_stop(extension_in: float, full_extension_in: float) -> bool:
    """Say whether a length as read lies on the lower or the upper stop.

    >>> [is_on_stop(length, 8.0) for length in (0.0, 0.5, 7.5, 8.0)]
    [True, False, False, True]
    """
    return not ON_STOP_IN < extension_in < full_extension_in - ON_STOP_IN


class _Walk:
    """Goes through the steps and closes a group whenever the strut was exercised."""

    def __init__(self, first: Step, full_extension_in: float) -> None:
        self._full_extension = full_extension_in
        self._seen: list[DoseSeen] = []
        self._extension = first.corrected_in
        self._on_stop = False
        self._exercised = _is_exercised(first)
        self._last_exercise = first.exercised
        self._start_at(first)

    def take(self, step: Step) -> None:
        if step.amount:
            self._add_dose(step)
        elif self._belongs_to_last(step):
            self._seen[-1] = _with_late_rise(self._seen[-1], step.corrected_in - self._extension, step.exercised)
        self._extension = step.corrected_in
        self._on_stop = self._on_stop or self._is_on_stop(step.extension_in)
        self._exercised = _is_exercised(step)
        self._last_exercise = step.exercised
        if self._exercised:
            group = self._group()
            if group is not None:
                self._seen.append(group)
            self._start_at(step)

    def progress(self) -> Progress:
        return Progress(tuple(self._seen), self._extension, self._exercised, self._group())

    def _belongs_to_last(self, step: Step) -> bool:
        """Say whether the change that a mere look shows is the last group's.

        After stronger exercise it came late. After the same, two readings that differ by more than chance mean that
        the one before was wrong or the strut was still settling.
        """
        if not self._seen or self._amount:
            return False
        more = EXERCISES.index(step.exercised) - EXERCISES.index(self._seen[-1].exercised)
        return more > 0 or (more == 0 and abs(step.corrected_in - self._extension) > BY_CHANCE_IN)

    def _start_at(self, step: Step) -> None:
        self._base = step.corrected_in
        self._on_stop = self._is_on_stop(step.extension_in)
        self._base_exercised = _is_exercised(step)
        self._amount = 0.0
        self._connections = 0
        self._released = False
        self._mixed = False
        self._equipment: uuid.UUID | None = None

    def _add_dose(self, step: Step) -> None:
        another_kind = (step.released, step.equipment_id) != (self._released, self._equipment)
        if self._amount and another_kind:
            self._base, self._base_exercised, self._amount, self._connections = self._extension, False, 0.0, 0
            self._mixed = True
        elif not self._amount:
            self._start_where_found(step)
        self._amount += step.amount
        self._connections += step.hose_connected
        self._released, self._equipment = step.released, step.equipment_id

    def _start_where_found(self, step: Step) -> None:
        """Count from the length found before the dose, where it moved since it was last read."""
        before = step.corrected_before_in
        if before is None or abs(before - self._base) <= ON_STOP_IN:
            return
        self._base, self._base_exercised = before, False
        self._on_stop = step.extension_before_in is not None and self._is_on_stop(step.extension_before_in)

    def _is_on_stop(self, extension_in: float) -> bool:
        return is_on_stop(extension_in, self._full_extension)

    def _group(self) -> DoseSeen | None:
        if not self._amount:
            return None
        return DoseSeen(
            self._amount,
            self._extension - self._base,
            self._connections,
            self._base_exercised,
            self._released,
            self._equipment,
            self._last_exercise,
            self._on_stop,
            self._mixed,
        )


def _with_late_rise(seen: DoseSeen, late_in: float, exercised: str) -> DoseSeen:
    back = late_in if seen.released else -late_in
    return replace(
        seen,
        rise_in=seen.rise_in + late_in,
        exercised=exercised,
        went_back=seen.went_back or back > BY_CHANCE_IN,
    )


def _is_exercised(step: Step) -> bool:
    return step.exercised != "not"
