"""Files of servicings and of usage."""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import Any

from calculations.units import Quantity
from fleet.aircraft.models import Aircraft
from fleet.people.actor import Actor
from fleet.people.models import Role, Scope
from servicing.exchange.cells import FileRow
from servicing.exchange.columns import Column, choice, count, moment, number, row_id, text, yes_or_no
from servicing.exchange.importing import Importer, Saved, as_read, internal
from servicing.exchange.reading_columns import AIRCRAFT, LEG
from servicing.exchange.reading_rows import LegRows
from servicing.usage.actions import save_usage
from servicing.usage.rows import PreparedUsage, UsageRow, prepare_usage
from servicing.work.actions import save_servicings
from servicing.work.models import Work
from servicing.work.rows import PreparedServicings, ServicingRow, prepare_servicings

SERVICING_QUANTITIES = {
    "extension_before": "extension_before_in",
    "extension_after": "extension_after_in",
    "pressure_before": "pressure_before_psig",
    "pressure_after": "pressure_after_psig",
    "temperature": "temperature_f",
    "fluid_added": "fluid_added_in3",
}
SERVICING_COLUMNS = (
    AIRCRAFT,
    LEG,
    Column("done_at", moment, required=True),
    Column("work", choice(*Work.values), required=True),
    Column("extension_before", quantity=Quantity.LENGTH),
    Column("extension_after", quantity=Quantity.LENGTH),
    Column("pressure_before", quantity=Quantity.GAUGE_PRESSURE),
    Column("pressure_after", quantity=Quantity.GAUGE_PRESSURE),
    Column("temperature", quantity=Quantity.TEMPERATURE),
    Column("strokes", number(0, 10_000)),
    Column("fluid_added", quantity=Quantity.VOLUME),
    Column("equipment", text(80)),
    Column("done_by", text(120)),
    Column("note", text(500)),
    Column("id", row_id),
)
USAGE_COLUMNS = (
    AIRCRAFT,
    Column("ended_at", moment, required=True),
    Column("flights", count(10_000)),
    Column("landings", count(1_000_000)),
    Column("hours", number(0, 1_000_000)),
    Column("hard_landing", yes_or_no),
    Column("brought_forward", yes_or_no),
    Column("note", text(500)),
    Column("id", row_id),
)


class ServicingRows(LegRows):
    """A file of servicings."""

    columns = SERVICING_COLUMNS
    role, scope = Role.MECHANIC, Scope.WORK

    def __init__(self, operator_id: uuid.UUID, now: datetime) -> None:
        super().__init__(operator_id, now)
        self._rows: list[ServicingRow] = []
        self._numbers: list[int] = []
        self._prepared = PreparedServicings((), (), ())

    def keep(self, row: FileRow) -> None:
        """Keep a row as work done."""
        leg, equipment_id, values = self.leg_of(row), self.equipment_of(row, "equipment"), row.values
        if leg is None or ("equipment" in values and equipment_id is None):
            return
        self._rows.append(
            ServicingRow(
                leg_id=leg.id,
                done_at=values["done_at"],
                work=values["work"],
                strokes=values.get("strokes"),
                equipment_id=equipment_id,
                done_by=values.get("done_by", ""),
                note=values.get("note", ""),
                as_read=as_read(values, SERVICING_QUANTITIES),
                id=values.get("id"),
                **_quantities(values),
            )
        )
        self._numbers.append(row.number)

    def check(self) -> None:
        """Check the work against parts and ranges, and tell known rows from new ones."""
        self._prepared = prepare_servicings(operator_id=self.operator_id, now=self.now, rows=self._rows)
        self.faults += [(self._numbers[at], fault) for at, fault in self._prepared.faults]

    def count(self) -> Saved:
        """Say how many rows are new and known."""
        return _counts(self._prepared)

    def save(self, actor: Actor) -> Saved:
        """Store the new rows and let drift look again."""
        recorded = save_servicings(actor=actor, now=self.now, prepared=self._prepared)
        return Saved(recorded.saved, recorded.known)


class UsageRows(Importer):
    """A file of flights, landings and hours."""

    columns = USAGE_COLUMNS
    role, scope = Role.MEMBER, Scope.REPORT

    def __init__(self, operator_id: uuid.UUID, now: datetime) -> None:
        super().__init__(operator_id, now)
        self._aircraft: dict[str, uuid.UUID] = {}
        for aircraft_id, registration in Aircraft.objects.of(operator_id).values_list("id", "registration"):
            self._aircraft[registration.upper()] = self._aircraft[str(aircraft_id).upper()] = aircraft_id
        self._rows: list[UsageRow] = []
        self._numbers: list[int] = []
        self._prepared = PreparedUsage((), (), ())

    def keep(self, row: FileRow) -> None:
        """Keep a row as use of an aircraft."""
        values = row.values
        aircraft_id = self._aircraft.get(values["aircraft"].strip().upper())
        if aircraft_id is None:
            message = f"{values['aircraft']!r} is not in the fleet"
            return self.fault(row.number, "aircraft", "unknown_aircraft", message)
        self._rows.append(
            UsageRow(
                aircraft_id=aircraft_id,
                ended_at=values["ended_at"],
                flights=values.get("flights", 1),
                landings=values.get("landings", 1),
                hours=values.get("hours", 0.0),
                hard_landing=values.get("hard_landing", False),
                brought_forward=values.get("brought_forward", False),
                note=values.get("note", ""),
                id=values.get("id"),
            )
        )
        return self._numbers.append(row.number)

    def check(self) -> None:
        """Check ranges, and tell known rows from new ones."""
        self._prepared = prepare_usage(operator_id=self.operator_id, now=self.now, rows=self._rows)
        self.faults += [(self._numbers[at], fault) for at, fault in self._prepared.faults]

    def count(self) -> Saved:
        """Say how many rows are new and known."""
        return _counts(self._prepared)

    def save(self, actor: Actor) -> Saved:
        """Store the new rows."""
        logged = save_usage(actor=actor, now=self.now, prepared=self._prepared)
        return Saved(logged.saved, logged.known)


def _counts(prepared: PreparedServicings | PreparedUsage) -> Saved:
    new = len(prepared.new)
    return Saved(new, len(prepared.in_order) - new)


def _quantities(values: dict[str, Any]) -> dict[str, Any]:
    return {column: internal(values, name) for name, column in SERVICING_QUANTITIES.items()}
