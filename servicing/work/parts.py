"""Which strut and tyre was on which leg at a moment."""

import uuid
from collections import defaultdict
from collections.abc import Collection
from datetime import datetime

from fleet.aircraft.models import Leg
from fleet.gear.models import StrutInstallation, TyreInstallation

Interval = tuple[datetime, datetime | None, uuid.UUID]


class PartsOnLegs:
    """The installations of some legs, fetched at once and asked many times."""

    def __init__(self, operator_id: uuid.UUID, leg_ids: Collection[uuid.UUID]) -> None:
        wanted = set(leg_ids)
        self._legs = set(Leg.objects.of(operator_id).filter(pk__in=wanted).values_list("pk", flat=True))
        self._struts = _by_leg(
            StrutInstallation.objects.of(operator_id)
            .filter(leg_id__in=wanted)
            .values_list("leg_id", "installed_at", "removed_at", "strut_id")
        )
        self._tyres = _by_leg(
            TyreInstallation.objects.of(operator_id)
            .filter(leg_id__in=wanted)
            .values_list("leg_id", "installed_at", "removed_at", "tyre_id")
        )

    def knows(self, leg_id: uuid.UUID) -> bool:
        """Say whether the leg is one of this operator."""
        return leg_id in self._legs

    def on_leg(self, leg_id: uuid.UUID, at: datetime, *, tyre: bool) -> uuid.UUID | None:
        """Return the part that was on the leg then; at the moment of a swap, the new one."""
        installations = (self._tyres if tyre else self._struts)[leg_id]
        for installed_at, removed_at, part_id in installations:
            if installed_at <= at and (removed_at is None or at < removed_at):
                return part_id
        return None


def _by_leg(
    rows: Collection[tuple[uuid.UUID, datetime, datetime | None, uuid.UUID]],
) -> dict[uuid.UUID, list[Interval]]:
    found: dict[uuid.UUID, list[Interval]] = defaultdict(list)
    for leg_id, installed_at, removed_at, part_id in rows:
        found[leg_id].append((installed_at, removed_at, part_id))
    return found
