"""Entries for the maintenance record over HTTP."""

import uuid
from typing import Any

from django.http import HttpResponse
from django.urls import path
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.web.etags import require_match
from fleet.web.idempotency import idempotent
from fleet.web.permissions import READ, WORK
from fleet.web.schema import IF_MATCH, PAGE, page_of
from fleet.web.views import OperatorView
from servicing.records.actions import (
    Signature,
    amend_entry,
    change_draft,
    complete_entry,
    discard_draft,
    draft_entry,
    entry_of,
)
from servicing.records.chain import check_chain
from servicing.records.drafting import source_of_servicing, source_of_top_up
from servicing.records.models import RecordEntry
from servicing.records.printing import pdf_of, text_of
from servicing.records.queries import entries_matching
from servicing.records.shapes import (
    AmendmentInput,
    ChainAnswer,
    CompletionInput,
    DraftChange,
    DraftInput,
    EntryAnswer,
    EntryFilters,
    entry_answer,
)


class EntryAnsweringView(OperatorView):
    """Answers entries with the tag of their version."""

    def entry_answered(self, entry: RecordEntry, status: int = 200) -> Response:
        """Answer an entry."""
        return self.answer(entry_answer(entry), status=status, version=entry.version)


class EntriesView(EntryAnsweringView):
    """Entries of the operator."""

    needs = {"GET": READ, "POST": WORK}

    @extend_schema(
        operation_id="list_record_entries",
        summary="Drafts and completed entries, newest first",
        parameters=[EntryFilters, *PAGE],
        responses=page_of(EntryAnswer),
    )
    def get(self, request: Request) -> Response:
        """List entries; discarded drafts only with `state=discarded`."""
        filters = EntryFilters(data=request.query_params)
        filters.is_valid(raise_exception=True)
        rows = entries_matching(self.operator, filters.validated_data)
        return self.page(rows, entry_answer, order=("-created_at", "-id"))

    @extend_schema(
        operation_id="draft_record_entry",
        summary="Draft an entry from work",
        request=DraftInput,
        responses={201: EntryAnswer, 200: EntryAnswer},
    )
    @idempotent
    def post(self, request: Request) -> Response:
        """Draft the entry of a servicing or of a finished top-up. Drafted before: 200 with that draft."""
        values = self.checked(DraftInput)
        if "servicing" in values:
            source = source_of_servicing(self.operator, values["servicing"])
        else:
            source = source_of_top_up(self.operator, values["top_up"])
        entry, new = draft_entry(actor=self.actor, now=self.now, source=source, entry_id=values.get("id"))
        return self.entry_answered(entry, status=201 if new else 200)


class EntryView(EntryAnsweringView):
    """One entry."""

    needs = {"GET": READ, "PATCH": WORK, "DELETE": WORK}

    @extend_schema(operation_id="get_record_entry", summary="One entry", responses=EntryAnswer)
    def get(self, request: Request, entry_id: uuid.UUID) -> Response:
        """Return an entry with what the published rules say about it."""
        return self.entry_answered(entry_of(self.operator.id, entry_id))

    @extend_schema(
        operation_id="change_record_entry", summary="Change a draft", request=DraftChange, responses=EntryAnswer
    )
    def patch(self, request: Request, entry_id: uuid.UUID) -> Response:
        """Change a draft; a completed entry is never changed (409), amend it instead."""
        entry = entry_of(self.operator.id, entry_id)
        require_match(request, entry.version)
        changes = self.checked(DraftChange)
        changed = change_draft(
            actor=self.actor, now=self.now, entry_id=entry_id, version=entry.version, changes=changes
        )
        return self.entry_answered(changed)

    @extend_schema(operation_id="discard_record_entry", summary="Put a draft away", responses={204: None})
    def delete(self, request: Request, entry_id: uuid.UUID) -> Response:
        """Put a draft away; it stays in the history."""
        entry = entry_of(self.operator.id, entry_id)
        require_match(request, entry.version)
        discard_draft(actor=self.actor, now=self.now, entry_id=entry_id, version=entry.version)
        return Response(status=204)


