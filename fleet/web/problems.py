"""Every refusal as an RFC 9457 problem document, with all faulty fields at once."""

import json
import logging
from collections.abc import Iterable, Iterator, Mapping
from http import HTTPStatus
from typing import Any

from django.conf import settings
from django.core.exceptions import BadRequest, PermissionDenied, RequestDataTooBig, SuspiciousOperation
from django.db import IntegrityError, OperationalError
from django.http import Http404, HttpRequest, HttpResponse
from django.views import defaults
from rest_framework import exceptions

from calculations.errors import CalculationError
from fleet.people.actor import ForbiddenError
from fleet.refusals import FieldFault, Refused

MEDIA_TYPE = "application/problem+json"
logger = logging.getLogger("undercart.web")


def problem(
    status: int,
    code: str,
    detail: str,
    faults: Iterable[FieldFault] = (),
    headers: Mapping[str, str] | None = None,
) -> HttpResponse:
    """Return one problem document as an answer."""
    document = {
        "type": f"{settings.PUBLIC_URL}/problems/{code}",
        "title": HTTPStatus(status).phrase,
        "status": status,
        "detail": detail,
        "code": code,
        "errors": [{"field": fault.field, "code": fault.code, "message": fault.message} for fault in faults],
    }
    answer = HttpResponse(json.dumps(document), status=status, content_type=MEDIA_TYPE)
    for name, value in (headers or {}).items():
        answer[name] = value
    return answer


def flat_faults(detail: Any, path: str = "") -> Iterator[FieldFault]:
    """Yield every fault of a nested validation error with its dotted path."""
    if isinstance(detail, Mapping):
        for name, inner in detail.items():
            own = path if name == "non_field_errors" else f"{path}.{name}".lstrip(".")
            yield from flat_faults(inner, own)
    elif isinstance(detail, list):
        for index, inner in enumerate(detail):
            nested = isinstance(inner, Mapping | list)
            yield from flat_faults(inner, f"{path}.{index}".lstrip(".") if nested else path)
    else:
        yield FieldFault(path, getattr(detail, "code", "invalid"), str(detail))


def answer_exception(error: Exception, context: Mapping[str, Any]) -> HttpResponse | None:
    """Turn what a view raised into a problem document; None leaves a fault of ours to the 500 handler."""
    if isinstance(error, Refused):
        headers = getattr(error, "headers", None)
        return problem(error.status, error.code, error.message, error.faults, headers)
    if isinstance(error, CalculationError):
        faults = [FieldFault(fault.field, fault.code, fault.message) for fault in error.faults]
        return problem(422, "not_computable", "Physics or the type sheet refuses these figures.", faults)
    if isinstance(error, ForbiddenError):
        return problem(403, error.code, str(error))
    if isinstance(error, exceptions.APIException):
        return _answer_framework_error(error)
    return _answer_django_error(error)


def _answer_framework_error(error: exceptions.APIException) -> HttpResponse:
    if isinstance(error, exceptions.ValidationError):
        faults = list(flat_faults(error.detail))
        return problem(400, "invalid_input", "The request is not as documented; see errors.", faults)
    headers = {}
    if challenge := getattr(error, "auth_header", None):
        headers["WWW-Authenticate"] = challenge
    if wait := getattr(error, "wait", None):
        headers["Retry-After"] = str(int(wait) + 1)
    code = error.get_codes()
    return problem(error.status_code, code if isinstance(code, str) else "refused", str(error.detail), (), headers)


def _answer_django_error(error: Exception) -> HttpResponse | None:
    if isinstance(error, Http404):
        return problem(404, "not_found", "No such thing here.")
    if isinstance(error, PermissionDenied):
        return problem(403, "permission_denied", "This is not allowed.")
    if isinstance(error, RequestDataTooBig):
        return problem(413, "body_too_large", "The request's body is larger than this service takes.")
    if isinstance(error, BadRequest | SuspiciousOperation):
        return problem(400, "bad_request", "The request cannot be understood.")
    if isinstance(error, IntegrityError):
        # A constraint caught what two simultaneous requests slipped past the action's own check.
        logger.warning("constraint refused a change", exc_info=error)
        return problem(409, "clash", "The change contradicts what is already there; read again and retry.")
    if isinstance(error, OperationalError):
        logger.error("database not available", exc_info=error)
        return problem(503, "database_busy", "The store is busy; try again.", (), {"Retry-After": "2"})
    return None


def answer_not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer an address that leads nowhere."""
    if request.path.startswith("/api/"):
        return problem(404, "not_found", "No such thing here.")
    return defaults.page_not_found(request, exception)


def answer_bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer a request that Django refused before any view."""
    if request.path.startswith("/api/"):
        return _answer_django_error(exception) or problem(400, "bad_request", "The request cannot be understood.")
    return defaults.bad_request(request, exception)


def answer_server_error(request: HttpRequest) -> HttpResponse:
    """Answer a fault of ours, saying nothing of its inside."""
    if request.path.startswith("/api/"):
        return problem(500, "internal_error", "The service failed; the fault has been logged.")
    return defaults.server_error(request)
