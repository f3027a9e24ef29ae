"""Files in, over HTTP."""

import uuid
from typing import Any, cast

from django.conf import settings
from django.http import QueryDict
from django.urls import path
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.parsers import BaseParser, MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.web.idempotency import idempotent
from fleet.web.permissions import READ, REPORT
from fleet.web.schema import PAGE, UNITS, page_of
from fleet.web.views import OperatorView
from servicing.exchange import export_api
from servicing.exchange.actions import is_long, run_import, start_import
from servicing.exchange.models import Import, ImportState
from servicing.exchange.queries import import_of, imports_matching
from servicing.exchange.shapes import ImportAnswer, ImportFile, ImportFilters, ImportSettings, import_answer


class CsvParser(BaseParser):
    """Takes a CSV file as the body itself."""

    media_type = "text/csv"

    def parse(self, stream: Any, media_type: Any = None, parser_context: Any = None) -> Any:
        """Return the bytes; the server's limit on the size of a body holds."""
        return bytes(parser_context["request"].body)


class ImportsView(OperatorView):
    """Files of the operator."""

    # The kind of the file decides who may send it; the action looks.
    needs = {"GET": READ, "POST": REPORT}
    parser_classes = [CsvParser, MultiPartParser]

    @extend_schema(
        operation_id="list_imports",
        summary="Files that came in, newest first",
        parameters=[ImportFilters, *PAGE],
        responses=page_of(ImportAnswer),
    )
    def get(self, request: Request) -> Response:
        """List imports with how far they are."""
        rows = imports_matching(self.operator, self.filters(ImportFilters))
        return self.page(rows, import_answer, order=("-created_at", "-id"))

    @extend_schema(
        operation_id="add_import",
        summary="Take a CSV file in",
        parameters=[ImportSettings],
        request={"text/csv": {"type": "string", "format": "binary"}, "multipart/form-data": ImportFile},
        responses={201: ImportAnswer, 200: ImportAnswer, 202: ImportAnswer},
    )
    @idempotent
    def post(self, request: Request) -> Response:
        """Read a file of readings, tyre readings, servicings, usage, or type sheets with aircraft.

        The unit stands in the header: `extension [in]`, `extension [mm]`. All rows are stored or none, unless
        `keep_good_rows` is asked for; `dry_run` (200) stores nothing and names every fault. A file of up to 2000 rows
        is done at once (201; 422 with its faults when refused); a longer one is read by a worker (202): see its
        progress at the address in Location. The same file again changes nothing.
        """
        content, asked = self._file(request)
        started = start_import(actor=self.actor, now=self.now, content=content, **asked)
        address = f"{settings.PUBLIC_URL}/api/v1/imports/{started.id}"
        if is_long(started):
            return self.answer(import_answer(started), status=202, headers={"Location": address})
        run_import(import_id=started.id, operator_id=started.operator_id, clock=timezone.now)
        ended = import_of(self.operator, started.id)
        if ended.state == ImportState.REFUSED:
            return self._refusal(ended)
        status = 200 if ended.dry_run else 201
        return self.answer(import_answer(ended), status=status, headers={"Location": address})

    def _file(self, request: Request) -> tuple[bytes, dict[str, Any]]:
        if "multipart/form-data" not in str(request.content_type):
            # An empty body reaches no parser.
            return cast(bytes, request.data or b""), self.filters(ImportSettings)
        values = self._form(request)
        file = values.pop("file")
        values["file_name"] = values["file_name"] or file.name
        return file.read(), values

    def _form(self, request: Request) -> dict[str, Any]:
        settings_asked = {name: value for name, value in request.query_params.items() if name != UNITS.name}
        form = ImportFile(data={**settings_asked, **cast(QueryDict, request.data).dict()})
        form.is_valid(raise_exception=True)
        return dict(form.validated_data)

    def _refusal(self, ended: Import) -> Response:
        faults, rows = _counted(ended.faults_total, "fault"), _counted(ended.rows_total, "row")
        document = {
            "type": f"{settings.PUBLIC_URL}/problems/import_refused",
            "title": "Unprocessable Content",
            "status": 422,
            "detail": f"{faults} in {rows}: nothing was stored.",
            "code": "import_refused",
            "errors": [
                {"field": f"rows.{fault['row']}.{fault['field']}", "code": fault["code"], "message": fault["message"]}
                for fault in ended.faults
            ],
            "import": import_answer(ended),
        }
        return Response(document, status=422, content_type="application/problem+json")


def _counted(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


class ImportView(OperatorView):
    """One file."""

    needs = {"GET": READ}

    @extend_schema(operation_id="get_import", summary="How far an import is", responses=ImportAnswer)
    def get(self, request: Request, import_id: uuid.UUID) -> Response:
        """Return an import with its progress, its faults by row, and what was taken for granted."""
        return self.answer(import_answer(import_of(self.operator, import_id)))


urlpatterns = [
    path("imports", ImportsView.as_view()),
    path("imports/<uuid:import_id>", ImportView.as_view()),
    *export_api.urlpatterns,
]
