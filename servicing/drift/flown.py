"""Flights since work: friction lets go of a strut over its next flights, so what stands has not settled yet."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Final

from calculations.drift import LEVEL_MOVING
from servicing.drift.places import Place
from servicing.drift.work_done import Done, day_of
from servicing.usage.queries import flights_since

FLIGHTS_TO_SETTLE: Final = 3  # common practice, no source
WAITED_FOR_DAYS: Final = 90.0  # after so long on the ground the strut stands as it will; ASSUMED
LOGGED_WITHIN: Final = timedelta(days=180)  # an aircraft without any flight in so long has its log elsewhere, if any


def not_yet_flown(operator_id: uuid.UUID, places: list[Place], done: Iterable[Done], *, now: datetime) -> set[int]:
    """Return the struts, as numbered in ``places``, that have not flown enough since work moved their level.

    Only where flights are logged at all: what nobody wrote down says nothing.
    """
    today = day_of(now)
    waiting: dict[int, float] = {}
    for one in done:
        if 0.0 <= today - one.day < WAITED_FOR_DAYS and one.kind in LEVEL_MOVING:
            waiting[one.series] = max(one.day, waiting.get(one.series, one.day))
    if not waiting:
        return set()
    aircraft = {places[series].leg.aircraft_id for series in waiting}
    flights: dict[uuid.UUID, list[tuple[float, int]]] = {}
    for aircraft_id, ended_at, count in flights_since(operator_id, aircraft, since=now - LOGGED_WITHIN, until=now):
        flights.setdefault(aircraft_id, []).append((day_of(ended_at), count))
    logs = {series: flights.get(places[series].leg.aircraft_id) for series in waiting}
    return {
        series
        for series, log in logs.items()
        if log and sum(count for day, count in log if day > waiting[series]) < FLIGHTS_TO_SETTLE
    }
