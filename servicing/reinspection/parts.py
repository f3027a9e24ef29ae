"""The parts that looks are about: where each is now, and where it was."""

import uuid
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta

from fleet.gear.models import StrutInstallation, TyreInstallation
from fleet.operators.models import Operator
from fleet.tenancy import OwnedQuerySet
from servicing.usage.queries import Stretch


@dataclass(frozen=True, slots=True)
class InstalledPart:
    """A strut or tyre, where it is now, and its times on aircraft, oldest first; the last one lasts."""

    leg_id: uuid.UUID
    aircraft_id: uuid.UUID
    stretches: tuple[Stretch, ...]
    strut_id: uuid.UUID | None = None
    tyre_id: uuid.UUID | None = None

    @property
    def part_id(self) -> uuid.UUID:
        """The strut's or tyre's id."""
        return self.strut_id or self.tyre_id  # type: ignore[return-value]  # one of the two is set

    def was_on(self, aircraft_id: uuid.UUID, ended_at: datetime) -> bool:
        """Say whether it was on an aircraft during the use that ended then."""
        return any(stretch.holds(aircraft_id, ended_at) for stretch in self.stretches)

    def in_service_from(self, now: datetime, days: int) -> datetime:
        """Return since when it has been on aircraft for so many days, or its first installation."""
        left = timedelta(days=days)
        for stretch in reversed(self.stretches):
            until = stretch.until or now
            if until - stretch.since >= left:
                return until - left
            left -= until - stretch.since
        return self.stretches[0].since


def installed_parts(
    operator: Operator, strut_ids: Collection[uuid.UUID] | None = None, tyre_ids: Collection[uuid.UUID] | None = None
) -> dict[uuid.UUID, InstalledPart]:
    """Return the given parts that are on an aircraft in service, by id; None means all."""
    struts = StrutInstallation.objects.of(operator)
    tyres = TyreInstallation.objects.of(operator)
    if strut_ids is not None or tyre_ids is not None:
        struts, tyres = struts.filter(strut__in=strut_ids or ()), tyres.filter(tyre__in=tyre_ids or ())
    return _installed(struts, "strut_id") | _installed(tyres, "tyre_id")


def _installed(
    rows: OwnedQuerySet[StrutInstallation] | OwnedQuerySet[TyreInstallation], part: str
) -> dict[uuid.UUID, InstalledPart]:
    stretches: dict[uuid.UUID, tuple[Stretch, ...]] = {}
    places: dict[uuid.UUID, tuple[uuid.UUID, uuid.UUID]] = {}
    columns = (part, "leg_id", "leg__aircraft_id", "installed_at", "removed_at", "leg__aircraft__retired_at")
    for part_id, leg_id, aircraft_id, since, until, retired_at in rows.order_by("installed_at").values_list(*columns):
        stretches[part_id] = (*stretches.get(part_id, ()), Stretch(aircraft_id, since, until))
        if until is None and retired_at is None:
            places[part_id] = leg_id, aircraft_id
    return {
        part_id: InstalledPart(*place, stretches[part_id], **{part: part_id}) for part_id, place in places.items()
    }
