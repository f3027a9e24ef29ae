"""Where each part is or was last, and since when, for the limits and figures that hold for it."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from servicing.readings.known_fleet import KnownLeg, Stay, load_known_fleet


@dataclass(frozen=True, slots=True)
class Place:
    """One part's latest leg, whether it is on it now, and when it was installed anywhere, oldest first."""

    part_id: uuid.UUID
    leg: KnownLeg
    installed: bool
    installed_at: tuple[datetime, ...]


def strut_places(operator_id: uuid.UUID, strut_ids: Sequence[uuid.UUID]) -> list[Place]:
    """Return the places of struts that were ever on a leg, in the order given."""
    return _places(operator_id, strut_ids, lambda leg: leg.struts)


def tyre_places(operator_id: uuid.UUID, tyre_ids: Sequence[uuid.UUID]) -> list[Place]:
    """Return the places of tyres that were ever on a leg, in the order given."""
    return _places(operator_id, tyre_ids, lambda leg: leg.tyres)


def _places(
    operator_id: uuid.UUID, part_ids: Sequence[uuid.UUID], stays_of: Callable[[KnownLeg], Iterable[Stay]]
) -> list[Place]:
    fleet = load_known_fleet(operator_id, with_equipment=False)
    stays: dict[uuid.UUID, list[tuple[Stay, KnownLeg]]] = {part_id: [] for part_id in part_ids}
    for leg in fleet.legs.values():
        for stay in stays_of(leg):
            if stay.part_id in stays:
                stays[stay.part_id].append((stay, leg))
    places = []
    for part_id in part_ids:
        found = sorted(stays[part_id], key=lambda pair: pair[0].since)
        if found:
            last, leg = found[-1]
            places.append(Place(part_id, leg, last.until is None, tuple(stay.since for stay, _ in found)))
    return places
