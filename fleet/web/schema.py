"""What every operation of an `OperatorView` says about itself in the OpenAPI document."""

from functools import cache
from typing import Any

from drf_spectacular.extensions import OpenApiAuthenticationExtension, OpenApiSerializerFieldExtension
from drf_spectacular.openapi import AutoSchema
from drf_spectacular.utils import Direction, OpenApiParameter
from rest_framework import serializers

from calculations.unit_text import LONGEST_TEXT
from calculations.units import Quantity, units_of
from fleet.operators.models import UnitSystem

IDEMPOTENCY_KEY = OpenApiParameter(
    "Idempotency-Key",
    {"type": "string", "minLength": 1, "maxLength": 255, "pattern": "^[!-~]+$"},
    OpenApiParameter.HEADER,
    description="A key of your choice, such as a UUID. Sent again within 24 hours with the same body, the request "
    "acts once and gets the first answer again.",
)
IF_MATCH = OpenApiParameter(
    "If-Match",
    str,
    OpenApiParameter.HEADER,
    required=True,
    description="The ETag of the state that you change.",
)
IF_NONE_MATCH = OpenApiParameter(
    "If-None-Match", str, OpenApiParameter.HEADER, description="The ETag that you have; answered 304 while it holds."
)
UNITS = OpenApiParameter(
    "units",
    str,
    OpenApiParameter.QUERY,
    enum=UnitSystem.values,
    description="The unit system of the answer; without it the operator's.",
)
PAGE = [
    OpenApiParameter(
        "limit",
        {"type": "integer", "minimum": 1, "maximum": 500, "default": 50},
        OpenApiParameter.QUERY,
        description="Rows per page.",
    ),
    OpenApiParameter(
        "after",
        str,
        OpenApiParameter.QUERY,
        description="Where the page starts; taken from `next` or the Link header.",
    ),
]


class OperatorSchema(AutoSchema):
    """Adds the parameters that the plumbing reads, so that no endpoint has to repeat them."""

    def get_override_parameters(self) -> list[Any]:
        """Return the header and query parameters of this operation."""
        handler = getattr(self.view, self.method.lower(), None)
        parameters: list[Any] = [UNITS]
        if getattr(handler, "takes_idempotency_key", False):
            parameters.append(IDEMPOTENCY_KEY)
        if self.method in ("PUT", "PATCH", "DELETE"):
            parameters.append(IF_MATCH)
        if self.method == "GET":
            parameters.append(IF_NONE_MATCH)
        return parameters

    def get_description(self) -> str:  # type: ignore[override]  # as drf-spectacular declares it
        """Return the handler's own text only: the view's class says nothing of one operation."""
        handler = getattr(self.view, self.method.lower(), None)
        return (getattr(handler, "__doc__", None) or "").strip()


class BearerTokenSecurity(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]  # untyped there
    """Names the security scheme; its definition is in the service's settings."""

    target_class = "fleet.web.authentication.BearerToken"
    name = "bearerToken"

    def get_security_definition(self, auto_schema: AutoSchema) -> dict[str, Any]:
        """Return the scheme."""
        return {"type": "http", "scheme": "bearer", "bearerFormat": "opaque"}


class QuantityFieldSchema(OpenApiSerializerFieldExtension):  # type: ignore[no-untyped-call]  # untyped there
    """Shows what a quantity may look like on the way in, and how it looks on the way out."""

    target_class = "fleet.web.quantities.QuantityField"
    direction: Direction = "response"

    def get_name(self) -> str:
        """Return the component that all quantities of this kind share."""
        if self.direction == "response":
            return "Quantity"
        return "".join(word.capitalize() for word in self.target.kind.split("_")) + "Input"

    def map_serializer_field(self, auto_schema: AutoSchema, direction: Direction) -> dict[str, Any]:
        """Return the shape of a quantity."""
        self.direction = direction
        as_object = {
            "type": "object",
            "properties": {
                "value": {"type": "number", "format": "double"},
                "unit": {"type": "string"},
                "reference": {
                    "enum": ["gauge", "absolute", "difference"],
                    "type": "string",
                    "description": "Of a pressure.",
                },
            },
            "required": ["value", "unit"],
        }
        if direction == "response":
            return as_object
        accepted = ", ".join(f"`{unit.symbol}` (UCUM `{unit.ucum}`)" for unit in units_of(Quantity(self.target.kind)))
        return {
            "oneOf": [
                {**as_object, "additionalProperties": False},
                {"type": "string", "minLength": 1, "maxLength": LONGEST_TEXT},
            ],
            "description": f"A {self.target.kind.replace('_', ' ')} with its unit, as an object or as a text "
            f"such as `4 1/2 in`. Units: {accepted}.",
        }


@cache
def page_of(item: type[serializers.BaseSerializer[Any]]) -> type[serializers.Serializer[Any]]:
    """Return the shape of a page of ``item``, for `extend_schema`."""
    name = f"{item.__name__.removesuffix('Serializer')}Page"
    fields = {
        "items": item(many=True),
        "next": serializers.URLField(
            allow_null=True, help_text="The address of the rows that follow; null on the last page."
        ),
    }
    return type(name, (serializers.Serializer,), fields)
