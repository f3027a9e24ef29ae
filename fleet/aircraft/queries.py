"""Reading aircraft, legs and type sheets."""

import uuid

from django.db.models import Prefetch

from fleet.aircraft.models import Aircraft, Leg, TypeSheet
from fleet.operators.models import Operator
from fleet.refusals import Missing
from fleet.tenancy import OwnedQuerySet


def type_sheets_of(operator: Operator | uuid.UUID, *, position: str | None = None) -> OwnedQuerySet[TypeSheet]:
    """Return the operator's type sheets."""
    rows = TypeSheet.objects.of(operator)
    return rows if position is None else rows.filter(position=position)


def type_sheet_of(operator: Operator | uuid.UUID, sheet_id: uuid.UUID) -> TypeSheet:
    """Return one type sheet, or refuse."""
    sheet = TypeSheet.objects.of(operator).filter(pk=sheet_id).first()
    if sheet is None:
        raise Missing("no such type sheet")
    return sheet


def aircraft_of(
    operator: Operator | uuid.UUID, *, retired: bool | None = None, registration: str | None = None
) -> OwnedQuerySet[Aircraft]:
    """Return the operator's aircraft with their legs."""
    legs = Leg.objects.of(operator).order_by("position")
    rows = Aircraft.objects.of(operator).prefetch_related(Prefetch("legs", queryset=legs))
    if registration is not None:
        rows = rows.filter(registration=registration.strip().upper())
    return rows if retired is None else rows.filter(retired_at__isnull=not retired)


def one_aircraft_of(operator: Operator | uuid.UUID, aircraft_id: uuid.UUID) -> Aircraft:
    """Return one aircraft with its legs, or refuse."""
    aircraft = aircraft_of(operator).filter(pk=aircraft_id).first()
    if aircraft is None:
        raise Missing("no such aircraft")
    return aircraft


def leg_of(operator: Operator | uuid.UUID, leg_id: uuid.UUID) -> Leg:
    """Return one leg with its aircraft, or refuse."""
    leg = Leg.objects.of(operator).filter(pk=leg_id).select_related("aircraft").first()
    if leg is None:
        raise Missing("no such leg")
    return leg
