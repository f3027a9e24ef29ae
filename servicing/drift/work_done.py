"""What was done to parts, as the drift computation takes it."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Final, NamedTuple

import numpy as np

from calculations.drift import Events
from calculations.drift import Work as Baseline
from fleet.among import among
from servicing.drift.places import Place
from servicing.readings.history import SECONDS_PER_DAY
from servicing.work.models import Servicing, Work

BASELINES: Final = {
    Work.GAS_ADDED: Baseline.GAS_ADDED,
    Work.GAS_RELEASED: Baseline.GAS_RELEASED,
    Work.FLUID_ADDED: Baseline.FLUID_ADDED,
    Work.FLUID_CHANGED: Baseline.FLUID_CHANGED,
    Work.VALVE_CORE: Baseline.VALVE_CORE,
    Work.SEALS: Baseline.SEALS,
    Work.CLEANED: Baseline.CLEANING,
    Work.OVERHAULED: Baseline.OVERHAUL,
    Work.TYRE_INFLATED: Baseline.INFLATED,
    Work.TYRE_TURNED: Baseline.INFLATED,
    Work.TYRE_CHANGED: Baseline.INSTALLED,
    Work.BEARING_SEEN: Baseline.OTHER,
}


class Done(NamedTuple):
    """One piece of work on one of the parts asked for; ``sitting`` tells doses of one top-up from another.

    The pressure is that of a tyre after it was inflated where it stands, with the temperature of the air.
    """

    series: int
    day: float
    kind: Baseline
    sitting: uuid.UUID | None = None
    pressure_after_psig: float | None = None
    temperature_f: float | None = None


def day_of(moment: datetime) -> float:
    """Return a moment as days since 1970-01-01 UTC."""
    return moment.timestamp() / SECONDS_PER_DAY


def work_done(operator_id: uuid.UUID, places: Sequence[Place], part: str) -> list[Done]:
    """Return what was done to the parts (``strut_id`` or ``tyre_id``), and each installation after the first."""
    number = {place.part_id: index for index, place in enumerate(places)}
    kinds = {work.value: kind for work, kind in BASELINES.items()}
    rows = Servicing.objects.of(operator_id).filter(among(part, number), superseded=False, withdrawn=False)
    columns = rows.values_list(part, "done_at", "work", "top_up_id", "pressure_after_psig", "temperature_f")
    done = [
        Done(
            number[part_id],
            day_of(at),
            kinds[work],
            top_up_id,
            after if work == Work.TYRE_INFLATED else None,
            temperature_f,
        )
        for part_id, at, work, top_up_id, after, temperature_f in columns
    ]
    moved = [
        Done(index, day_of(at), Baseline.INSTALLED)
        for index, place in enumerate(places)
        if len(place.stays) > 1
        for at in place.installed_at[1:]
    ]
    return done + moved


def events_of(rows: Iterable[tuple[int, float, int]]) -> Events:
    """Return rows of series, day and kind as arrays."""
    found = list(rows)
    if not found:
        return Events.none()
    series, day, kind = zip(*found, strict=True)
    return Events(np.array(series, np.int64), np.array(day, np.float64), np.array(kind, np.int64))


def work_events(done: Iterable[Done]) -> Events:
    """Return work as arrays."""
    return events_of((one.series, one.day, one.kind) for one in done)
