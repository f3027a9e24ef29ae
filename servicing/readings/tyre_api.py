"""Readings of tyres over HTTP."""

import uuid
from collections.abc import Sequence
from typing import Any

from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.web.idempotency import idempotent
from fleet.web.permissions import READ, REPORT
from fleet.web.schema import PAGE, page_of
from fleet.web.views import OperatorView
from servicing.readings.actions import add_tyre_reading, add_tyre_readings
from servicing.readings.correcting import correct_tyre_reading, withdraw_tyre_reading
from servicing.readings.models import TyreReading
from servicing.readings.queries import reading_of, readings_matching, readings_of
from servicing.readings.shapes import (
    TyreCorrectionInput,
    TyreReadingFilters,
    TyreReadingInput,
    TyreReadingsInput,
    WithdrawalInput,
    tyre_entries_from,
)
from servicing.readings.tyre_advice import tyre_advice
from servicing.readings.tyre_answers import (
    AddedTyreReadingsAnswer,
    JudgedTyreReadingAnswer,
    TyreReadingAnswer,
    tyre_reading_answer,
)


class _TyreView(OperatorView):
    """Shows readings of tyres."""

    def judged(self, readings: Sequence[TyreReading]) -> list[dict[str, Any]]:
        """Return readings with what they mean."""
        return [
            {**tyre_reading_answer(one, self.unit_system), **tyre_advice(one, self.unit_system)} for one in readings
        ]

    def judged_now(self, reading_id: uuid.UUID) -> dict[str, Any]:
        """Return a reading as it stands, with what it means."""
        return self.judged([reading_of(TyreReading, self.operator, reading_id)])[0]


class TyreReadingsView(_TyreView):
    """Readings of the operator's tyres."""

    needs = {"GET": READ, "POST": REPORT}

    @extend_schema(
        operation_id="list_tyre_readings",
        summary="Readings of tyres, newest first",
        parameters=[TyreReadingFilters, *PAGE],
        responses=page_of(TyreReadingAnswer),
    )
    def get(self, request: Request) -> Response:
        """List readings as read and as corrected. Those that were corrected or taken back are left out."""
        rows = readings_matching(TyreReading, self.operator, self.filters(TyreReadingFilters))
        return self.page(rows, lambda row: tyre_reading_answer(row, self.unit_system))

    @extend_schema(
        operation_id="add_tyre_reading",
        summary="Take a reading of a tyre",
        request=TyreReadingInput,
        responses={201: JudgedTyreReadingAnswer, 200: JudgedTyreReadingAnswer},
    )
    @idempotent
    def post(self, request: Request) -> Response:
        """Store pressure, tread or both, and say what the published table asks for. Known already: 200."""
        entry = tyre_entries_from(self.operator.id, [self.checked(TyreReadingInput)])[0]
        added = add_tyre_reading(actor=self.actor, now=self.now, entry=entry)
        return self.answer(self.judged_now(entry.id), status=201 if added.saved else 200)


class TyreReadingBatchView(_TyreView):
    """Several readings at once."""

    needs = {"POST": REPORT}

    @extend_schema(
        operation_id="add_tyre_readings",
        summary="Take several readings of tyres, all or none",
        request=TyreReadingsInput,
        responses={201: AddedTyreReadingsAnswer, 200: AddedTyreReadingsAnswer},
    )
    @idempotent
    def post(self, request: Request) -> Response:
        """Store up to 1000 readings. Faults name their row; with any, none is stored."""
        entries = tyre_entries_from(self.operator.id, self.checked(TyreReadingsInput)["readings"])
        added = add_tyre_readings(actor=self.actor, now=self.now, entries=entries)
        shown = self.judged(readings_of(TyreReading, self.operator, added.ids))
        data = {"readings": shown, "saved": added.saved, "known": added.known}
        return self.answer(data, status=201 if added.saved else 200)


class TyreReadingView(_TyreView):
    """One reading."""

    needs = {"GET": READ}

    @extend_schema(
        operation_id="get_tyre_reading", summary="One reading of a tyre", responses=JudgedTyreReadingAnswer
    )
    def get(self, request: Request, reading_id: uuid.UUID) -> Response:
        """Return a reading with what it means, by the sheet as it is now."""
        return self.answer(self.judged_now(reading_id))


class TyreReadingCorrectionsView(_TyreView):
    """Corrections of one reading."""

    needs = {"POST": REPORT}

    @extend_schema(
        operation_id="correct_tyre_reading",
        summary="Put a reading of a tyre right",
        request=TyreCorrectionInput,
        responses={201: JudgedTyreReadingAnswer},
    )
    @idempotent
    def post(self, request: Request, reading_id: uuid.UUID) -> Response:
        """Add a reading that replaces the mistaken one, which stays to be seen with the reason."""
        values = self.checked(TyreCorrectionInput)
        entry = tyre_entries_from(self.operator.id, [values["reading"]])[0]
        right = correct_tyre_reading(
            actor=self.actor, now=self.now, reading_id=reading_id, entry=entry, reason=values["reason"]
        )
        return self.answer(self.judged_now(right.id), status=201)


class TyreReadingWithdrawalView(_TyreView):
    """Taking one reading back."""

    needs = {"POST": REPORT}

    @extend_schema(
        operation_id="withdraw_tyre_reading",
        summary="Take a reading of a tyre back",
        request=WithdrawalInput,
        responses={201: TyreReadingAnswer},
    )
    @idempotent
    def post(self, request: Request, reading_id: uuid.UUID) -> Response:
        """Add a row that takes the reading back; both stay to be seen."""
        values = self.checked(WithdrawalInput)
        taken_back = withdraw_tyre_reading(
            actor=self.actor,
            now=self.now,
            reading_id=reading_id,
            withdrawal_id=values.get("id") or uuid.uuid4(),
            reason=values["reason"],
        )
        row = reading_of(TyreReading, self.operator, taken_back.id)
        return self.answer(tyre_reading_answer(row, self.unit_system), status=201)


urlpatterns = [
    path("tyre-readings", TyreReadingsView.as_view()),
    path("tyre-readings/batch", TyreReadingBatchView.as_view()),
    path("tyre-readings/<uuid:reading_id>", TyreReadingView.as_view()),
    path("tyre-readings/<uuid:reading_id>/corrections", TyreReadingCorrectionsView.as_view()),
    path("tyre-readings/<uuid:reading_id>/withdrawal", TyreReadingWithdrawalView.as_view()),
]
