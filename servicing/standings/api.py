"""How struts and tyres stand, over HTTP: one set of views for both kinds."""

import uuid
from collections.abc import Callable
from typing import Any, Final

from django.urls import URLPattern, path
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema, extend_schema_view
from rest_framework.renderers import BaseRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.gear.kinds import STRUT, TYRE, PartKind
from fleet.web.permissions import READ
from fleet.web.schema import PAGE, page_of
from fleet.web.views import OperatorView
from servicing.chart.drawing import draw_history
from servicing.chart.queries import history_of
from servicing.chart.svg import scene_to_svg
from servicing.drift.queries import strut_trend, tyre_trend
from servicing.standings.answers import point_answer, reading_answer, standing_answer
from servicing.standings.queries import (
    changes_of,
    places_of,
    readings_of,
    require_trend,
    standing_of,
    standings_matching,
    stays_of,
    work_of,
)
from servicing.standings.shapes import (
    HistoryFilters,
    StandingFilters,
    StrutHistoryAnswer,
    StrutStandingAnswer,
    StrutTrendAnswer,
    TyreHistoryAnswer,
    TyreStandingAnswer,
    TyreTrendAnswer,
)

_TRENDS: Final[dict[PartKind, Callable[..., Any]]] = {STRUT: strut_trend, TYRE: tyre_trend}


class PartStandingView(OperatorView):
    """What every view of one kind of part shares."""

    kind: PartKind
    needs = {"GET": READ}

    def standing_answered(self, row: Any) -> dict[str, Any]:
        """Return one standing."""
        return self.standings_answered([row])[0]

    def standings_answered(self, rows: list[Any]) -> list[dict[str, Any]]:
        """Return standings with their places, in one more query."""
        part_ids = [getattr(row, f"{self.kind.noun}_id") for row in rows]
        places = places_of(self.operator, self.kind, part_ids)
        return [
            standing_answer(self.kind, row, places.get(part_id), self.unit_system)
            for row, part_id in zip(rows, part_ids, strict=True)
        ]


class StandingsView(PartStandingView):
    """How all parts of a kind stand."""

    def get(self, request: Request) -> Response:
        """List findings, levels, where each part is within its limits, its rate and forecast."""
        rows = standings_matching(self.operator, self.kind, self.filters(StandingFilters))
        return self.page_together(rows, self.standings_answered, order=("id",))


class StandingView(PartStandingView):
    """How one part stands."""

    def get(self, request: Request, part_id: uuid.UUID) -> Response:
        """Return the latest assessment of the part."""
        return self.answer(self.standing_answered(standing_of(self.operator, self.kind, part_id)))


class HistoryView(PartStandingView):
    """What happened to one part."""

    def get(self, request: Request, part_id: uuid.UUID) -> Response:
        """Return readings, work, installations and changes of finding of the last days, oldest first."""
        operator, kind, window = self.operator, self.kind, {"now": self.now, **self.filters(HistoryFilters)}
        return self.answer(
            {
                "readings": [
                    reading_answer(kind, row, self.unit_system)
                    for row in readings_of(operator, kind, part_id, **window)
                ],
                "work": list(work_of(operator, kind, part_id, **window).values("id", "done_at", "work", "note")),
                "installations": [
                    {
                        "leg": stay.leg_id,
                        "registration": stay.leg.aircraft.registration,
                        "position": stay.leg.position,
                        "installed_at": stay.installed_at,
                        "removed_at": stay.removed_at,
                    }
                    for stay in stays_of(operator, kind, part_id)
                ],
                "findings": list(
                    changes_of(operator, kind, part_id, **window).values("at", "finding_before", "finding", "level")
                ),
            }
        )


class TrendView(PartStandingView):
    """How one part's readings run."""

    def get(self, request: Request, part_id: uuid.UUID) -> Response:
        """Return every live reading with what became of it and the level fitted to it, and the standing."""
        standing = standing_of(self.operator, self.kind, part_id)
        trend = require_trend(_TRENDS[self.kind](self.operator.id, part_id, now=self.now))
        points = [point_answer(self.kind, point, self.unit_system) for point in trend.points]
        return self.answer({"standing": self.standing_answered(standing), "points": points})


class SvgRenderer(BaseRenderer):
    """Passes a drawing through."""

    media_type = "image/svg+xml"
    format = "svg"
    charset = "utf-8"

    def render(self, data: Any, accepted_media_type: str | None = None, renderer_context: Any = None) -> bytes:
        """Return the document's bytes."""
        return str(data).encode()


class ChartView(PartStandingView):
    """One part's history as a drawing."""

    # A drawing shown in a page must not be able to load or run anything.
    HEADERS = {"Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'"}

    def perform_content_negotiation(self, request: Request, force: bool = False) -> tuple[BaseRenderer, str]:
        """Answer SVG whatever a browser's img element says that it accepts."""
        return SvgRenderer(), SvgRenderer.media_type

    def get(self, request: Request, part_id: uuid.UUID) -> Response:
        """Return readings as read and corrected, those set aside, work, limits, trend and forecast as SVG."""
        part = self.kind.part_of(self.operator, part_id)
        history = history_of(
            self.operator,
            strut_id=part.pk if self.kind is STRUT else None,
            tyre_id=part.pk if self.kind is TYRE else None,
            now=self.now,
            unit_system=self.unit_system,
            **self.filters(HistoryFilters),
        )
        return self.answer(scene_to_svg(draw_history(history)), headers=self.HEADERS)


def standing_patterns(kind: PartKind, answer: Any, history: Any, trend: Any) -> list[URLPattern]:
    """Return the routes of one kind, each operation with its own stable id."""
    noun, plural = kind.noun, kind.plural

    def documented(view: type[PartStandingView], operation: str, summary: str, **schema: Any) -> Any:
        own = type(f"{noun.capitalize()}{view.__name__}", (view,), {"kind": kind, "__doc__": view.__doc__})
        document = extend_schema_view(get=extend_schema(operation_id=operation, summary=summary, **schema))
        return document(own).as_view()  # type: ignore[attr-defined]  # made of the view above

    days = [HistoryFilters]
    svg = {(200, "image/svg+xml"): OpenApiResponse(OpenApiTypes.STR)}
    return [
        path(
            f"standings/{plural}",
            documented(
                StandingsView,
                f"list_{noun}_standings",
                f"How the {plural} stand",
                parameters=[StandingFilters, *PAGE],
                responses=page_of(answer),
            ),
        ),
        path(
            f"{plural}/<uuid:part_id>/standing",
            documented(StandingView, f"get_{noun}_standing", f"How one {noun} stands", responses=answer),
        ),
        path(
            f"{plural}/<uuid:part_id>/history",
            documented(
                HistoryView,
                f"get_{noun}_history",
                f"What happened to a {noun}",
                parameters=days,
                responses=history,
            ),
        ),
        path(
            f"{plural}/<uuid:part_id>/trend",
            documented(TrendView, f"get_{noun}_trend", f"How a {noun}'s readings run", responses=trend),
        ),
        path(
            f"{plural}/<uuid:part_id>/chart.svg",
            documented(
                ChartView, f"draw_{noun}_chart", f"A {noun}'s history as a drawing", parameters=days, responses=svg
            ),
        ),
    ]


urlpatterns = [
    *standing_patterns(STRUT, StrutStandingAnswer, StrutHistoryAnswer, StrutTrendAnswer),
    *standing_patterns(TYRE, TyreStandingAnswer, TyreHistoryAnswer, TyreTrendAnswer),
]
