"""Files of readings, of struts and of tyres."""

from __future__ import annotations

import uuid
from abc import abstractmethod
from datetime import datetime
from typing import Any, ClassVar, Generic, TypeVar

from fleet.people.actor import Actor
from fleet.people.models import Role, Scope
from servicing.exchange.cells import FileRow, Values
from servicing.exchange.importing import ContentIds, Importer, Saved, as_read, canonical, internal
from servicing.exchange.reading_columns import STRUT_COLUMNS, TYRE_COLUMNS
from servicing.readings.arriving import Arrivals, strut_arrivals, tyre_arrivals
from servicing.readings.entries import StrutEntry, TyreEntry
from servicing.readings.known_fleet import KnownLeg, load_known_fleet
from servicing.readings.models import Source
from servicing.readings.shapes import STRUT_QUANTITIES, TYRE_QUANTITIES
from servicing.readings.storing import store_struts, store_tyres

# What makes a row without an id the same when the file comes again, beside leg, time and figures. Words about it,
# who took it and with which gauge, may be filled in later: that is the same reading known otherwise.
_STRUT_WORDS = ("exercised", "fluid_seen", "fluid_level", "observations")
_TYRE_WORDS = ("hot", "loaded")


Figures = dict[str, Any]


class LegRows(Importer):
    """Rows that each name a leg."""

    def __init__(self, operator_id: uuid.UUID, now: datetime) -> None:
        super().__init__(operator_id, now)
        self.fleet = load_known_fleet(operator_id)
        self.registrations = {registration for registration, _ in self.fleet.by_name}

    def leg_of(self, row: FileRow) -> KnownLeg | None:
        """Return the leg that a row names, or note that there is none."""
        aircraft, position = row.values["aircraft"], row.values["leg"]
        leg = self.fleet.leg_named(aircraft, position)
        if leg is None and aircraft.strip().upper() not in self.registrations:
            self.fault(row.number, "aircraft", "unknown_aircraft", f"{aircraft!r} is not in the fleet")
        elif leg is None:
            self.fault(row.number, "leg", "unknown_leg", f"{aircraft} has no {position} leg")
        return leg

    def equipment_of(self, row: FileRow, name: str) -> uuid.UUID | None:
        """Return the equipment that a cell names, or note that there is none."""
        said = row.values.get(name)
        if said is None:
            return None
        found = self.fleet.equipment.get(said.strip().lower())
        if found is None:
            self.fault(row.number, name, "unknown_equipment", f"{said!r} is not in the list of equipment")
            return None
        return found.id


Entry = TypeVar("Entry", StrutEntry, TyreEntry)


class ReadingRows(LegRows, Generic[Entry]):
    """What files of strut readings and of tyre readings do alike."""

    role, scope = Role.MEMBER, Scope.REPORT
    content: ClassVar[str]
    """What a row is, as the id of one that brings none is made from it: never to be renamed."""
    quantities: ClassVar[dict[str, str]]
    words: ClassVar[tuple[str, ...]]

    def __init__(self, operator_id: uuid.UUID, now: datetime) -> None:
        super().__init__(operator_id, now)
        self._entries: list[Entry] = []
        self._numbers: list[int] = []
        self._ids = ContentIds(operator_id, self.content)
        self._arrivals: Arrivals[Entry] = Arrivals((), (), (), ())

    def keep(self, row: FileRow) -> None:
        """Keep a row as an entry."""
        leg, gauge_id, values = self.leg_of(row), self.equipment_of(row, "gauge"), row.values
        if leg is None or ("gauge" in values and gauge_id is None):
            return
        figures = _quantities(values, self.quantities)
        shared = {
            "id": values.get("id") or self._made_id(leg, values, figures),
            "leg_id": leg.id,
            "taken_at": values["taken_at"],
            "as_read": as_read(values, self.quantities),
            "gauge_id": gauge_id,
            "taken_by": values.get("taken_by", ""),
            "note": values.get("note", ""),
        }
        self._entries.append(self.entry_of(values, shared | figures))
        self._numbers.append(row.number)

    @abstractmethod
    def entry_of(self, values: Values, shared: dict[str, Any]) -> Entry:
        """Return a row's entry, given what both kinds share."""

    @abstractmethod
    def arrive(self) -> Arrivals[Entry]:
        """Check the kept entries together."""

    def check(self) -> None:
        """Check ranges, installations and figures, and tell known rows from new ones."""
        self._arrivals = self.arrive()
        self.faults += [(self._numbers[at], fault) for at, fault in (*self._arrivals.faults, *self._arrivals.clashes)]

    def count(self) -> Saved:
        """Say how many rows are new and known."""
        return Saved(len(self._arrivals.new), len(self._arrivals.known))

    def _made_id(self, leg: KnownLeg, values: Values, figures: Figures) -> uuid.UUID:
        words = [leg.id.hex, *(str(values.get(name, "")) for name in self.words)]
        return self._ids.next_id(canonical(values["taken_at"], words, figures.values()))


class StrutReadingRows(ReadingRows[StrutEntry]):
    """A file of strut readings."""

    columns = STRUT_COLUMNS
    content, quantities, words = "reading", STRUT_QUANTITIES, _STRUT_WORDS

    def entry_of(self, values: Values, shared: dict[str, Any]) -> StrutEntry:
        """See `ReadingRows`."""
        return StrutEntry(
            **shared,
            exercised=values.get("exercised", False),
            fluid_seen=values.get("fluid_seen", ""),
            fluid_level=values.get("fluid_level", ""),
            observations=values.get("observations", ()),
        )

    def arrive(self) -> Arrivals[StrutEntry]:
        """See `ReadingRows`."""
        return strut_arrivals(self.fleet, self._entries, self.now)

    def check(self) -> None:
        """See `ReadingRows`; says too what will be estimated."""
        super().check()
        for name, words in (("temperature_f", "temperature"), ("fuel_lb", "fuel")):
            missing = sum(getattr(entry, name) is None for entry in self._entries)
            if missing:
                self.notes.append(f"{missing} rows have no {words}: it is estimated, and their result is less sure")

    def save(self, actor: Actor) -> Saved:
        """Store the new rows, corrected."""
        store_struts(self.fleet, self._arrivals.new, now=self.now, source=Source.CSV)
        return self.count()


class TyreReadingRows(ReadingRows[TyreEntry]):
    """A file of tyre readings."""

    columns = TYRE_COLUMNS
    content, quantities, words = "tyre reading", TYRE_QUANTITIES, _TYRE_WORDS

    def entry_of(self, values: Values, shared: dict[str, Any]) -> TyreEntry:
        """See `ReadingRows`."""
        return TyreEntry(**shared, hot=values.get("hot", False), loaded=values.get("loaded", True))

    def arrive(self) -> Arrivals[TyreEntry]:
        """See `ReadingRows`."""
        return tyre_arrivals(self.fleet, self._entries, self.now)

    def save(self, actor: Actor) -> Saved:
        """Store the new rows, corrected."""
        store_tyres(self.fleet, self._arrivals.new, now=self.now, source=Source.CSV)
        return self.count()


def _quantities(values: dict[str, Any], columns: dict[str, str]) -> dict[str, Any]:
    return {column: internal(values, name) for name, column in columns.items()}
