"""What no reading can be, each named by its field."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Final

import numpy as np

from fleet.refusals import FieldFault
from servicing.readings.correction import Joined
from servicing.readings.entries import StrutEntry, TyreEntry
from servicing.readings.known_fleet import KnownFleet
from servicing.readings.models import FluidLevel, FluidSeen, Observation
from servicing.readings.naming import unknown_leg

CLOCK_AHEAD: Final = timedelta(minutes=10)  # a phone's clock may run ahead by so much
EARLIEST: Final = datetime(1950, 1, 1, tzinfo=UTC)

# attribute: field as callers know it, lowest, highest, what to say
_RANGES: Final = {
    "extension_in": ("extension", 0.0, 60.0, "from 0 to 60 in"),
    "temperature_f": ("temperature", -60.0, 160.0, "from -60 to 160 degF"),
    "fuel_lb": ("fuel", 0.0, 100_000.0, "from 0 to 100000 lb"),
    "occupants_lb": ("occupants", 0.0, 20_000.0, "from 0 to 20000 lb"),
    "leg_load_lbf": ("leg_load", 1.0, 200_000.0, "from 1 to 200000 lbf"),
    "pressure_psig": ("pressure", 0.0, 5000.0, "from 0 to 5000 psi gauge"),
}
_TYRE_RANGES: Final = {
    "temperature_f": _RANGES["temperature_f"],
    "pressure_psig": ("pressure", 0.0, 500.0, "from 0 to 500 psi gauge"),
    "tread_in": ("tread", 0.0, 2.0, "from 0 to 2 in"),
}
_CHOICES: Final = {
    "fluid_seen": frozenset({"", *FluidSeen.values}),
    "fluid_level": frozenset({"", *FluidLevel.values}),
}
_OBSERVATIONS: Final = frozenset(Observation.values)
# Of the leg's reference load: beyond these no aircraft stands on its wheels; ASSUMED, and wide.
_LEAST_SHARE: Final = 0.1
_LARGEST_SHARE: Final = 5.0


def strut_entry_faults(entry: StrutEntry, fleet: KnownFleet, now: datetime) -> Iterator[FieldFault]:
    """Yield everything that is wrong with one entry, whatever its strut's figures."""
    yield from _where_and_when(entry, fleet, now, "strut")
    yield from _out_of_range(entry, _RANGES)
    for name, choices in _CHOICES.items():
        if getattr(entry, name) not in choices:
            allowed = ", ".join(sorted(choices - {""}))
            yield FieldFault(name, "unknown_choice", f"must be one of {allowed}, is {getattr(entry, name)!r}")
    for seen in entry.observations:
        if seen not in _OBSERVATIONS:
            allowed = ", ".join(sorted(_OBSERVATIONS))
            yield FieldFault("observations", "unknown_choice", f"must be among {allowed}, is {seen!r}")


def tyre_entry_faults(entry: TyreEntry, fleet: KnownFleet, now: datetime) -> Iterator[FieldFault]:
    """Yield everything that is wrong with one entry of a tyre."""
    yield from _where_and_when(entry, fleet, now, "tyre")
    yield from _out_of_range(entry, _TYRE_RANGES)
    if entry.pressure_psig is None and entry.tread_in is None:
        yield FieldFault("pressure", "nothing_read", "give a pressure, a tread depth, or both")


def physics_faults(joined: Joined) -> Iterator[tuple[int, FieldFault]]:
    """Yield (row, fault) where a reading does not fit its strut's figures."""
    figures, leg = joined.figures, joined.leg
    full = figures.full_extension_in[leg]
    for row in np.flatnonzero(joined.extension_in > figures.longest_in[leg]):
        yield (
            int(row),
            FieldFault(
                "extension",
                "beyond_tube",
                f"{joined.extension_in[row]:g} in is longer than the tube, {full[row]:g} in: "
                "was it another leg, or another unit?",
            ),
        )
    fuel = np.where(np.isnan(joined.noted.fuel_lb), figures.reference_fuel_lb[leg], joined.noted.fuel_lb)
    usual = figures.reference_load_lbf[leg]
    load = (
        usual
        + figures.load_per_fuel[leg] * (fuel - figures.reference_fuel_lb[leg])
        + figures.load_per_occupant[leg] * (np.nan_to_num(joined.occupants_lb) - figures.reference_occupants_lb[leg])
    )
    for row in np.flatnonzero(np.isnan(joined.leg_load_lbf) & (load < _LEAST_SHARE * usual)):
        yield (
            int(row),
            FieldFault(
                "fuel", "no_load_left", "with this fuel the sheet's figures leave no load on the leg: check both"
            ),
        )
    share = joined.leg_load_lbf / usual
    for row in np.flatnonzero((share < _LEAST_SHARE) | (share > _LARGEST_SHARE)):
        yield (
            int(row),
            FieldFault(
                "leg_load",
                "not_this_legs_load",
                f"{joined.leg_load_lbf[row]:g} lbf is {share[row]:.2g} times the leg's usual load: "
                "was it another leg, or another unit?",
            ),
        )


def _where_and_when(
    entry: StrutEntry | TyreEntry, fleet: KnownFleet, now: datetime, part: str
) -> Iterator[FieldFault]:
    leg = fleet.legs.get(entry.leg_id)
    if entry.taken_at.tzinfo is None:
        yield FieldFault("taken_at", "no_time_zone", "say the time zone, such as 2026-03-02T09:30:00Z")
    elif entry.taken_at > now + CLOCK_AHEAD:
        yield FieldFault("taken_at", "in_the_future", f"must not lie ahead of {now.isoformat()}")
    elif entry.taken_at < EARLIEST:
        yield FieldFault("taken_at", "too_long_ago", f"must not lie before {EARLIEST:%Y}")
    elif leg is not None:
        on_leg = leg.strut_at(entry.taken_at) if part == "strut" else leg.tyre_at(entry.taken_at)
        if on_leg is None:
            yield FieldFault("taken_at", "no_part_installed", f"no {part} was on this leg at that time")
    if leg is None:
        yield unknown_leg(entry.leg_id)
    if entry.gauge_id is not None and str(entry.gauge_id) not in fleet.equipment:
        yield FieldFault("gauge", "unknown_equipment", "no such gauge: give its name or id")
    if len(entry.taken_by) > 120:
        yield FieldFault("taken_by", "too_long", "at most 120 characters")
    if len(entry.note) > 500:
        yield FieldFault("note", "too_long", "at most 500 characters")


def _out_of_range(
    entry: StrutEntry | TyreEntry, ranges: dict[str, tuple[str, float, float, str]]
) -> Iterator[FieldFault]:
    for attribute, (field, lowest, highest, words) in ranges.items():
        value = getattr(entry, attribute)
        if value is not None and not lowest <= value <= highest:
            yield FieldFault(field, "out_of_range", f"must be {words}, is {value:g}")
