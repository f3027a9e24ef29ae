"""The fleet as it stands, and adding what a file brings to it."""

from __future__ import annotations

import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from fleet.aircraft.models import Aircraft, FillGas, Leg, TypeSheet
from fleet.gear.models import Strut, StrutInstallation, Tyre, TyreInstallation
from servicing.exchange.fleet_columns import FIGURES, LegRow, same_figures

_DEFAULTS = {"gas": FillGas.NITROGEN, "wheels_per_axle": 1}


@dataclass(frozen=True, slots=True)
class StandingFleet:
    """Aircraft by registration, legs by registration and position, sheets by name and position, serials in use."""

    aircraft: dict[str, Aircraft]
    legs: dict[tuple[str, str], Leg]
    sheets: dict[tuple[str, str], TypeSheet]
    strut_serials: frozenset[str]
    tyre_serials: frozenset[str]

    @staticmethod
    def fetch(operator_id: uuid.UUID) -> StandingFleet:
        """Fetch the operator's fleet."""
        legs = Leg.objects.of(operator_id).select_related("aircraft", "sheet")
        return StandingFleet(
            {one.registration.upper(): one for one in Aircraft.objects.of(operator_id)},
            {(leg.aircraft.registration.upper(), str(leg.position)): leg for leg in legs},
            {(sheet.name, str(sheet.position)): sheet for sheet in TypeSheet.objects.of(operator_id)},
            frozenset(Strut.objects.of(operator_id).values_list("serial_number", flat=True)) - {""},
            frozenset(Tyre.objects.of(operator_id).values_list("serial_number", flat=True)) - {""},
        )

    def has_leg(self, row: LegRow) -> bool:
        """Say whether the leg of a row stands already."""
        return (row.registration.upper(), row.position) in self.legs

    def faults_of(self, row: LegRow) -> Iterator[tuple[str, str, str]]:
        """Yield where a row contradicts what stands."""
        leg = self.legs.get((row.registration.upper(), row.position))
        sheet = leg.sheet if leg else self.sheets.get((row.type_name, row.sheet_position))
        if sheet is not None and (differing := _differing(sheet, row.figures)):
            figures = ", ".join(differing)
            yield (
                "type",
                "known_otherwise",
                f"the sheet {sheet} has other figures ({figures}): revise the sheet itself",
            )
        if leg is not None:
            return
        for kind, serial, taken in (
            ("strut_serial", row.strut.get("serial_number", ""), self.strut_serials),
            ("tyre_serial", row.tyre_serial, self.tyre_serials),
        ):
            if serial in taken:
                yield kind, "taken", f"{serial!r} is in the fleet already: install that part instead"


@dataclass(frozen=True, slots=True)
class NewFleet:
    """Legs to be added, and the figures of every sheet that they need."""

    legs: Sequence[LegRow]
    sheets: dict[tuple[str, str], dict[str, Any]]


def save_fleet(operator_id: uuid.UUID, standing: StandingFleet, new: NewFleet, now: datetime) -> None:
    """Add sheets, aircraft, legs, struts and tyres, in the caller's transaction."""
    sheets = dict(standing.sheets)
    for row in new.legs:
        key = (row.type_name, row.sheet_position)
        if key not in sheets:
            sheets[key] = TypeSheet.objects.create(
                operator_id=operator_id, name=key[0], position=key[1], **{**_DEFAULTS, **new.sheets[key]}
            )
    aircraft = dict(standing.aircraft)
    for row in new.legs:
        if row.registration.upper() not in aircraft:
            aircraft[row.registration.upper()] = Aircraft.objects.create(
                operator_id=operator_id,
                registration=row.registration,
                type_name=row.type_name,
                home_elevation_ft=row.home_elevation_ft,
                created_at=now,
            )
    for row in new.legs:
        leg = Leg.objects.create(
            operator_id=operator_id,
            aircraft=aircraft[row.registration.upper()],
            position=row.position,
            sheet=sheets[row.type_name, row.sheet_position],
        )
        _fit_out(operator_id, leg, row)


def _fit_out(operator_id: uuid.UUID, leg: Leg, row: LegRow) -> None:
    strut = Strut.objects.create(operator_id=operator_id, **row.strut)
    tyre = Tyre.objects.create(
        operator_id=operator_id, serial_number=row.tyre_serial, size=row.figures.get("tyre_size", "")
    )
    StrutInstallation.objects.create(operator_id=operator_id, leg=leg, strut=strut, installed_at=row.installed_at)
    TyreInstallation.objects.create(operator_id=operator_id, leg=leg, tyre=tyre, installed_at=row.installed_at)


def _differing(sheet: TypeSheet, figures: dict[str, Any]) -> list[str]:
    return [
        name
        for name, column in FIGURES.items()
        if column in figures and not same_figures({column: getattr(sheet, column)}, {column: figures[column]})
    ]
