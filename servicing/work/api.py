"""Servicings over HTTP."""

import uuid
from typing import Any

from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.web.idempotency import idempotent
from fleet.web.permissions import READ, WORK
from fleet.web.schema import PAGE, page_of
from fleet.web.views import OperatorView
from servicing.work import life_api, step_corrections_api, top_up_api
from servicing.work.actions import add_servicings, correct_servicing
from servicing.work.queries import servicing_of, servicings_matching
from servicing.work.safety import cautions_for_work
from servicing.work.shapes import (
    RecordedServicingAnswer,
    RecordedServicingsAnswer,
    ServicingAnswer,
    ServicingCorrectionInput,
    ServicingFilters,
    ServicingInput,
    ServicingsInput,
    rows_from,
    servicing_answer,
)


class ServicingsView(OperatorView):
    """Servicings of the operator."""

    needs = {"GET": READ, "POST": WORK}

    @extend_schema(
        operation_id="list_servicings",
        summary="Servicings, newest first",
        parameters=[ServicingFilters, *PAGE],
        responses=page_of(ServicingAnswer),
    )
    def get(self, request: Request) -> Response:
        """List the work done on struts and tyres. Rows that were corrected or taken back are left out."""
        filters = ServicingFilters(data=request.query_params)
        filters.is_valid(raise_exception=True)
        rows = servicings_matching(self.operator, filters.validated_data)
        return self.page(rows, self._shown, order=("-done_at", "-id"))

    @extend_schema(
        operation_id="add_servicing",
        summary="Record a servicing",
        request=ServicingInput,
        responses={201: RecordedServicingAnswer, 200: RecordedServicingAnswer},
    )
    @idempotent
    def post(self, request: Request) -> Response:
        """Record work done, now or long ago; the history is assessed anew from there. Known already: 200."""
        (row,) = rows_from(self.operator.id, [self.checked(ServicingInput)])
        recorded = add_servicings(actor=self.actor, now=self.now, rows=[row], list_name=None)
        data = {**self._shown(recorded.rows[0]), "cautions": cautions_for_work([row.work])}
        return self.answer(data, status=201 if recorded.saved else 200)

    def _shown(self, servicing: Any) -> dict[str, Any]:
        return servicing_answer(servicing, self.unit_system)


class ServicingBatchView(OperatorView):
    """Several servicings at once."""

    needs = {"POST": WORK}

    @extend_schema(
        operation_id="add_servicings",
        summary="Record several servicings, all or none",
        request=ServicingsInput,
        responses={201: RecordedServicingsAnswer},
    )
    @idempotent
    def post(self, request: Request) -> Response:
        """Record up to 1000 servicings. Faults name their row; with any fault nothing is recorded."""
        rows = rows_from(self.operator.id, self.checked(ServicingsInput)["servicings"])
        recorded = add_servicings(actor=self.actor, now=self.now, rows=rows)
        shown = [servicing_answer(servicing, self.unit_system) for servicing in recorded.rows]
        return self.answer({"servicings": shown, "saved": recorded.saved, "known": recorded.known}, status=201)


class ServicingView(OperatorView):
    """One servicing."""

    needs = {"GET": READ}

    @extend_schema(operation_id="get_servicing", summary="One servicing", responses=ServicingAnswer)
    def get(self, request: Request, servicing_id: uuid.UUID) -> Response:
        """Return a servicing with what it did to the baseline."""
        return self.answer(servicing_answer(servicing_of(self.operator, servicing_id), self.unit_system))


class ServicingCorrectionsView(OperatorView):
    """Corrections of one servicing."""

    needs = {"POST": WORK}

    @extend_schema(
        operation_id="correct_servicing",
        summary="Put a servicing right, or take it back",
        request=ServicingCorrectionInput,
        responses={201: ServicingAnswer},
    )
    @idempotent
    def post(self, request: Request, servicing_id: uuid.UUID) -> Response:
        """Add a row that replaces the mistaken one, which stays to be seen; drift looks again from there."""
        values = self.checked(ServicingCorrectionInput)
        bodies = [values["servicing"]] if "servicing" in values else []
        right = correct_servicing(
            actor=self.actor,
            now=self.now,
            servicing_id=servicing_id,
            row=next(iter(rows_from(self.operator.id, bodies)), None),
            reason=values["reason"],
            correction_id=values.get("id"),
        )
        return self.answer(servicing_answer(right, self.unit_system), status=201)


urlpatterns = [
    path("servicings", ServicingsView.as_view()),
    path("servicings/batch", ServicingBatchView.as_view()),
    path("servicings/<uuid:servicing_id>", ServicingView.as_view()),
    path("servicings/<uuid:servicing_id>/corrections", ServicingCorrectionsView.as_view()),
    *life_api.urlpatterns,
    *top_up_api.urlpatterns,
    *step_corrections_api.urlpatterns,
]
