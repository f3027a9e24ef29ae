"""Where each part is or was last, and since when, for the limits and figures that hold for it."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from fleet.aircraft.models import TypeSheet
from fleet.among import among
from fleet.gear.models import StrutInstallation, TyreInstallation
from servicing.readings.known_fleet import KnownLeg


@dataclass(frozen=True, slots=True)
class LegStay:
    """A part's time on one leg; without an end it is still there."""

    since: datetime
    until: datetime | None
    leg: KnownLeg


@dataclass(frozen=True, slots=True)
class Place:
    """One part's latest leg, whether it is on it now, and every leg that it was on, oldest first."""

    part_id: uuid.UUID
    leg: KnownLeg
    installed: bool
    stays: tuple[LegStay, ...]

    @property
    def installed_at(self) -> tuple[datetime, ...]:
        """When the part was installed anywhere, oldest first."""
        return tuple(stay.since for stay in self.stays)

    def leg_at(self, moment: datetime) -> KnownLeg:
        """Return the leg that the part was on, or last before, or first of all."""
        begun = [stay.leg for stay in self.stays if stay.since <= moment]
        return begun[-1] if begun else self.stays[0].leg


def strut_places(operator_id: uuid.UUID, strut_ids: Sequence[uuid.UUID]) -> list[Place]:
    """Return the places of struts that were ever on a leg, in the order given."""
    return _places(operator_id, strut_ids, StrutInstallation, "strut_id")


def tyre_places(operator_id: uuid.UUID, tyre_ids: Sequence[uuid.UUID]) -> list[Place]:
    """Return the places of tyres that were ever on a leg, in the order given."""
    return _places(operator_id, tyre_ids, TyreInstallation, "tyre_id")


def _places(
    operator_id: uuid.UUID,
    part_ids: Sequence[uuid.UUID],
    model: type[StrutInstallation] | type[TyreInstallation],
    part: str,
) -> list[Place]:
    # Plain values and each sheet once: a fleet has thousands of legs and a few sheets.
    rows = list(
        model.objects.of(operator_id)
        .filter(among(part, part_ids))
        .order_by("installed_at", "id")
        .values_list(
            part,
            "installed_at",
            "removed_at",
            "leg__sheet_id",
            "leg_id",
            "leg__aircraft_id",
            "leg__aircraft__registration",
            "leg__position",
            "leg__aircraft__home_elevation_ft",
        )
    )
    sheets = TypeSheet.objects.of(operator_id).in_bulk({row[3] for row in rows})
    stays: dict[uuid.UUID, tuple[LegStay, ...]] = {}
    for part_id, since, until, sheet_id, leg_id, aircraft_id, registration, position, elevation_ft in rows:
        leg = KnownLeg(leg_id, aircraft_id, registration, position, elevation_ft, sheets[sheet_id])
        stays[part_id] = (*stays.get(part_id, ()), LegStay(since, until, leg))
    return [
        Place(part_id, own[-1].leg, own[-1].until is None, own) for part_id in part_ids if (own := stays.get(part_id))
    ]
