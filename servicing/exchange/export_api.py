"""Files out, over HTTP."""

from typing import Any

from django.http import StreamingHttpResponse
from django.urls import path
from drf_spectacular.utils import OpenApiResponse, extend_schema, extend_schema_view
from rest_framework import serializers
from rest_framework.negotiation import BaseContentNegotiation
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request

from fleet.web.permissions import READ
from fleet.web.views import OperatorView
from servicing.exchange.exports import csv_of
from servicing.exchange.files_out import FILES

_NAMES = {
    "readings": "readings of struts",
    "tyre-readings": "readings of tyres",
    "servicings": "work done",
    "usage": "flights, landings and hours",
    "struts": "struts as they stand",
    "alerts": "alerts",
    "reinspections": "looks that are due or were done",
}


class ExportFilters(serializers.Serializer[Any]):
    """Which rows go into the file."""

    aircraft = serializers.CharField(required=False, help_text="Registration.")
    since = serializers.DateTimeField(required=False)
    until = serializers.DateTimeField(required=False)


class AnyNegotiation(BaseContentNegotiation):
    """The address says that the answer is CSV; a problem comes as JSON whatever is accepted."""

    def select_parser(self, request: Any, parsers: Any) -> Any:
        """Return the first parser."""
        return parsers[0]

    def select_renderer(self, request: Any, renderers: Any, format_suffix: str | None = None) -> Any:
        """Return the first renderer."""
        return renderers[0], renderers[0].media_type


class ExportView(OperatorView):
    """One kind of file."""

    needs = {"GET": READ}
    content_negotiation_class = AnyNegotiation
    renderer_classes = [JSONRenderer]
    file = ""

    def get(self, request: Request) -> StreamingHttpResponse:
        """Stream the rows as CSV, units in the header; what a spreadsheet would run as a formula is made harmless."""
        wanted, filters = FILES[self.file], self.filters(ExportFilters)
        rows = wanted.rows(self.operator.id)
        if "aircraft" in filters:
            rows = rows.filter(**{wanted.aircraft: filters["aircraft"]})
        for name, lookup in (("since", "gte"), ("until", "lte")):
            if name in filters:
                rows = rows.filter(**{f"{wanted.moment}__{lookup}": filters[name]})
        answer = StreamingHttpResponse(
            csv_of(rows, wanted.columns, self.unit_system), content_type="text/csv; charset=utf-8"
        )
        answer["Content-Disposition"] = f'attachment; filename="{self.file}.csv"'
        return answer


def _view(file: str) -> Any:
    words = _NAMES[file]
    documented = extend_schema(
        operation_id=f"export_{file.replace('-', '_')}",
        summary=f"CSV file of {words}",
        parameters=[ExportFilters],
        responses={(200, "text/csv"): OpenApiResponse(str, description="The file.")},
    )
    # Documented by class: one handler can carry one description only.
    view = type(f"Export{file.title().replace('-', '')}View", (ExportView,), {"file": file})
    return extend_schema_view(get=documented)(view)


urlpatterns = [path(f"exports/{file}.csv", _view(file).as_view()) for file in FILES]
