"""Readings of struts over HTTP."""

import uuid
from collections.abc import Sequence
from typing import Any

from django.urls import path
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.web.idempotency import idempotent
from fleet.web.permissions import READ, REPORT
from fleet.web.schema import PAGE, page_of
from fleet.web.views import OperatorView
from servicing.readings import tyre_api
from servicing.readings.actions import add_strut_reading, add_strut_readings
from servicing.readings.advice import strut_advice
from servicing.readings.correcting import correct_strut_reading, withdraw_strut_reading
from servicing.readings.models import StrutReading
from servicing.readings.queries import reading_of, readings_matching, readings_of
from servicing.readings.shapes import (
    StrutCorrectionInput,
    StrutReadingFilters,
    StrutReadingInput,
    StrutReadingsInput,
    WithdrawalInput,
    strut_entries_from,
)
from servicing.readings.strut_answers import (
    AddedStrutReadingsAnswer,
    JudgedStrutReadingAnswer,
    StrutReadingAnswer,
    strut_reading_answer,
)

_EXAMPLE = OpenApiExample(
    "A left main strut on a cold morning",
    request_only=True,
    value={
        "aircraft": "XX-0001",
        "leg": "left main",
        "taken_at": "2026-01-14T08:20:00Z",
        "extension": "3 5/8 in",
        "temperature": {"value": -4, "unit": "degC"},
        "fuel": "180 lb",
        "exercised": True,
        "fluid_seen": "dry",
    },
)


class _StrutView(OperatorView):
    """Shows readings of struts."""

    def judged(self, readings: Sequence[StrutReading]) -> list[dict[str, Any]]:
        """Return readings with what they mean."""
        return [
            {**strut_reading_answer(one, self.unit_system), **strut_advice(one, self.unit_system)} for one in readings
        ]

    def judged_now(self, reading_id: uuid.UUID) -> dict[str, Any]:
        """Return a reading as it stands, with what it means."""
        return self.judged([reading_of(StrutReading, self.operator, reading_id)])[0]


class StrutReadingsView(_StrutView):
    """Readings of the operator's struts."""

    needs = {"GET": READ, "POST": REPORT}

    @extend_schema(
        operation_id="list_readings",
        summary="Readings of struts, newest first",
        parameters=[StrutReadingFilters, *PAGE],
        responses=page_of(StrutReadingAnswer),
    )
    def get(self, request: Request) -> Response:
        """List readings as read and as corrected. Those that were corrected or taken back are left out."""
        rows = readings_matching(StrutReading, self.operator, self.filters(StrutReadingFilters))
        return self.page(rows, lambda row: strut_reading_answer(row, self.unit_system))

    @extend_schema(
        operation_id="add_reading",
        summary="Take a reading of a strut",
        request=StrutReadingInput,
        responses={201: JudgedStrutReadingAnswer, 200: JudgedStrutReadingAnswer},
        examples=[_EXAMPLE],
    )
    @idempotent
    def post(self, request: Request) -> Response:
        """Store a reading and say what it means: corrected extension, where it stands in its limits, what to do.

        The same id with the same content is known already (200); with other content it is a clash (409).
        """
        entry = strut_entries_from(self.operator.id, [self.checked(StrutReadingInput)])[0]
        added = add_strut_reading(actor=self.actor, now=self.now, entry=entry)
        return self.answer(self.judged_now(entry.id), status=201 if added.saved else 200)


class StrutReadingBatchView(_StrutView):
    """Several readings at once."""

    needs = {"POST": REPORT}

    @extend_schema(
        operation_id="add_readings",
        summary="Take several readings of struts, all or none",
        request=StrutReadingsInput,
        responses={201: AddedStrutReadingsAnswer, 200: AddedStrutReadingsAnswer},
    )
    @idempotent
    def post(self, request: Request) -> Response:
        """Store up to 1000 readings, as of an app that was offline. Faults name their row; with any, none is."""
        entries = strut_entries_from(self.operator.id, self.checked(StrutReadingsInput)["readings"])
        added = add_strut_readings(actor=self.actor, now=self.now, entries=entries)
        shown = self.judged(readings_of(StrutReading, self.operator, added.ids))
        data = {"readings": shown, "saved": added.saved, "known": added.known}
        return self.answer(data, status=201 if added.saved else 200)


class StrutReadingView(_StrutView):
    """One reading."""

    needs = {"GET": READ}

    @extend_schema(operation_id="get_reading", summary="One reading of a strut", responses=JudgedStrutReadingAnswer)
    def get(self, request: Request, reading_id: uuid.UUID) -> Response:
        """Return a reading with what it means, by the sheet as it is now."""
        return self.answer(self.judged_now(reading_id))


class StrutReadingCorrectionsView(_StrutView):
    """Corrections of one reading."""

    needs = {"POST": REPORT}

    @extend_schema(
        operation_id="correct_reading",
        summary="Put a reading of a strut right",
        request=StrutCorrectionInput,
        responses={201: JudgedStrutReadingAnswer},
    )
    @idempotent
    def post(self, request: Request, reading_id: uuid.UUID) -> Response:
        """Add a reading that replaces the mistaken one, which stays to be seen with the reason."""
        values = self.checked(StrutCorrectionInput)
        entry = strut_entries_from(self.operator.id, [values["reading"]])[0]
        right = correct_strut_reading(
            actor=self.actor, now=self.now, reading_id=reading_id, entry=entry, reason=values["reason"]
        )
        return self.answer(self.judged_now(right.id), status=201)


class StrutReadingWithdrawalView(_StrutView):
    """Taking one reading back."""

    needs = {"POST": REPORT}

    @extend_schema(
        operation_id="withdraw_reading",
        summary="Take a reading of a strut back",
        request=WithdrawalInput,
        responses={201: StrutReadingAnswer},
    )
    @idempotent
    def post(self, request: Request, reading_id: uuid.UUID) -> Response:
        """Add a row that takes the reading back, such as one of another aircraft; both stay to be seen."""
        values = self.checked(WithdrawalInput)
        taken_back = withdraw_strut_reading(
            actor=self.actor,
            now=self.now,
            reading_id=reading_id,
            withdrawal_id=values.get("id") or uuid.uuid4(),
            reason=values["reason"],
        )
        row = reading_of(StrutReading, self.operator, taken_back.id)
        return self.answer(strut_reading_answer(row, self.unit_system), status=201)


urlpatterns = [
    path("readings", StrutReadingsView.as_view()),
    path("readings/batch", StrutReadingBatchView.as_view()),
    path("readings/<uuid:reading_id>", StrutReadingView.as_view()),
    path("readings/<uuid:reading_id>/corrections", StrutReadingCorrectionsView.as_view()),
    path("readings/<uuid:reading_id>/withdrawal", StrutReadingWithdrawalView.as_view()),
    *tyre_api.urlpatterns,
]
