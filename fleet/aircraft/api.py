"""Aircraft and their legs over HTTP."""

import uuid
from typing import Any

from django.urls import path
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.aircraft import sheet_api
from fleet.aircraft.actions import change_aircraft, change_leg
from fleet.aircraft.models import Aircraft
from fleet.aircraft.queries import aircraft_of, one_aircraft_of
from fleet.aircraft.shapes import (
    AircraftAnswer,
    AircraftChange,
    AircraftFilters,
    AircraftInput,
    LegChange,
    LegInput,
    aircraft_answer,
    new_leg,
)
from fleet.gear.fitting import add_aircraft_with_gear, add_leg_with_gear
from fleet.gear.kinds import STRUT, TYRE
from fleet.gear.queries import present_gear
from fleet.web.etags import require_match
from fleet.web.idempotency import idempotent
from fleet.web.permissions import MANAGE, READ
from fleet.web.quantities import internal_values
from fleet.web.schema import IF_MATCH, PAGE, page_of
from fleet.web.views import OperatorView

SHEET = "7f0c6a52-64a3-4b8a-9d0e-2f1d7a9b3c10"
EXAMPLE = OpenApiExample(
    "with one leg",
    {
        "registration": "XX-1234",
        "type_name": "Example trainer",
        "home_elevation": "420 ft",
        "legs": [
            {
                "position": "left main",
                "type_sheet": SHEET,
                "strut": {"serial_number": "S-1001"},
                "tyre": {"size": "6.00-6", "new_tread": "0.3 in"},
                "installed_at": "2026-01-10T08:00:00Z",
            }
        ],
    },
    request_only=True,
)


class AircraftBase(OperatorView):
    """What the views of aircraft share."""

    def shown(self, fleet: list[Aircraft]) -> list[dict[str, Any]]:
        """Return aircraft with what is on their legs: two queries, however many."""
        legs = [leg.pk for aircraft in fleet for leg in aircraft.legs.all()]
        struts, tyres = (present_gear(self.operator, kind, legs) for kind in (STRUT, TYRE))
        return [aircraft_answer(aircraft, struts, tyres, self.unit_system) for aircraft in fleet]

    def answer_one(self, aircraft: Aircraft, status: int = 200) -> Response:
        """Answer one aircraft with its tag."""
        return self.answer(self.shown([aircraft])[0], status, version=aircraft.version)


class FleetView(AircraftBase):
    """The operator's aircraft."""

    needs = {"GET": READ, "POST": MANAGE}

    @extend_schema(
        operation_id="list_aircraft",
        summary="The operator's aircraft with legs and gear, by registration",
        parameters=[AircraftFilters, *PAGE],
        responses=page_of(AircraftAnswer),
    )
    def get(self, request: Request) -> Response:
        """List the aircraft; retired ones too, unless `retired=false`."""
        rows = aircraft_of(self.operator, **self.filters(AircraftFilters))
        return self.page_together(rows, self.shown, order=("registration", "id"))

    @extend_schema(
        operation_id="add_aircraft",
        summary="Take an aircraft into the fleet, with legs, struts and tyres",
        request=AircraftInput,
        responses={201: AircraftAnswer, 200: AircraftAnswer},
        examples=[EXAMPLE],
    )
    @idempotent
    def post(self, request: Request) -> Response:
        """Add an aircraft with all that is on it, all or nothing. The same id and values again: 200."""
        values = internal_values(self.checked(AircraftInput))
        legs = [new_leg(given, self.now) for given in values.pop("legs", [])]
        aircraft_id = values.pop("id", None)
        aircraft, new = add_aircraft_with_gear(
            actor=self.actor, now=self.now, values=values, legs=legs, aircraft_id=aircraft_id
        )
        return self.answer_one(aircraft, 201 if new else 200)


class AircraftView(AircraftBase):
    """One aircraft."""

    needs = {"GET": READ, "PATCH": MANAGE}

    @extend_schema(operation_id="get_aircraft", summary="One aircraft with legs and gear", responses=AircraftAnswer)
    def get(self, request: Request, aircraft_id: uuid.UUID) -> Response:
        """Return an aircraft."""
        return self.answer_one(one_aircraft_of(self.operator, aircraft_id))

    @extend_schema(
        operation_id="change_aircraft",
        summary="Change, retire or take back an aircraft",
        request=AircraftChange(partial=True),
        responses=AircraftAnswer,
        examples=[OpenApiExample("leaves the fleet", {"retired": True}, request_only=True)],
    )
    def patch(self, request: Request, aircraft_id: uuid.UUID) -> Response:
        """Change what is named. With another home elevation its readings are corrected anew."""
        aircraft = one_aircraft_of(self.operator, aircraft_id)
        require_match(request, aircraft.version)
        changes = internal_values(self.checked_part(AircraftChange))
        retired = changes.pop("retired", None)
        return self.answer_one(
            change_aircraft(
                actor=self.actor,
                now=self.now,
                aircraft_id=aircraft_id,
                version=aircraft.version,
                changes=changes,
                retired=retired,
            )
        )


class LegsView(AircraftBase):
    """An aircraft's legs."""

    needs = {"POST": MANAGE}

    @extend_schema(
        operation_id="add_leg",
        summary="Add a leg, with what is on it",
        parameters=[IF_MATCH],
        request=LegInput,
        responses={201: AircraftAnswer},
        examples=[
            OpenApiExample(
                "a nose leg", {"position": "nose", "type_sheet": SHEET, "strut": {}, "tyre": {}}, request_only=True
            )
        ],
    )
    @idempotent
    def post(self, request: Request, aircraft_id: uuid.UUID) -> Response:
        """Add a leg to an aircraft; If-Match is the aircraft's tag."""
        aircraft = one_aircraft_of(self.operator, aircraft_id)
        require_match(request, aircraft.version)
        leg = new_leg(self.checked(LegInput), self.now)
        return self.answer_one(
            add_leg_with_gear(
                actor=self.actor, now=self.now, aircraft_id=aircraft_id, version=aircraft.version, leg=leg
            ),
            201,
        )


class LegView(AircraftBase):
    """One leg."""

    needs = {"PATCH": MANAGE}

    @extend_schema(
        operation_id="change_leg",
        summary="Put another type sheet on a leg",
        request=LegChange,
        responses=AircraftAnswer,
        examples=[OpenApiExample("another sheet", {"type_sheet": SHEET}, request_only=True)],
    )
    def patch(self, request: Request, aircraft_id: uuid.UUID, leg_id: uuid.UUID) -> Response:
        """Change the leg's sheet; its readings are corrected anew. If-Match is the aircraft's tag."""
        aircraft = one_aircraft_of(self.operator, aircraft_id)
        require_match(request, aircraft.version)
        return self.answer_one(
            change_leg(
                actor=self.actor,
                now=self.now,
                aircraft_id=aircraft_id,
                leg_id=leg_id,
                version=aircraft.version,
                sheet_id=self.checked(LegChange)["type_sheet"],
            )
        )


urlpatterns = [
    *sheet_api.urlpatterns,
    path("aircraft", FleetView.as_view()),
    path("aircraft/<uuid:aircraft_id>", AircraftView.as_view()),
    path("aircraft/<uuid:aircraft_id>/legs", LegsView.as_view()),
    path("aircraft/<uuid:aircraft_id>/legs/<uuid:leg_id>", LegView.as_view()),
]
