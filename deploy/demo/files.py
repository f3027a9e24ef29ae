"""The club's history as the files that any club would send in."""

import csv
import io
import math
from collections.abc import Iterable
from datetime import datetime, timedelta

from deploy.demo.club import DAYS, FLEET
from deploy.demo.history import FIELD_ELEVATION_FT, LEGS, REFERENCE_TEMPERATURE_F, ClubHistory

Cell = str | int | float


def club_files(history: ClubHistory, *, ending: datetime) -> dict[str, str]:
    """Return the text of each file by the kind of its rows; ``ending`` is the history's last midnight."""
    start = ending - timedelta(days=DAYS)

    def moment(day: float) -> str:
        return (start + timedelta(seconds=round(day * 86400))).isoformat()

    return {
        "type-sheets": _type_sheets(),
        "servicings": _table(
            ["aircraft", "leg", "done_at", "work", "extension_before [in]", "extension_after [in]", "strokes"],
            (
                [row.registration, row.leg, moment(row.day), row.work, _length(row.extension_before_in),
                 _length(row.extension_after_in), row.strokes or ""]
                for row in history.work
            ),
        ),
        "readings": _table(
            ["aircraft", "leg", "taken_at", "extension [in]", "temperature [degF]", "fuel [lb]", "exercised",
             "fluid_seen", "fluid_level", "observations"],
            (
                [row.registration, row.leg, moment(row.day), _length(row.extension_in), row.temperature_f,
                 row.fuel_lb, "yes" if row.exercised else "no", row.fluid_seen, row.fluid_level, row.observation]
                for row in history.struts
            ),
        ),
        "tyre-readings": _table(
            ["aircraft", "leg", "taken_at", "pressure [psi]", "temperature [degF]", "hot"],
            (
                [row.registration, row.leg, moment(row.day), row.pressure_psig, row.temperature_f, "no"]
                for row in history.tyres
            ),
        ),
    }  # fmt: skip


def _type_sheets() -> str:
    header = [
        "aircraft", "type", "leg", "target_extension [in]", "low_limit [in]", "high_limit [in]",
        "full_extension [in]", "reference_temperature [degF]", "reference_load [lbf]", "reference_fuel [lb]",
        "load_per_fuel [lbf/lb]", "load_per_occupant [lbf/lb]", "tube_diameter [in]", "gas_column [in]",
        "fluid_volume [in3]", "tyre_size", "tyre_service_pressure [psi]", "manual_reference", "manual_revision",
        "home_elevation [ft]",
    ]  # fmt: skip
    rows: list[list[Cell]] = []
    for aircraft in FLEET:
        for leg in LEGS:
            kind = aircraft.type
            sheet = kind.nose if leg == "nose" else kind.main
            rows.append([
                aircraft.registration, kind.name, leg, sheet.target_extension_in, sheet.low_limit_in,
                sheet.high_limit_in, sheet.full_extension_in, REFERENCE_TEMPERATURE_F, sheet.reference_load_lbf,
                kind.reference_fuel_lb, sheet.load_per_fuel, sheet.load_per_occupant, sheet.tube_diameter_in,
                sheet.gas_column_in, sheet.fluid_volume_in3, sheet.tyre_size, sheet.tyre_service_pressure_psig,
                kind.manual, kind.revision, FIELD_ELEVATION_FT,
            ])  # fmt: skip
    return _table(header, rows)


def _length(value: float) -> Cell:
    return "" if math.isnan(value) else value


def _table(header: list[str], rows: Iterable[list[Cell]]) -> str:
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(header)
    writer.writerows(rows)
    return text.getvalue()
