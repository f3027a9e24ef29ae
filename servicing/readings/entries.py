"""What someone read, in internal units, before it is joined with anything that the service knows."""

from __future__ import annotations

import uuid
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

AsRead = dict[str, dict[str, Any]]


@dataclass(frozen=True, slots=True)
class StrutEntry:
    """One measurement of a strut; ``as_read`` keeps each quantity with the unit it was read in."""

    id: uuid.UUID
    leg_id: uuid.UUID
    taken_at: datetime
    extension_in: float
    as_read: AsRead = field(default_factory=dict)
    temperature_f: float | None = None
    fuel_lb: float | None = None
    occupants_lb: float | None = None
    leg_load_lbf: float | None = None
    exercised: bool = False
    pressure_psig: float | None = None
    fluid_seen: str = ""
    fluid_level: str = ""
    observations: tuple[str, ...] = ()
    gauge_id: uuid.UUID | None = None
    taken_by: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class TyreEntry:
    """One measurement of a tyre."""

    id: uuid.UUID
    leg_id: uuid.UUID
    taken_at: datetime
    as_read: AsRead = field(default_factory=dict)
    pressure_psig: float | None = None
    tread_in: float | None = None
    temperature_f: float | None = None
    hot: bool = False
    loaded: bool = True
    gauge_id: uuid.UUID | None = None
    taken_by: str = ""
    note: str = ""


# What makes two rows of one id the same reading. Who sent it and the printed unit do not.
STRUT_CONTENT = (
    "leg_id", "taken_at", "extension_in", "temperature_f", "fuel_lb", "occupants_lb", "leg_load_lbf", "exercised",
    "pressure_psig", "fluid_seen", "fluid_level", "observations", "gauge_id", "taken_by", "note",
)  # fmt: skip
TYRE_CONTENT = (
    "leg_id", "taken_at", "pressure_psig", "tread_in", "temperature_f", "hot", "loaded", "gauge_id", "taken_by",
    "note",
)  # fmt: skip


def same_content(one: Any, other: Any, names: tuple[str, ...]) -> bool:
    """Say whether two entries or rows hold the same reading; numbers may differ by a unit's rounding."""
    return all(_alike(getattr(one, name), getattr(other, name)) for name in names)


def _alike(one: Any, other: Any) -> bool:
    if isinstance(one, float) and isinstance(other, float):
        return abs(one - other) <= 1e-6 * max(1.0, abs(one))
    if isinstance(one, list | tuple):
        return list(one) == list(other)
    return bool(one == other)
