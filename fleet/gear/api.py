"""Struts and tyres over HTTP: one set of views for both kinds."""

import uuid
from collections.abc import Callable
from typing import Any

from django.urls import URLPattern, path
from drf_spectacular.utils import OpenApiExample, extend_schema, extend_schema_view
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.gear.actions import add_part, change_part
from fleet.gear.installation_api import installation_patterns
from fleet.gear.kinds import STRUT, TYRE, PartKind
from fleet.gear.queries import part_with_place, parts_matching
from fleet.gear.shapes import (
    NewStrutInput,
    NewTyreInput,
    PartFilters,
    StrutAnswer,
    StrutChange,
    TyreAnswer,
    TyreChange,
    part_answer,
)
from fleet.web.etags import require_match
from fleet.web.idempotency import idempotent
from fleet.web.permissions import READ, WORK
from fleet.web.quantities import internal_values
from fleet.web.schema import PAGE, page_of
from fleet.web.views import OperatorView

Shape = type[serializers.Serializer[Any]]
SHAPES: dict[PartKind, tuple[Shape, Shape, Shape]] = {
    STRUT: (NewStrutInput, StrutChange, StrutAnswer),
    TYRE: (NewTyreInput, TyreChange, TyreAnswer),
}

EXAMPLES: dict[PartKind, dict[str, str]] = {
    STRUT: {"serial_number": "S-1001", "part_number": "P-20"},
    TYRE: {"serial_number": "T-1001", "size": "6.00-6", "new_tread": "0.3 in"},
}


class PartsView(OperatorView):
    """The operator's struts or tyres."""

    kind: PartKind
    input_shape: Shape
    needs = {"GET": READ, "POST": WORK}

    def get(self, request: Request) -> Response:
        """List the parts with their present places, by serial number."""
        rows = parts_matching(self.operator, self.kind, self.filters(PartFilters))
        return self.page(
            rows, lambda part: part_answer(self.kind, part, self.unit_system), order=("serial_number", "id")
        )

    @idempotent
    def post(self, request: Request) -> Response:
        """Add a part that is on no leg yet. The same id and values again: 200, nothing added."""
        values = internal_values(self.checked(self.input_shape))
        part_id = values.pop("id", None)
        part, new = add_part(actor=self.actor, now=self.now, kind=self.kind, values=values, part_id=part_id)
        return _answer(self, part.pk, 201 if new else 200)


class PartView(OperatorView):
    """One strut or tyre."""

    kind: PartKind
    change_shape: Shape
    needs = {"GET": READ, "PATCH": WORK}

    def get(self, request: Request, part_id: uuid.UUID) -> Response:
        """Return a part with its present place."""
        return _answer(self, part_id)

    def patch(self, request: Request, part_id: uuid.UUID) -> Response:
        """Put particulars right; where it is installed is changed by installations."""
        part = self.kind.part_of(self.operator, part_id)
        require_match(request, part.version)
        changes = internal_values(self.checked_part(self.change_shape))
        change_part(
            actor=self.actor, now=self.now, kind=self.kind, part_id=part_id, version=part.version, changes=changes
        )
        return _answer(self, part_id)


def _answer(view: PartsView | PartView, part_id: uuid.UUID, status: int = 200) -> Response:
    part = part_with_place(view.operator, view.kind, part_id)
    return view.answer(part_answer(view.kind, part, view.unit_system), status, version=part.version)


def part_patterns(kind: PartKind) -> list[URLPattern]:
    """Return the routes of one kind, each operation with its own stable id."""
    input_shape, change_shape, answer_shape = SHAPES[kind]
    document_list: Callable[[type[PartsView]], type[PartsView]] = extend_schema_view(
        get=extend_schema(
            operation_id=f"list_{kind.plural}",
            summary=f"The operator's {kind.plural}, and where they are",
            parameters=[PartFilters, *PAGE],
            responses=page_of(answer_shape),
        ),
        post=extend_schema(
            operation_id=f"add_{kind.noun}",
            summary=f"Add a {kind.noun}",
            request=input_shape,
            responses={201: answer_shape, 200: answer_shape},
            examples=[OpenApiExample("example", EXAMPLES[kind], request_only=True)],
        ),
    )
    document_one: Callable[[type[PartView]], type[PartView]] = extend_schema_view(
        get=extend_schema(operation_id=f"get_{kind.noun}", summary=f"One {kind.noun}", responses=answer_shape),
        patch=extend_schema(
            operation_id=f"change_{kind.noun}",
            summary=f"Put a {kind.noun}'s particulars right",
            request=change_shape(partial=True),
            responses=answer_shape,
            examples=[OpenApiExample("example", {"serial_number": "1001"}, request_only=True)],
        ),
    )
    name = kind.noun.capitalize()
    listing = document_list(type(f"{name}PartsView", (PartsView,), {"kind": kind, "input_shape": input_shape}))
    single = document_one(type(f"{name}PartView", (PartView,), {"kind": kind, "change_shape": change_shape}))
    return [
        path(kind.plural, listing.as_view()),
        path(f"{kind.plural}/<uuid:part_id>", single.as_view()),
    ]


urlpatterns = [pattern for kind in (STRUT, TYRE) for pattern in (*part_patterns(kind), *installation_patterns(kind))]
