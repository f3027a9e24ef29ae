"""The backtest over HTTP."""

from typing import Any

from django.http import StreamingHttpResponse
from django.urls import path
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.negotiation import BaseContentNegotiation
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request

from fleet.people.models import Role, Scope
from fleet.web.views import OperatorView
from servicing.backtest.csv_file import csv_lines
from servicing.backtest.replaying import chosen_settings, told
from servicing.drift.settings import FALSE_ALARMS_PER_YEAR, NOTICE_DAYS


class BacktestFilters(serializers.Serializer[Any]):
    """Thresholds to try instead of the operator's own."""

    false_alarms_per_strut_year = serializers.FloatField(
        required=False, min_value=FALSE_ALARMS_PER_YEAR[0], max_value=FALSE_ALARMS_PER_YEAR[1]
    )
    notice_days = serializers.FloatField(required=False, min_value=NOTICE_DAYS[0], max_value=NOTICE_DAYS[1])


class CsvNegotiation(BaseContentNegotiation):
    """The address says that the answer is CSV; a problem comes as JSON whatever is accepted."""

    def select_parser(self, request: Any, parsers: Any) -> Any:
        """Return the first parser."""
        return parsers[0]

    def select_renderer(self, request: Any, renderers: Any, format_suffix: str | None = None) -> Any:
        """Return the first renderer."""
        return renderers[0], renderers[0].media_type


class BacktestView(OperatorView):
    """What the service would have told."""

    needs = {"GET": (Role.COORDINATOR, Scope.READ)}
    content_negotiation_class = CsvNegotiation
    renderer_classes = [JSONRenderer]

    @extend_schema(
        operation_id="backtest",
        summary="Everything that the readings so far would have told",
        parameters=[BacktestFilters],
        responses={(200, "text/csv"): OpenApiResponse(str, description="One row for each finding.")},
    )
    def get(self, request: Request) -> StreamingHttpResponse:
        """Replay the struts' histories reading by reading, each judged by what had been read and done by then.

        It takes the history as it is known today: corrections count from the start, what was sent in late counts as
        in time, and today's sheets and what was learned of the fleet hold throughout. A strut that was on several
        legs is judged by the sheet of the leg that it was on then, and told under that leg and aircraft.

        A row for each finding above level `none`, from the reading that opened it to the one that closed it: losses,
        struts that stand high or low or stick, and readings to repeat. What work alone tells, such as two top-ups
        close together, is not in it. Losses have a rate in inches per month, negative when the strut loses length,
        with a 90 % interval; dates have 80 % intervals.

        Try other thresholds before choosing them: `false_alarms_per_strut_year` moves how much evidence a loss needs,
        `notice_days` from when on a caution is a warning.
        """
        filters = self.filters(BacktestFilters)
        settings = chosen_settings(
            self.operator.id,
            false_alarms_per_year=filters.get("false_alarms_per_strut_year"),
            notice_days=filters.get("notice_days"),
        )
        rows = told(self.operator.id, settings)  # before the first line: a fault must still become a problem
        answer = StreamingHttpResponse(csv_lines(rows), content_type="text/csv; charset=utf-8")
        answer["Content-Disposition"] = 'attachment; filename="backtest.csv"'
        return answer


urlpatterns = [path("backtest.csv", BacktestView.as_view())]
