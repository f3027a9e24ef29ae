"""Histories for drift tests: struts that lived through the simulator, stored by the real actions or in bulk."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import numpy as np

from fleet.aircraft.models import Leg
from servicing.news.actions import mark_news
from servicing.readings.actions import add_strut_readings
from servicing.readings.bulk import append_rows
from servicing.readings.entries import StrutEntry
from servicing.readings.models import StrutReading
from servicing.work.actions import add_servicings
from servicing.work.models import Servicing, Work
from tests.builders.fleet import NOW, next_id
from tests.builders.readings import Stand, a_strut_entry
from tests.builders.work import servicing_row
from tests.simulator.fleet import Fleet

FIRST_DAY = datetime(2024, 3, 1, 9, 0, tzinfo=UTC)


def lengths_over_time(
    leg: Leg, lengths_in: list[float], *, days_apart: float = 5.0, until: datetime = NOW, **values: Any
) -> list[StrutEntry]:
    """Return one entry for each length at reference conditions, evenly spaced, the last just before ``until``."""
    first = until - timedelta(days=days_apart * (len(lengths_in) - 1), hours=1)
    return [
        a_strut_entry(leg, length, taken_at=first + timedelta(days=days_apart * number), **values)
        for number, length in enumerate(lengths_in)
    ]


def a_leak(steady: int, losing: int, loss_in: float) -> list[float]:
    """Return lengths of a strut that is steady and then loses so much from reading to reading."""
    ripple = [4.5 + 0.02 * (number % 3 - 1) for number in range(steady + losing)]
    return [length - loss_in * max(number - steady + 1, 0) for number, length in enumerate(ripple)]


def read_strut(stand: Stand, lengths_in: list[float], now: datetime = NOW, **values: Any) -> list[StrutEntry]:
    """Store readings of the stand's strut by the action that a request calls."""
    entries = lengths_over_time(stand.leg, lengths_in, until=now, **values)
    add_strut_readings(actor=stand.actor, now=now, entries=entries)
    return entries


def entries_of(fleet: Fleet, number: int, leg: Leg, reference_fuel_lb: float) -> list[StrutEntry]:
    """Return what was read of one simulated strut, as a telephone would send it."""
    share = fleet.scenario.strut_type.load_per_fuel
    rows = np.flatnonzero(fleet.series == number)
    return [
        a_strut_entry(
            leg,
            float(fleet.raw_in[row]),
            taken_at=FIRST_DAY + timedelta(days=float(fleet.day[row])),
            temperature_f=float(70.0 + fleet.temperature_offset_f[row]),
            fuel_lb=float(max(reference_fuel_lb + fleet.load_offset_lbf[row] / share, 0.0)),
            exercised=bool(fleet.exercised[row]),
        )
        for row in rows
    ]


def live_through(stand: Stand, fleet: Fleet, number: int, now: datetime) -> None:
    """Store one simulated strut's servicings and readings for the stand's strut."""
    done = np.flatnonzero((fleet.service_series == number) & fleet.service_recorded)
    add_servicings(
        actor=stand.actor,
        now=now,
        rows=[
            servicing_row(
                stand.leg,
                work=Work.GAS_ADDED if fleet.service_added[row] else Work.GAS_RELEASED,
                done_at=FIRST_DAY + timedelta(days=float(fleet.service_day[row])),
            )
            for row in done
        ],
    )
    entries = entries_of(fleet, number, stand.leg, stand.sheet.reference_fuel_lb or 0.0)
    add_strut_readings(actor=stand.actor, now=now, entries=entries)


def store_in_bulk(operator_id: Any, fleet: Fleet, struts: list[tuple[Any, Any]]) -> None:
    """Write a simulated fleet's readings and servicings as rows already corrected, for timing.

    ``struts`` has the ids of strut and leg for each series.
    """
    series = fleet.series.tolist()
    count = len(series)
    kind = fleet.scenario.strut_type
    plain: dict[str, Any] = {
        "id": [next_id() for _ in range(count)],
        "strut_id": [struts[number][0] for number in series],
        "leg_id": [struts[number][1] for number in series],
        "taken_at": [FIRST_DAY + timedelta(days=day) for day in fleet.day.tolist()],
        "extension_in": fleet.raw_in.tolist(),
        "exercised": fleet.exercised.tolist(),
        "scale_in": fleet.scale_in.tolist(),
        "temperature_used_f": (70.0 + fleet.temperature_offset_f).tolist(),
        "load_lbf": (kind.reference_load_lbf + fleet.load_offset_lbf).tolist(),
        "corrected_in": fleet.corrected_in.tolist(),
    }
    terms = ("gas_term_in", "real_gas_term_in", "fluid_term_in", "load_term_in", "air_pressure_term_in")
    append_rows(
        StrutReading,
        plain,
        {
            "operator_id": operator_id,
            "received_at": NOW,
            "as_read": {},
            "temperature_f": 60.0,
            "gauge_overdue": False,
            "taken_by": "",
            "note": "",
            "source": "csv",
            "correction_reason": "",
            "withdrawn": False,
            "superseded": False,
            "fuel_lb": 150.0,
            "fluid_seen": "",
            "fluid_level": "",
            "observations": [],
            "temperature_sd_f": 4.0,
            "load_sd_lbf": 8.0,
            **dict.fromkeys(terms, 0.0),
            "uncertainty_in": 0.1,
            "corrected_sheet_version": 1,
        },
    )
    append_rows(
        Servicing,
        {
            "id": [next_id() for _ in fleet.service_day],
            "strut_id": [struts[number][0] for number in fleet.service_series.tolist()],
            "leg_id": [struts[number][1] for number in fleet.service_series.tolist()],
            "done_at": [FIRST_DAY + timedelta(days=day) for day in fleet.service_day.tolist()],
            "work": [Work.GAS_ADDED if added else Work.GAS_RELEASED for added in fleet.service_added.tolist()],
        },
        {
            "operator_id": operator_id,
            "received_at": NOW,
            "as_read": {},
            "done_by": "",
            "note": "",
            "correction_reason": "",
            "withdrawn": False,
            "superseded": False,
        },
    )
    mark_news(operator_id=operator_id, strut_ids=[strut for strut, _ in struts])
