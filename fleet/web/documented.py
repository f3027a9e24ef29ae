"""What an operation documents is what it takes: a slip of the finger is told, not dropped."""

from collections.abc import Mapping
from typing import Any

from drf_spectacular.utils import OpenApiParameter
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.views import APIView

from fleet.web.schema import UNITS


def refuse_undocumented(view: APIView, request: Request) -> None:
    """Refuse query parameters that the operation does not document, and a body where it documents none."""
    handler = getattr(view, str(request.method).lower(), None)
    # Where `extend_schema` keeps what it was told of a handler.
    documented = getattr(handler, "kwargs", {}).get("schema")
    if documented is None:
        return
    document = documented()
    document.view = view
    faults = _unknown(request.query_params, _parameters(document), "unknown_parameter", "parameter")
    if request.method == "POST" and document.get_request_serializer() is None and request.data:
        body = request.data if isinstance(request.data, Mapping) else {"non_field_errors": request.data}
        faults |= _unknown(body, set(), "unknown_field", "field")
    if faults:
        raise serializers.ValidationError(faults)


def _parameters(document: Any) -> set[str]:
    names = {UNITS.name}
    for parameter in document.get_override_parameters():
        if not isinstance(parameter, OpenApiParameter):
            names |= parameter().fields.keys()
        elif parameter.location == OpenApiParameter.QUERY:
            names.add(parameter.name)
    return names


def _unknown(
    given: Mapping[str, Any], known: set[str], code: str, noun: str
) -> dict[str, list[serializers.ErrorDetail]]:
    there_are = f"there are {', '.join(sorted(known))}" if known else "nothing is taken"
    message = f"There is no such {noun} here; {there_are}."
    return {str(name)[:80]: [serializers.ErrorDetail(message, code=code)] for name in given if name not in known}
