"""Dispatch over HTTP: what is known against each aircraft today."""

from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.refusals import Missing
from fleet.web.etags import etag_for, not_modified
from fleet.web.permissions import READ
from fleet.web.views import OperatorView
from servicing.dispatch.judging import ADVICE
from servicing.dispatch.queries import dispatch_states
from servicing.dispatch.shapes import AircraftDispatchAnswer, DispatchAnswer, aircraft_answer
from servicing.dispatch.stamp import dispatch_stamp


class StampedView(OperatorView):
    """Answers 304 from the stamp alone, before anything is fetched."""

    def stamp(self) -> str:
        """Return the tag of what this caller would get now."""
        return etag_for(self.request.path, self.unit_system, *dispatch_stamp(self.operator, self.now))


class DispatchView(StampedView):
    """Every aircraft in service."""

    needs = {"GET": READ}

    @extend_schema(
        operation_id="get_dispatch",
        summary="What is known against each aircraft today",
        responses=DispatchAnswer,
    )
    def get(self, request: Request) -> Response:
        """Say of each aircraft what to do next and why. Advice: the pilot in command and maintenance decide."""
        etag = self.stamp()
        if not_modified(request, etag):
            return Response(status=304, headers={"ETag": etag})
        states = dispatch_states(self.operator, self.now)
        answer = {"aircraft": [aircraft_answer(state, self.unit_system) for state in states], "advice": ADVICE}
        return self.answer(answer, etag=etag)


class AircraftDispatchView(StampedView):
    """One aircraft in service."""

    needs = {"GET": READ}

    @extend_schema(
        operation_id="get_aircraft_dispatch",
        summary="What is known against one aircraft today",
        responses=AircraftDispatchAnswer,
    )
    def get(self, request: Request, registration: str) -> Response:
        """Say what to do next with the aircraft and why. Advice: the pilot in command and maintenance decide."""
        etag = self.stamp()
        states = dispatch_states(self.operator, self.now, registration)
        if not states:
            raise Missing("no aircraft of that registration is in service")
        return self.answer(aircraft_answer(states[0], self.unit_system), etag=etag)


urlpatterns = [
    path("dispatch", DispatchView.as_view()),
    path("dispatch/<str:registration>", AircraftDispatchView.as_view()),
]
