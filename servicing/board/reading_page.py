"""The page on which a person at the aircraft takes a reading and is told what it means."""

from __future__ import annotations

import uuid
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_http_methods
from rest_framework.exceptions import ErrorDetail

from calculations.errors import CalculationError
from fleet.aircraft.models import Leg
from fleet.operators.models import UnitSystem
from fleet.people.actor import ForbiddenError
from fleet.refusals import Missing, Refused
from servicing.board.session import SignedIn, for_people
from servicing.readings.actions import add_strut_reading
from servicing.readings.advice import strut_advice
from servicing.readings.models import FluidSeen, Source, StrutReading
from servicing.readings.queries import reading_of
from servicing.readings.shapes import StrutReadingInput, strut_entries_from
from servicing.readings.strut_answers import strut_reading_answer

UNITS = {
    UnitSystem.US: {"extension": "in", "temperature": "degF", "fuel": "lb", "occupants": "lb"},
    UnitSystem.METRIC: {"extension": "mm", "temperature": "degC", "fuel": "kg", "occupants": "kg"},
}


@require_http_methods(["GET", "HEAD", "POST"])
@for_people
def take_reading(request: HttpRequest, signed_in: SignedIn, leg_id: uuid.UUID) -> HttpResponse:
    """Show the form on GET; on POST store the reading and show what it means."""
    leg = Leg.objects.of(signed_in.operator).select_related("aircraft").filter(pk=leg_id).first()
    if leg is None:
        return render(request, "board/missing.html", {"actor": signed_in.actor}, status=404)
    units = UNITS[UnitSystem(signed_in.operator.unit_system)]
    page: dict[str, Any] = {
        "actor": signed_in.actor,
        "leg": leg,
        "units": units,
        "fluid_choices": FluidSeen.choices,
        # Made with the form, so that a form sent twice is one reading.
        "reading_id": request.POST.get("id") or uuid.uuid4(),
        "given": request.POST,
    }
    if request.method == "POST":
        faults = _store(request, signed_in, leg, units)
        if not faults:
            return _told(request, signed_in, leg, uuid.UUID(request.POST["id"]))
        page["faults"] = faults
    return render(request, "board/reading.html", page, status=422 if "faults" in page else 200)


def _store(request: HttpRequest, signed_in: SignedIn, leg: Leg, units: dict[str, str]) -> dict[str, str]:
    """Store the reading; return what was wrong by field, empty when it is stored."""
    now = timezone.now()
    shape = StrutReadingInput(data=_body(request, leg, units, now.isoformat()))
    if not shape.is_valid():
        return {name: _first(details) for name, details in shape.errors.items()}
    try:
        entry = strut_entries_from(signed_in.operator.id, [shape.validated_data])[0]
        add_strut_reading(actor=signed_in.actor, now=now, entry=entry, source=Source.PAGE)
    except Refused as refusal:
        return {fault.field: fault.message for fault in refusal.faults} or {"extension": refusal.message}
    except CalculationError as error:
        return {fault.field: fault.message for fault in error.faults}
    except ForbiddenError as error:
        return {"extension": str(error)}
    return {}


def _body(request: HttpRequest, leg: Leg, units: dict[str, str], now: str) -> dict[str, Any]:
    form = request.POST
    body: dict[str, Any] = {
        "id": form.get("id"),
        "leg": str(leg.pk),
        "taken_at": form.get("taken_at") or now,
        "exercised": "exercised" in form,
    }
    for name, unit in units.items():
        if text := form.get(name, "").strip():
            # A bare number is in the unit that the label says; one with its own unit keeps it.
            body[name] = text if any(letter.isalpha() for letter in text) else f"{text} {unit}"
    for name in ("fluid_seen", "note"):
        if text := form.get(name, "").strip():
            body[name] = text
    return body


def _first(details: Any) -> str:
    while isinstance(details, list | dict) and not isinstance(details, ErrorDetail):
        details = next(iter(details.values() if isinstance(details, dict) else details))
    return str(details)


def _told(request: HttpRequest, signed_in: SignedIn, leg: Leg, reading_id: uuid.UUID) -> HttpResponse:
    try:
        reading = reading_of(StrutReading, signed_in.operator, reading_id)
    except Missing:
        return render(request, "board/missing.html", {"actor": signed_in.actor}, status=404)
    system = signed_in.operator.unit_system
    page = {
        "actor": signed_in.actor,
        "leg": leg,
        "strut_id": reading.strut_id,
        "reading": strut_reading_answer(reading, system),
        "advice": strut_advice(reading, system),
    }
    return render(request, "board/told.html", page, status=201)
