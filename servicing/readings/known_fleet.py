"""An operator's legs, sheets, installed parts and gauges, fetched once so that many rows need no query each."""

from __future__ import annotations

import uuid
from bisect import bisect_right
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from datetime import datetime

from fleet.aircraft.models import Leg, TypeSheet
from fleet.equipment.models import Equipment
from fleet.equipment.queries import calibration_overdue
from fleet.gear.models import StrutInstallation, TyreInstallation
from fleet.operators.local_day import today_at


@dataclass(frozen=True, slots=True)
class Stay:
    """One part's time on a leg; open-ended while ``until`` is None."""

    since: datetime
    until: datetime | None
    part_id: uuid.UUID


@dataclass(frozen=True, slots=True)
class KnownLeg:
    """A leg with its sheet and whatever was ever installed on it, oldest first."""

    id: uuid.UUID
    aircraft_id: uuid.UUID
    registration: str
    position: str
    home_elevation_ft: float | None
    sheet: TypeSheet
    struts: tuple[Stay, ...] = ()
    tyres: tuple[Stay, ...] = ()

    def strut_at(self, moment: datetime) -> uuid.UUID | None:
        """Return the strut that was on the leg at a moment, or None."""
        return _part_at(self.struts, moment)

    def tyre_at(self, moment: datetime) -> uuid.UUID | None:
        """Return the tyre that was on the leg at a moment, or None."""
        return _part_at(self.tyres, moment)


def _part_at(stays: tuple[Stay, ...], moment: datetime) -> uuid.UUID | None:
    last = bisect_right(stays, moment, key=lambda stay: stay.since) - 1
    if last < 0:
        return None
    stay = stays[last]
    return stay.part_id if stay.until is None or moment < stay.until else None


@dataclass(frozen=True, slots=True)
class KnownFleet:
    """Legs by id and by (registration in capitals, position); equipment by name and by id in hex."""

    operator_id: uuid.UUID
    legs: dict[uuid.UUID, KnownLeg]
    by_name: dict[tuple[str, str], KnownLeg]
    equipment: dict[str, Equipment] = field(default_factory=dict)
    time_zone: str = "UTC"

    def leg_named(self, aircraft: str, position: str) -> KnownLeg | None:
        """Return the leg of an aircraft given by registration or id, at a position, or None."""
        return self.by_name.get((aircraft.strip().upper(), position.strip().lower()))

    def has_aircraft(self, aircraft: str) -> bool:
        """Say whether any leg of an aircraft given by registration or id is known."""
        wanted = aircraft.strip().upper()
        return any(name == wanted for name, _ in self.by_name)

    def gauge_overdue(self, gauge_id: uuid.UUID, at: datetime) -> bool:
        """Say whether a gauge was past its calibration date on the operator's day of a moment."""
        on = today_at(self.time_zone, at)
        return calibration_overdue(self.equipment[str(gauge_id)], on)


def load_known_fleet(
    operator_id: uuid.UUID,
    *,
    aircraft: Collection[str] | None = None,
    leg_ids: Collection[uuid.UUID] | None = None,
    with_equipment: bool = True,
) -> KnownFleet:
    """Fetch the operator's fleet, or only the named aircraft (by registration or id) or legs."""
    rows = Leg.objects.of(operator_id).select_related("aircraft", "sheet", "operator")
    if leg_ids is not None:
        rows = rows.filter(id__in=leg_ids)
    found = list(rows)
    if aircraft is not None:
        wanted = {name.strip().upper() for name in aircraft}
        found = [leg for leg in found if leg.aircraft.registration.upper() in wanted or _as_id(leg) in wanted]
    ids = [leg.id for leg in found] if aircraft is not None or leg_ids is not None else None
    struts = _stays(operator_id, StrutInstallation, "strut_id", ids)
    tyres = _stays(operator_id, TyreInstallation, "tyre_id", ids)
    legs = {leg.id: _known(leg, struts.get(leg.id, ()), tyres.get(leg.id, ())) for leg in found}
    equipment = Equipment.objects.of(operator_id) if with_equipment else ()
    time_zone = found[0].operator.time_zone if found else "UTC"
    return KnownFleet(operator_id, legs, _names(legs.values()), _equipment_by_name(equipment), time_zone)


def _as_id(leg: Leg) -> str:
    return str(leg.aircraft_id).upper()


def _known(leg: Leg, struts: tuple[Stay, ...], tyres: tuple[Stay, ...]) -> KnownLeg:
    plane = leg.aircraft
    return KnownLeg(
        leg.id, plane.id, plane.registration, leg.position, plane.home_elevation_ft, leg.sheet, struts, tyres
    )


def _names(legs: Iterable[KnownLeg]) -> dict[tuple[str, str], KnownLeg]:
    names = {}
    for leg in legs:
        names[leg.registration.upper(), leg.position] = leg
        names[str(leg.aircraft_id).upper(), leg.position] = leg
    return names


def _stays(
    operator_id: uuid.UUID,
    model: type[StrutInstallation] | type[TyreInstallation],
    part: str,
    leg_ids: list[uuid.UUID] | None,
) -> dict[uuid.UUID, tuple[Stay, ...]]:
    rows = model.objects.of(operator_id)
    if leg_ids is not None:
        rows = rows.filter(leg_id__in=leg_ids)
    stays: dict[uuid.UUID, tuple[Stay, ...]] = {}
    for leg_id, since, until, part_id in rows.order_by("installed_at").values_list(
        "leg_id", "installed_at", "removed_at", part
    ):
        stays[leg_id] = (*stays.get(leg_id, ()), Stay(since, until, part_id))
    return stays


def _equipment_by_name(rows: Iterable[Equipment]) -> dict[str, Equipment]:
    found = {}
    for row in sorted(rows, key=lambda row: row.retired_at is None):
        found[row.name.strip().lower()] = row  # one in use wins over a retired namesake
        found[str(row.id)] = row
    return found
