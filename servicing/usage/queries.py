"""How much each aircraft has flown, in all and between two moments."""

import uuid
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from django.db.models import Count, Q, Sum

from fleet.aircraft.models import Aircraft
from fleet.among import among
from fleet.operators.models import Operator
from fleet.tenancy import OwnedQuerySet
from servicing.usage.models import Usage

NO_AIRCRAFT: Final = uuid.UUID(int=0)  # stands for what is not there; the action names the fault among the others


@dataclass(frozen=True, slots=True)
class Totals:
    """Use of one aircraft."""

    flights: int = 0
    landings: int = 0
    hours: float = 0.0
    brought_forward: bool = False  # the total before logging began is in it

    def __add__(self, other: "Totals") -> "Totals":
        """Add two stretches of use."""
        return Totals(
            self.flights + other.flights,
            self.landings + other.landings,
            self.hours + other.hours,
            self.brought_forward or other.brought_forward,
        )


@dataclass(frozen=True, slots=True)
class Stretch:
    """A time on one aircraft; without an end it lasts."""

    aircraft_id: uuid.UUID
    since: datetime
    until: datetime | None = None

    def holds(self, aircraft_id: uuid.UUID, ended_at: datetime) -> bool:
        """Say whether a use of an aircraft falls in it: what ended as the part came off was still flown with it."""
        return (
            aircraft_id == self.aircraft_id
            and self.since < ended_at
            and (self.until is None or ended_at <= self.until)
        )


def totals(
    operator: Operator | uuid.UUID, aircraft_ids: Collection[uuid.UUID], *, until: datetime | None = None
) -> Mapping[uuid.UUID, Totals]:
    """Return the totals of each aircraft, with what was brought forward; 0 for one never logged."""
    counted = Usage.objects.of(operator).filter(aircraft_id__in=aircraft_ids, superseded=False)
    if until is not None:
        counted = counted.filter(ended_at__lte=until)
    sums = counted.values_list("aircraft_id").annotate(
        total_flights=Sum("flights"),
        total_landings=Sum("landings"),
        total_hours=Sum("hours"),
        forward=Count("pk", filter=Q(brought_forward=True)),
    )
    found = {key: Totals(flights, landings, hours, bool(forward)) for key, flights, landings, hours, forward in sums}
    return {aircraft_id: found.get(aircraft_id, Totals()) for aircraft_id in aircraft_ids}


def stretches_after(stretches: Iterable[Stretch], moment: datetime) -> list[Stretch]:
    """Return what of some stretches lies after a moment."""
    return [
        Stretch(stretch.aircraft_id, max(stretch.since, moment), stretch.until)
        for stretch in stretches
        if stretch.until is None or stretch.until > moment
    ]


def used_in(operator: Operator | uuid.UUID, stretches: Iterable[Stretch]) -> Totals:
    """Return the use over several stretches: a part's time in service follows it from aircraft to aircraft."""
    within = Q(pk__isnull=True)
    for stretch in stretches:
        this = Q(aircraft_id=stretch.aircraft_id, ended_at__gt=stretch.since)
        within |= this & Q(ended_at__lte=stretch.until) if stretch.until else this
    sums = (
        Usage.objects.of(operator)
        .filter(within, superseded=False, brought_forward=False)
        .aggregate(flights=Sum("flights"), landings=Sum("landings"), hours=Sum("hours"))
    )
    return Totals(sums["flights"] or 0, sums["landings"] or 0, sums["hours"] or 0.0)


class LoggedUse:
    """What some aircraft flew, fetched together, so that many parts need no query each."""

    def __init__(self, operator: Operator | uuid.UUID, aircraft_ids: Collection[uuid.UUID], since: datetime) -> None:
        self._in_all = totals(operator, aircraft_ids) if aircraft_ids else {}
        self._since: dict[uuid.UUID, list[tuple[datetime, Totals]]] = {}
        columns = ("aircraft_id", "ended_at", "flights", "landings", "hours", "brought_forward")
        rows = Usage.objects.of(operator).filter(aircraft_id__in=aircraft_ids, superseded=False, ended_at__gt=since)
        for aircraft_id, ended_at, *figures in rows.values_list(*columns) if aircraft_ids else ():
            self._since.setdefault(aircraft_id, []).append((ended_at, Totals(*figures)))

    def in_all(self, aircraft_id: uuid.UUID) -> Totals:
        """Return the total of an aircraft."""
        return self._in_all[aircraft_id]

    def after(self, aircraft_id: uuid.UUID, moment: datetime) -> Totals:
        """Return what came to the total of an aircraft after a moment."""
        return sum((used for at, used in self._since.get(aircraft_id, ()) if at > moment), Totals())

    def within(self, stretches: Iterable[Stretch]) -> Totals:
        """Return the use over several stretches, as `used_in` does."""
        return sum(
            (
                used
                for stretch in stretches
                for at, used in self._since.get(stretch.aircraft_id, ())
                if stretch.holds(stretch.aircraft_id, at) and not used.brought_forward
            ),
            Totals(),
        )


def flights_since(
    operator: Operator | uuid.UUID, aircraft_ids: Collection[uuid.UUID], *, since: datetime, until: datetime
) -> list[tuple[uuid.UUID, datetime, int]]:
    """Return (aircraft id, moment, flights) of each use between two moments."""
    rows = Usage.objects.of(operator).filter(
        among("aircraft_id", aircraft_ids), superseded=False, brought_forward=False, ended_at__range=(since, until)
    )
    return list(rows.values_list("aircraft_id", "ended_at", "flights"))


def hard_landings(
    operator: Operator | uuid.UUID, aircraft_ids: Collection[uuid.UUID], *, since: datetime
) -> list[tuple[uuid.UUID, uuid.UUID, datetime]]:
    """Return (usage id, aircraft id, moment) of each hard landing reported since a moment."""
    rows = Usage.objects.of(operator).filter(
        aircraft_id__in=aircraft_ids, hard_landing=True, superseded=False, ended_at__gte=since
    )
    return list(rows.order_by("ended_at").values_list("id", "aircraft_id", "ended_at"))


def usage_matching(operator: Operator, filters: dict[str, Any]) -> OwnedQuerySet[Usage]:
    """Return the rows of use that the documented filters keep."""
    columns = {
        "aircraft": "aircraft_id",
        "since": "ended_at__gte",
        "until": "ended_at__lte",
        "hard_landing": "hard_landing",
    }
    chosen = {columns[name]: value for name, value in filters.items() if name in columns and value is not None}
    rows = Usage.objects.of(operator).filter(**chosen)
    return rows if filters.get("corrected") else rows.filter(superseded=False)


def aircraft_named(operator_id: uuid.UUID, names: Collection[str]) -> dict[str, uuid.UUID]:
    """Return the id of each aircraft named by registration or id; `NO_AIRCRAFT` where there is none."""
    found: dict[str, uuid.UUID] = {}
    for aircraft_id, registration in Aircraft.objects.of(operator_id).values_list("pk", "registration"):
        found[registration.upper()] = found[str(aircraft_id).upper()] = aircraft_id
    return {name: found.get(name.strip().upper(), NO_AIRCRAFT) for name in names}
