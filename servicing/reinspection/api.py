"""Reinspections over HTTP."""

import uuid
from typing import Any

from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.people.models import Role, Scope
from fleet.web.etags import require_match
from fleet.web.idempotency import idempotent
from fleet.web.permissions import READ, WORK
from fleet.web.schema import IF_MATCH, PAGE, page_of
from fleet.web.views import OperatorView
from servicing.reinspection.actions import close_reinspection, put_off_reinspection, request_reinspection
from servicing.reinspection.calendar import calendar_address
from servicing.reinspection.models import Reinspection
from servicing.reinspection.queries import judge_looks, look_of, looks_matching, put_offs_of
from servicing.reinspection.shapes import (
    CalendarAnswer,
    ClosingInput,
    PutOffInput,
    ReinspectionAnswer,
    ReinspectionFilters,
    ReinspectionInput,
    look_answer,
)


class LookAnsweringView(OperatorView):
    """Answers looks with how far they are and the tag of their version."""

    def looks_answered(self, looks: list[Reinspection]) -> list[dict[str, Any]]:
        """Return looks as they are answered, in a fixed number of queries."""
        put_offs = put_offs_of(self.operator, looks)
        return [
            look_answer(judged, put_offs.get(judged[0].pk, ()))
            for judged in judge_looks(self.operator, looks, self.now)
        ]

    def look_answered(self, look: Reinspection, status: int = 200) -> Response:
        """Answer one look."""
        return self.answer(self.looks_answered([look])[0], status, version=look.version)


class ReinspectionsView(LookAnsweringView):
    """The operator's looks."""

    needs = {"GET": READ, "POST": WORK}

    @extend_schema(
        operation_id="list_reinspections",
        summary="Looks that are due, were done or were closed, by due date",
        parameters=[ReinspectionFilters, *PAGE],
        responses=page_of(ReinspectionAnswer),
    )
    def get(self, request: Request) -> Response:
        """List looks; `due=due` and `due=overdue` are those that someone must do now."""
        rows = looks_matching(self.operator, self.filters(ReinspectionFilters), self.now)
        return self.page_together(rows, self.looks_answered, order=("due_on", "id"))

    @extend_schema(
        operation_id="request_reinspection",
        summary="Ask for a look",
        request=ReinspectionInput,
        responses={201: ReinspectionAnswer},
    )
    @idempotent
    def post(self, request: Request) -> Response:
        """Ask for a look at a strut or tyre, due by date and, if given, by landings or hours, whichever is first."""
        values = self.checked(ReinspectionInput)
        look = request_reinspection(
            actor=self.actor,
            now=self.now,
            leg_id=values.pop("leg"),
            reinspection_id=values.pop("id", None),
            **values,
        )
        return self.look_answered(look_of(self.operator, look.id), status=201)


class ReinspectionView(LookAnsweringView):
    """One look."""

    needs = {"GET": READ}

    @extend_schema(operation_id="get_reinspection", summary="One reinspection", responses=ReinspectionAnswer)
    def get(self, request: Request, reinspection_id: uuid.UUID) -> Response:
        """Return a look with its put-offs."""
        return self.look_answered(look_of(self.operator, reinspection_id))


class ReinspectionPutOffView(LookAnsweringView):
    """Putting off one look."""

    needs = {"POST": WORK}

    @extend_schema(
        operation_id="put_off_reinspection",
        summary="Move a reinspection to a later day",
        request=PutOffInput,
        parameters=[IF_MATCH],
        responses=ReinspectionAnswer,
    )
    @idempotent
    def post(self, request: Request, reinspection_id: uuid.UUID) -> Response:
        """Put off with a reason that stays on record; at most 90 days from today."""
        look = look_of(self.operator, reinspection_id)
        require_match(request, look.version)
        values = self.checked(PutOffInput)
        moved = put_off_reinspection(
            actor=self.actor, now=self.now, reinspection_id=look.id, version=look.version, **values
        )
        return self.look_answered(moved)


class ReinspectionClosingView(LookAnsweringView):
    """Closing one look."""

    needs = {"POST": (Role.COORDINATOR, Scope.WORK)}

    @extend_schema(
        operation_id="close_reinspection",
        summary="Close a reinspection without a reading",
        request=ClosingInput,
        parameters=[IF_MATCH],
        responses=ReinspectionAnswer,
    )
    @idempotent
    def post(self, request: Request, reinspection_id: uuid.UUID) -> Response:
        """Close with a reason that stays on record."""
        look = look_of(self.operator, reinspection_id)
        require_match(request, look.version)
        values = self.checked(ClosingInput)
        closed = close_reinspection(
            actor=self.actor, now=self.now, reinspection_id=look.id, version=look.version, **values
        )
        return self.look_answered(closed)


class CalendarView(OperatorView):
    """The caller's calendar feed."""

    needs = {"GET": READ}

    @extend_schema(
        operation_id="get_calendar_address",
        summary="Where a calendar program subscribes to reinspections",
        responses=CalendarAnswer,
    )
    def get(self, request: Request) -> Response:
        """Return the caller's own feed address (iCalendar). Whoever has it can read the feed and nothing else."""
        return self.answer({"address": calendar_address(self.token.person_id)})


urlpatterns = [
    path("reinspections", ReinspectionsView.as_view()),
    path("reinspections/calendar", CalendarView.as_view()),
    path("reinspections/<uuid:reinspection_id>", ReinspectionView.as_view()),
    path("reinspections/<uuid:reinspection_id>/put-off", ReinspectionPutOffView.as_view()),
    path("reinspections/<uuid:reinspection_id>/closing", ReinspectionClosingView.as_view()),
]
