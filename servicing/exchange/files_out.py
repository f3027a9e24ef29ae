"""Which files go out, with their rows and columns. Those of readings and work can come in again."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from django.db.models import QuerySet

from calculations.units import Quantity
from fleet.gear.models import StrutInstallation
from servicing.alerts.models import Alert
from servicing.exchange.export_columns import Kind, Out, quantity
from servicing.readings.models import StrutReading, TyreReading
from servicing.reinspection.models import Reinspection
from servicing.usage.models import Usage
from servicing.work.models import Servicing


@dataclass(frozen=True, slots=True)
class FileOut:
    """A file: its rows for an operator, the column of time that can be filtered by, and its columns."""

    rows: Callable[[uuid.UUID], QuerySet[Any, Any]]
    aircraft: str
    moment: str
    columns: tuple[Out, ...]


def _live(model: Any, *order: str) -> Callable[[uuid.UUID], QuerySet[Any, Any]]:
    return lambda operator_id: (
        model.objects.of(operator_id).filter(superseded=False, withdrawn=False).order_by(*order)
    )


_AIRCRAFT: Final = Out("aircraft", "leg__aircraft__registration")
_LEG: Final = Out("leg", "leg__position")
_ID: Final = Out("id", "id", Kind.ID)

READINGS: Final = FileOut(
    _live(StrutReading, "taken_at", "id"),
    "leg__aircraft__registration__iexact",
    "taken_at",
    (
        _AIRCRAFT,
        _LEG,
        Out("taken_at", "taken_at", Kind.MOMENT),
        quantity("extension", "extension_in", Quantity.LENGTH),
        quantity("temperature", "temperature_f", Quantity.TEMPERATURE),
        quantity("fuel", "fuel_lb", Quantity.MASS),
        Out("exercised", "exercised", Kind.YES_NO),
        quantity("pressure", "pressure_psig", Quantity.GAUGE_PRESSURE),
        Out("fluid_seen", "fluid_seen"),
        Out("fluid_level", "fluid_level"),
        Out("observations", "observations", Kind.LIST),
        quantity("occupants", "occupants_lb", Quantity.MASS),
        quantity("leg_load", "leg_load_lbf", Quantity.FORCE),
        Out("gauge", "gauge__name"),
        Out("taken_by", "taken_by"),
        Out("note", "note"),
        _ID,
        quantity("corrected_extension", "corrected_in", Quantity.LENGTH),
        quantity("uncertainty", "uncertainty_in", Quantity.LENGTH),
        quantity("load", "load_lbf", Quantity.FORCE),
        Out("strut_id", "strut_id", Kind.ID),
    ),
)
TYRE_READINGS: Final = FileOut(
    _live(TyreReading, "taken_at", "id"),
    "leg__aircraft__registration__iexact",
    "taken_at",
    (
        _AIRCRAFT,
        _LEG,
        Out("taken_at", "taken_at", Kind.MOMENT),
        quantity("pressure", "pressure_psig", Quantity.GAUGE_PRESSURE),
        quantity("temperature", "temperature_f", Quantity.TEMPERATURE),
        quantity("tread", "tread_in", Quantity.LENGTH),
        Out("hot", "hot", Kind.YES_NO),
        Out("loaded", "loaded", Kind.YES_NO),
        Out("gauge", "gauge__name"),
        Out("taken_by", "taken_by"),
        Out("note", "note"),
        _ID,
        quantity("corrected_pressure", "corrected_psig", Quantity.GAUGE_PRESSURE),
        quantity("uncertainty", "uncertainty_psi", Quantity.PRESSURE_DIFFERENCE),
        Out("tyre_id", "tyre_id", Kind.ID),
    ),
)
SERVICINGS: Final = FileOut(
    _live(Servicing, "done_at", "id"),
    "leg__aircraft__registration__iexact",
    "done_at",
    (
        _AIRCRAFT,
        _LEG,
        Out("done_at", "done_at", Kind.MOMENT),
        Out("work", "work"),
        quantity("extension_before", "extension_before_in", Quantity.LENGTH),
        quantity("extension_after", "extension_after_in", Quantity.LENGTH),
        quantity("pressure_before", "pressure_before_psig", Quantity.GAUGE_PRESSURE),
        quantity("pressure_after", "pressure_after_psig", Quantity.GAUGE_PRESSURE),
        quantity("temperature", "temperature_f", Quantity.TEMPERATURE),
        Out("strokes", "strokes", Kind.NUMBER),
        quantity("fluid_added", "fluid_added_in3", Quantity.VOLUME),
        Out("equipment", "equipment__name"),
        Out("done_by", "done_by"),
        Out("note", "note"),
        _ID,
    ),
)
USAGE: Final = FileOut(
    lambda operator_id: Usage.objects.of(operator_id).filter(superseded=False).order_by("ended_at", "id"),
    "aircraft__registration__iexact",
    "ended_at",
    (
        Out("aircraft", "aircraft__registration"),
        Out("ended_at", "ended_at", Kind.MOMENT),
        Out("flights", "flights", Kind.NUMBER),
        Out("landings", "landings", Kind.NUMBER),
        Out("hours", "hours", Kind.NUMBER),
        Out("hard_landing", "hard_landing", Kind.YES_NO),
        Out("brought_forward", "brought_forward", Kind.YES_NO),
        Out("note", "note"),
        _ID,
    ),
)
STRUTS: Final = FileOut(
    lambda operator_id: (
        StrutInstallation.objects.of(operator_id)
        .filter(removed_at__isnull=True)
        .order_by("leg__aircraft__registration", "leg__position", "id")
    ),
    "leg__aircraft__registration__iexact",
    "installed_at",
    (
        _AIRCRAFT,
        _LEG,
        Out("serial_number", "strut__serial_number"),
        Out("part_number", "strut__part_number"),
        Out("installed_at", "installed_at", Kind.MOMENT),
        quantity("low_limit", "leg__sheet__low_limit_in", Quantity.LENGTH),
        quantity("target_extension", "leg__sheet__target_extension_in", Quantity.LENGTH),
        quantity("high_limit", "leg__sheet__high_limit_in", Quantity.LENGTH),
        Out("finding", "strut__standing__finding"),
        Out("level", "strut__standing__level"),
        quantity("extension", "strut__standing__extension_in", Quantity.LENGTH),
        quantity("extension_low", "strut__standing__extension_low_in", Quantity.LENGTH),
        quantity("extension_high", "strut__standing__extension_high_in", Quantity.LENGTH),
        quantity("rate", "strut__standing__rate_in_per_month", Quantity.EXTENSION_RATE),
        quantity("rate_low", "strut__standing__rate_low", Quantity.EXTENSION_RATE),
        quantity("rate_high", "strut__standing__rate_high", Quantity.EXTENSION_RATE),
        Out("breach_on", "strut__standing__breach_on", Kind.DAY),
        Out("last_reading_at", "strut__standing__last_reading_at", Kind.MOMENT),
        Out("assessed_at", "strut__standing__assessed_at", Kind.MOMENT),
        Out("strut_id", "strut_id", Kind.ID),
    ),
)
ALERTS: Final = FileOut(
    lambda operator_id: Alert.objects.of(operator_id).order_by("opened_at", "id"),
    "leg__aircraft__registration__iexact",
    "opened_at",
    (
        _AIRCRAFT,
        _LEG,
        Out("finding", "finding"),
        Out("level", "level"),
        Out("opened_at", "opened_at", Kind.MOMENT),
        Out("acknowledged_at", "acknowledged_at", Kind.MOMENT),
        Out("put_off_until", "put_off_until", Kind.DAY),
        Out("closed_at", "closed_at", Kind.MOMENT),
        Out("strut_id", "strut_id", Kind.ID),
        Out("tyre_id", "tyre_id", Kind.ID),
        _ID,
    ),
)
REINSPECTIONS: Final = FileOut(
    lambda operator_id: Reinspection.objects.of(operator_id).order_by("due_on", "id"),
    "leg__aircraft__registration__iexact",
    "opened_at",
    (
        _AIRCRAFT,
        _LEG,
        Out("reason", "reason"),
        Out("look_for", "look_for"),
        Out("opened_at", "opened_at", Kind.MOMENT),
        Out("due_on", "due_on", Kind.DAY),
        Out("due_landings", "due_landings", Kind.NUMBER),
        Out("due_hours", "due_hours", Kind.NUMBER),
        Out("done_at", "done_at", Kind.MOMENT),
        Out("closed_reason", "closed_reason"),
        Out("strut_id", "strut_id", Kind.ID),
        Out("tyre_id", "tyre_id", Kind.ID),
        _ID,
    ),
)
FILES: Final = {
    "readings": READINGS,
    "tyre-readings": TYRE_READINGS,
    "servicings": SERVICINGS,
    "usage": USAGE,
    "struts": STRUTS,
    "alerts": ALERTS,
    "reinspections": REINSPECTIONS,
}
