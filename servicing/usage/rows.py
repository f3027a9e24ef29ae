"""Rows of use as they come in, checked against each other and against what is known."""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any, Final

from fleet.aircraft.models import Aircraft
from fleet.refusals import FieldFault
from servicing.row_faults import RowFault
from servicing.usage.models import Usage

CLOCK_AHEAD: Final = timedelta(minutes=10)  # a phone's clock may run ahead by so much


@dataclass(frozen=True, slots=True)
class UsageRow:
    """One use of one aircraft, ended at a moment; or the total that the aircraft came with."""

    aircraft_id: uuid.UUID
    ended_at: datetime
    flights: int = 1
    landings: int = 1
    hours: float = 0.0
    hard_landing: bool = False
    brought_forward: bool = False
    note: str = ""
    id: uuid.UUID | None = None


@dataclass(frozen=True, slots=True)
class PreparedUsage:
    """Rows ready to be written, those known already, and what is wrong with the rest."""

    in_order: tuple[Usage, ...]
    new: tuple[Usage, ...]
    faults: tuple[RowFault, ...]


def prepare_usage(*, operator_id: uuid.UUID, now: datetime, rows: Sequence[UsageRow]) -> PreparedUsage:
    """Check every row; each fault comes with the number of its row, counted from 0."""
    aircraft_ids = {row.aircraft_id for row in rows}
    ours = set(Aircraft.objects.of(operator_id).filter(pk__in=aircraft_ids).values_list("pk", flat=True))
    known = _KnownUsage(operator_id, rows)
    in_order: list[Usage] = []
    new: list[Usage] = []
    faults: list[RowFault] = []
    for number, row in enumerate(rows):
        wrong = list(_faults_of(row, ours, now))
        before, clash = known.find(row)
        if clash:
            wrong.append(clash)
        if wrong:
            faults.extend((number, fault) for fault in wrong)
            continue
        usage = before or known.add(_usage_from(row, operator_id, now))
        in_order.append(usage)
        if before is None:
            new.append(usage)
    return PreparedUsage(tuple(in_order), tuple(new), tuple(faults))


def figures_of(usage: Usage) -> dict[str, Any]:
    """Return what a row says, JSON-ready; two rows that say the same are the same."""
    return {
        "aircraft": str(usage.aircraft_id),
        "ended_at": usage.ended_at.astimezone(UTC).isoformat(),
        "flights": usage.flights,
        "landings": usage.landings,
        "hours": usage.hours,
        "hard_landing": usage.hard_landing,
        "brought_forward": usage.brought_forward,
        "note": usage.note,
    }


class _KnownUsage:
    """Finds a row that was sent before: by its id, or by aircraft and moment where it has none."""

    def __init__(self, operator_id: uuid.UUID, rows: Sequence[UsageRow]) -> None:
        usages = Usage.objects.of(operator_id)
        moments = [row.ended_at for row in rows] or [datetime.min.replace(tzinfo=UTC)]
        stored = [
            *usages.filter(pk__in=[row.id for row in rows if row.id]),
            *usages.filter(
                aircraft_id__in={row.aircraft_id for row in rows},
                ended_at__gte=min(moments),
                ended_at__lte=max(moments),
                superseded=False,
            ),
        ]
        self._by_id = {usage.id: usage for usage in stored}
        self._by_moment = {_moment(usage): usage for usage in stored if not usage.superseded}

    def find(self, row: UsageRow) -> tuple[Usage | None, FieldFault | None]:
        same_id = self._by_id.get(row.id) if row.id else None
        before = same_id or (None if row.id else self._by_moment.get(_moment(row)))
        if before is None or _says_the_same(before, row):
            return before, None
        field = "id" if same_id else "ended_at"
        return None, FieldFault(
            field,
            "already_logged_otherwise",
            f"already logged with {before.flights} flights, {before.landings} landings, {before.hours:g} hours: "
            "correct that row instead",
        )

    def add(self, usage: Usage) -> Usage:
        self._by_id[usage.id] = usage
        self._by_moment[_moment(usage)] = usage
        return usage


def _moment(row: Usage | UsageRow) -> tuple[uuid.UUID, datetime, bool]:
    return row.aircraft_id, row.ended_at, row.brought_forward


def _says_the_same(usage: Usage, row: UsageRow) -> bool:
    return (usage.aircraft_id, usage.ended_at, usage.flights, usage.landings, usage.hours, usage.hard_landing) == (
        row.aircraft_id,
        row.ended_at,
        row.flights,
        row.landings,
        row.hours,
        row.hard_landing,
    )


def _faults_of(row: UsageRow, ours: set[uuid.UUID], now: datetime) -> list[FieldFault]:
    faults = []
    if row.aircraft_id not in ours:
        faults.append(FieldFault("aircraft", "unknown_aircraft", "no such aircraft"))
    if row.ended_at > now + CLOCK_AHEAD:
        faults.append(FieldFault("ended_at", "in_the_future", f"must not lie ahead of {now.isoformat()}"))
    if row.flights < 0 or row.landings < 0:
        faults.append(FieldFault("landings", "negative", "flights and landings must be 0 or more"))
    if not 0 <= row.hours <= (2000 if not row.brought_forward else 1e6):
        faults.append(
            FieldFault(
                "hours", "out_of_range", f"must be from 0 to 2000, is {row.hours:g}; a total is brought forward"
            )
        )
    return faults


def _usage_from(row: UsageRow, operator_id: uuid.UUID, now: datetime) -> Usage:
    return Usage(
        id=row.id or uuid.uuid4(),
        operator_id=operator_id,
        aircraft_id=row.aircraft_id,
        ended_at=row.ended_at,
        received_at=now,
        flights=row.flights,
        landings=row.landings,
        hours=row.hours,
        hard_landing=row.hard_landing,
        brought_forward=row.brought_forward,
        note=row.note,
    )
