"""Flights, landings and hours over HTTP."""

import uuid

from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.aircraft.models import Aircraft
from fleet.refusals import Missing
from fleet.web.idempotency import idempotent
from fleet.web.permissions import READ, REPORT
from fleet.web.schema import PAGE, page_of
from fleet.web.views import OperatorView
from servicing.usage.actions import add_usages, correct_usage
from servicing.usage.queries import totals, usage_matching
from servicing.usage.shapes import (
    LoggedUsageAnswer,
    TotalsAnswer,
    UsageAnswer,
    UsageCorrectionInput,
    UsageFilters,
    UsageInput,
    UsagesInput,
    usage_answer,
    usage_rows,
)


class UsagesView(OperatorView):
    """Use of the operator's aircraft."""

    needs = {"GET": READ, "POST": REPORT}

    @extend_schema(
        operation_id="list_usage",
        summary="Flights, landings and hours, newest first",
        parameters=[UsageFilters, *PAGE],
        responses=page_of(UsageAnswer),
    )
    def get(self, request: Request) -> Response:
        """List what was logged. Rows that were corrected are left out."""
        filters = UsageFilters(data=request.query_params)
        filters.is_valid(raise_exception=True)
        return self.page(
            usage_matching(self.operator, filters.validated_data), usage_answer, order=("-ended_at", "-id")
        )

    @extend_schema(
        operation_id="add_usage",
        summary="Log a flight, or a day's flying",
        request=UsageInput,
        responses={201: UsageAnswer, 200: UsageAnswer},
    )
    @idempotent
    def post(self, request: Request) -> Response:
        """Log flights, landings and hours of one aircraft. Logged before: 200, and nothing counts twice."""
        rows = usage_rows(self.operator.id, [self.checked(UsageInput)])
        logged = add_usages(actor=self.actor, now=self.now, rows=rows, list_name=None)
        return self.answer(usage_answer(logged.rows[0]), status=201 if logged.saved else 200)


class UsageBatchView(OperatorView):
    """Several uses at once."""

    needs = {"POST": REPORT}

    @extend_schema(
        operation_id="add_usages",
        summary="Log several uses, all or none",
        request=UsagesInput,
        responses={201: LoggedUsageAnswer},
    )
    @idempotent
    def post(self, request: Request) -> Response:
        """Log up to 1000 rows. Faults name their row; with any fault nothing is logged."""
        rows = usage_rows(self.operator.id, self.checked(UsagesInput)["usage"])
        logged = add_usages(actor=self.actor, now=self.now, rows=rows)
        shown = [usage_answer(usage) for usage in logged.rows]
        return self.answer({"usage": shown, "saved": logged.saved, "known": logged.known}, status=201)


class UsageCorrectionsView(OperatorView):
    """Corrections of one row of use."""

    needs = {"POST": REPORT}

    @extend_schema(
        operation_id="correct_usage",
        summary="Put logged use right",
        request=UsageCorrectionInput,
        responses={201: UsageAnswer},
    )
    @idempotent
    def post(self, request: Request, usage_id: uuid.UUID) -> Response:
        """Add a row that replaces the mistaken one, which stays to be seen."""
        values = self.checked(UsageCorrectionInput)
        (row,) = usage_rows(self.operator.id, [values["usage"]])
        right = correct_usage(
            actor=self.actor,
            now=self.now,
            usage_id=usage_id,
            row=row,
            reason=values["reason"],
        )
        return self.answer(usage_answer(right), status=201)


class AircraftTotalsView(OperatorView):
    """Totals of one aircraft."""

    needs = {"GET": READ}

    @extend_schema(
        operation_id="get_aircraft_totals",
        summary="Flights, landings and hours of one aircraft in all",
        responses=TotalsAnswer,
    )
    def get(self, request: Request, aircraft_id: uuid.UUID) -> Response:
        """Return the totals, with what was brought forward."""
        if not Aircraft.objects.of(self.operator).filter(pk=aircraft_id).exists():
            raise Missing("no such aircraft")
        found = totals(self.operator, [aircraft_id])[aircraft_id]
        return self.answer(
            {
                "aircraft": str(aircraft_id),
                "flights": found.flights,
                "landings": found.landings,
                "hours": found.hours,
            }
        )


urlpatterns = [
    path("usage", UsagesView.as_view()),
    path("usage/batch", UsageBatchView.as_view()),
    path("usage/<uuid:usage_id>/corrections", UsageCorrectionsView.as_view()),
    path("aircraft/<uuid:aircraft_id>/totals", AircraftTotalsView.as_view()),
]
