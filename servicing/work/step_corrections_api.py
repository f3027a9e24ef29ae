"""Corrections of the steps of a top-up over HTTP."""

import uuid

from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.web.idempotency import idempotent
from fleet.web.permissions import WORK
from servicing.work.step_corrections import correct_step
from servicing.work.top_up_api import TopUpAnsweringView
from servicing.work.top_up_inputs import StepCorrectionInput
from servicing.work.top_up_shapes import TopUpAnswer


class StepCorrectionsView(TopUpAnsweringView):
    """Corrections of one dose or look."""

    needs = {"POST": WORK}

    @extend_schema(
        operation_id="correct_top_up_step",
        summary="Put a dose or look of a running top-up right, or take it back",
        request=StepCorrectionInput,
        responses={201: TopUpAnswer, 200: TopUpAnswer},
    )
    @idempotent
    def post(self, request: Request, step_id: uuid.UUID) -> Response:
        """Add a row that replaces the mistaken one and get the plan anew. Sent again: 200.

        Once a pause or the end has written the step into the history (409), the servicing and the reading are
        corrected there.
        """
        values = self.checked(StepCorrectionInput)
        top_up, new = correct_step(
            actor=self.actor,
            now=self.now,
            step_id=step_id,
            row=self.step_of(values["step"]) if "step" in values else None,
            reason=values["reason"],
            correction_id=values.get("id"),
        )
        return self.planned(top_up, status=201 if new else 200)


urlpatterns = [path("top-up-steps/<uuid:step_id>/corrections", StepCorrectionsView.as_view())]