class CompletionView(EntryAnsweringView):
    """Completion of one entry."""

    needs = {"POST": WORK}

    @extend_schema(
        operation_id="complete_record_entry",
        summary="Sign and complete an entry",
        request=CompletionInput,
        parameters=[IF_MATCH],
        responses=EntryAnswer,
    )
    @idempotent
    def post(self, request: Request, entry_id: uuid.UUID) -> Response:
        """Sign the entry as If-Match names it. From then on it never changes; required elements must be there."""
        entry = entry_of(self.operator.id, entry_id)
        require_match(request, entry.version)
        values = self.checked(CompletionInput)
        signature = Signature(text=values.pop("signature"), **values)
        completed = complete_entry(
            actor=self.actor, now=self.now, entry_id=entry_id, version=entry.version, signature=signature
        )
        return self.entry_answered(completed)


class AmendmentsView(EntryAnsweringView):
    """Amendments of one entry."""

    needs = {"POST": WORK}

    @extend_schema(
        operation_id="amend_record_entry",
        summary="Amend a completed entry by a new one",
        request=AmendmentInput,
        responses={201: EntryAnswer, 200: EntryAnswer},
    )
    @idempotent
    def post(self, request: Request, entry_id: uuid.UUID) -> Response:
        """Begin a draft that amends a completed entry, with all that it says; the old entry stays as it is."""
        values = self.checked(AmendmentInput)
        entry, new = amend_entry(
            actor=self.actor,
            now=self.now,
            entry_id=entry_id,
            reason=values["reason"],
            amendment_id=values.get("id"),
        )
        return self.entry_answered(entry, status=201 if new else 200)


class ChainView(OperatorView):
    """The chain of completed entries."""

    needs = {"GET": READ}

    @extend_schema(
        operation_id="check_record_chain", summary="Has any completed entry been altered?", responses=ChainAnswer
    )
    def get(self, request: Request) -> Response:
        """Look at every completed entry, its link to the one before, and what the audit trail noted of it."""
        report = check_chain(self.operator)
        faults: list[dict[str, Any]] = [
            {"number": fault.number, "entry_id": fault.entry_id, "code": fault.code, "message": fault.message}
            for fault in report.faults
        ]
        return self.answer(
            {
                "intact": not faults,
                "entries": report.entries,
                "head_digest": report.head_digest,
                "faults": faults,
            }
        )


class EntryPdfView(OperatorView):
    """An entry on paper."""

    needs = {"GET": READ}

    @extend_schema(
        operation_id="print_record_entry",
        summary="An entry as PDF, to sign and paste in",
        responses={(200, "application/pdf"): OpenApiTypes.BINARY},
    )
    def get(self, request: Request, entry_id: uuid.UUID) -> HttpResponse:
        """Return the entry as PDF."""
        entry = entry_of(self.operator.id, entry_id)
        answer = HttpResponse(pdf_of(entry, self.operator), content_type="application/pdf")
        answer["Content-Disposition"] = f'inline; filename="entry-{entry.number or "draft"}.pdf"'
        return answer


class EntryTextView(OperatorView):
    """An entry as plain text."""

    needs = {"GET": READ}

    @extend_schema(
        operation_id="get_record_entry_text",
        summary="An entry as plain text",
        responses={(200, "text/plain"): OpenApiResponse(OpenApiTypes.STR)},
    )
    def get(self, request: Request, entry_id: uuid.UUID) -> HttpResponse:
        """Return the entry as text."""
        entry = entry_of(self.operator.id, entry_id)
        return HttpResponse(text_of(entry, self.operator), content_type="text/plain; charset=utf-8")


urlpatterns = [
    path("records", EntriesView.as_view()),
    path("records/chain", ChainView.as_view()),
    path("records/<uuid:entry_id>", EntryView.as_view()),
    path("records/<uuid:entry_id>/completion", CompletionView.as_view()),
    path("records/<uuid:entry_id>/amendments", AmendmentsView.as_view()),
    path("records/<uuid:entry_id>/entry.pdf", EntryPdfView.as_view()),
    path("records/<uuid:entry_id>/entry.txt", EntryTextView.as_view()),
]
