"""A part's life: time, flights and landings since it was installed, since last serviced, since its new life."""

import uuid
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from fleet.gear.models import Strut, StrutInstallation, Tyre, TyreInstallation
from fleet.operators.models import Operator
from fleet.refusals import Missing
from servicing.usage.queries import Stretch, Totals, stretches_after, used_in
from servicing.work.effects import effect_of
from servicing.work.models import Servicing
from servicing.work.queries import valid_servicings


@dataclass(frozen=True, slots=True)
class Since:
    """What a part has done since a moment.

    Parameters
    ----------
    at
        The moment.
    why
        What happened then.
    days
        Time since then, on and off aircraft [d].
    used
        Flights, landings and hours on the aircraft that it was on.
    """

    at: datetime
    why: str
    days: float
    used: Totals


@dataclass(frozen=True, slots=True)
class PartLife:
    """A part's life; None where nothing of the kind is known."""

    since_installed: Since | None
    since_servicing: Since | None
    since_new_life: Since | None


def strut_life(operator: Operator, strut_id: uuid.UUID, *, now: datetime) -> PartLife:
    """Return the life of a strut; new seals and overhaul start a new one."""
    if not Strut.objects.of(operator).filter(pk=strut_id).exists():
        raise Missing("no such strut")
    rows = StrutInstallation.objects.of(operator).filter(strut_id=strut_id)
    return _life(operator, _stretches(rows), list(valid_servicings(operator, strut_id=strut_id)), now)


def tyre_life(operator: Operator, tyre_id: uuid.UUID, *, now: datetime) -> PartLife:
    """Return the life of a tyre, from its first installation."""
    if not Tyre.objects.of(operator).filter(pk=tyre_id).exists():
        raise Missing("no such tyre")
    rows = TyreInstallation.objects.of(operator).filter(tyre_id=tyre_id)
    return _life(operator, _stretches(rows), list(valid_servicings(operator, tyre_id=tyre_id)), now)


def _stretches(rows) -> list[Stretch]:  # type: ignore[no-untyped-def]  # installations of either kind
    ordered = rows.order_by("installed_at").values_list("leg__aircraft_id", "installed_at", "removed_at")
    return [Stretch(*row) for row in ordered]


def _life(operator: Operator, stretches: list[Stretch], work: list[Servicing], now: datetime) -> PartLife:
    new_life = [row for row in work if effect_of(row.work).new_life]
    first = stretches[0].since if stretches else None
    return PartLife(
        since_installed=_since(operator, stretches, _installed_here(stretches), "installed", now),
        since_servicing=_since(operator, stretches, work[-1].done_at, work[-1].work, now) if work else None,
        since_new_life=_since(operator, stretches, new_life[-1].done_at, new_life[-1].work, now)
        if new_life
        else _since(operator, stretches, first, "first installed", now),
    )


def _installed_here(stretches: list[Stretch]) -> datetime | None:
    """Return since when a part is on its aircraft without time off it; a move to another leg does not count."""
    if not stretches or stretches[-1].until is not None:
        return None
    since = stretches[-1].since
    for earlier, later in reversed(list(pairwise(stretches))):
        if (earlier.aircraft_id, earlier.until) != (later.aircraft_id, later.since):
            break
        since = earlier.since
    return since


def _since(
    operator: Operator, stretches: list[Stretch], at: datetime | None, why: str, now: datetime
) -> Since | None:
    if at is None:
        return None
    return Since(
        at, str(why), (now - at).total_seconds() / 86400.0, used_in(operator, stretches_after(stretches, at))
    )
