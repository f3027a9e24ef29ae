"""Files that set up a whole fleet: each row one leg of one aircraft, with its type sheet's figures.

A sheet is shared by all aircraft of a type; a strut and a tyre are put on each new leg. What stands
already is compared, never changed: figures are revised on the sheet itself, where it is seen.
"""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import Any, Final

from fleet.aircraft.sheet_figures import faults_of_sheet
from fleet.people.actor import Actor
from fleet.people.models import Role, Scope
from servicing.exchange.cells import FileRow
from servicing.exchange.columns import Read
from servicing.exchange.fleet_columns import BEFORE_RECORDS, COLUMNS, FIGURES, LegRow, same_figures, with_type_names
from servicing.exchange.fleet_saving import NewFleet, StandingFleet, save_fleet
from servicing.exchange.importing import Importer, Saved

_POSITIVE: Final = ("full_extension", "tube_diameter", "gas_column", "reference_load", "low_limit")
_NOT_NEGATIVE: Final = ("fluid_volume", "reference_fuel", "reference_occupants", "tyre_wear_limit")


class FleetRows(Importer):
    """A file of type sheets, aircraft and legs."""

    columns = COLUMNS
    role, scope = Role.COORDINATOR, Scope.MANAGE

    def __init__(self, operator_id: uuid.UUID, now: datetime) -> None:
        super().__init__(operator_id, now)
        self._standing = StandingFleet.fetch(operator_id)
        self._rows: list[LegRow] = []
        self._new: NewFleet = NewFleet([], {})
        self._guessed_high_limits = 0

    def keep(self, row: FileRow) -> None:
        """Keep a row whose figures agree among themselves."""
        figures = {column: _plain(row.values[name]) for name, column in FIGURES.items() if name in row.values}
        if "high_limit_in" not in figures:
            self._guessed_high_limits += 1
            above = 2 * figures["target_extension_in"] - figures["low_limit_in"]
            figures["high_limit_in"] = min(above, figures.get("full_extension_in", above))
        faults = [(fault.field, fault.code, fault.message) for fault in faults_of_sheet(figures)]
        faults += [(name, "not_positive", "must be above 0") for name in _POSITIVE if _value(figures, name, 1) <= 0]
        faults += [(name, "negative", "must be 0 or more") for name in _NOT_NEGATIVE if _value(figures, name, 0) < 0]
        registration = row.values["aircraft"].strip()
        if len(registration) > 16:
            faults.append(("aircraft", "too_long", "at most 16 characters"))
        installed_at = row.values.get("installed_at", BEFORE_RECORDS)
        if installed_at > self.now:
            faults.append(("installed_at", "in_the_future", f"must not lie ahead of {self.now.isoformat()}"))
        for name, code, message in faults:
            self.fault(row.number, name, code, message)
        if faults:
            return
        elevation: Read | None = row.values.get("home_elevation")
        self._rows.append(
            LegRow(
                number=row.number,
                registration=registration,
                position=row.values["leg"],
                type_name=row.values.get("type", "").strip(),
                figures=figures,
                home_elevation_ft=elevation.internal if elevation else None,
                strut={
                    "serial_number": row.values.get("strut_serial", ""),
                    "part_number": row.values.get("strut_part", ""),
                },
                tyre_serial=row.values.get("tyre_serial", ""),
                installed_at=installed_at,
            )
        )

    def check(self) -> None:
        """Give each row its sheet, and compare with what stands."""
        if self._guessed_high_limits:
            self.notes.append(
                f"{self._guessed_high_limits} rows have no high_limit: taken as far above the target as the low "
                "limit is below; put the manual's figure on the sheet"
            )
        self._rows = with_type_names(self._rows)
        good = [row for row in self._rows if self._fits(row)]
        self._new = NewFleet([row for row in good if not self._standing.has_leg(row)], self._sheets(good))
        if any(row.installed_at == BEFORE_RECORDS for row in self._new.legs):
            self.notes.append("struts and tyres without installed_at count as on their legs since before all records")

    def count(self) -> Saved:
        """Say how many legs are new and known."""
        good = {number for number, _ in self.faults}
        known = sum(row.number not in good and self._standing.has_leg(row) for row in self._rows)
        return Saved(len(self._new.legs), known)

    def save(self, actor: Actor) -> Saved:
        """Store new sheets, aircraft and legs with their struts and tyres."""
        actor.require(self.role, self.scope)
        counted = self.count()
        save_fleet(self.operator_id, self._standing, self._new, self.now)
        return counted

    def _fits(self, row: LegRow) -> bool:
        before = len(self.faults)
        for name, code, message in self._standing.faults_of(row):
            self.fault(row.number, name, code, message)
        return len(self.faults) == before

    def _sheets(self, rows: list[LegRow]) -> dict[tuple[str, str], dict[str, Any]]:
        sheets: dict[tuple[str, str], tuple[int, dict[str, Any]]] = {}
        seen: dict[tuple[str, str], int] = {}
        for row in rows:
            first, figures = sheets.setdefault((row.type_name, row.sheet_position), (row.number, row.figures))
            if not same_figures(figures, row.figures):
                message = f"row {first} gives other figures for the {row.sheet_position} leg of {row.type_name!r}"
                self.fault(row.number, "type", "other_figures", message)
            place = (row.registration.upper(), row.position)
            if place in seen:
                self.fault(row.number, "leg", "leg_twice", f"this leg is in row {seen[place]} already")
            seen[place] = row.number
        return {key: figures for key, (_, figures) in sheets.items()}


def _plain(value: Any) -> Any:
    return value.internal if isinstance(value, Read) else value


def _value(figures: dict[str, Any], name: str, otherwise: float) -> float:
    return float(figures.get(FIGURES[name], otherwise))
