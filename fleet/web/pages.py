"""Keyset pages: each continues after the last row of the one before, whatever arrives meanwhile."""

from __future__ import annotations

import base64
import binascii
import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from django.core.exceptions import FieldDoesNotExist, ValidationError
from django.db.models import Field, Model, Q, QuerySet
from rest_framework.request import Request
from rest_framework.utils.urls import replace_query_param

from fleet.refusals import FieldFault, Refused

DEFAULT_LIMIT = 50
LARGEST_LIMIT = 500


class BadPage(Refused):
    """The page asked for does not exist."""

    status = 400
    code = "invalid_input"


@dataclass(frozen=True, slots=True)
class Page:
    """Some rows, and the address of those that follow."""

    rows: list[Any]
    next_url: str | None

    def link_header(self) -> str | None:
        """Return the Link header field, RFC 8288."""
        return f'<{self.next_url}>; rel="next"' if self.next_url else None


def fetch_page(request: Request, queryset: QuerySet[Any, Any], order: Sequence[str]) -> Page:
    """Return the page that ``?after=`` and ``?limit=`` name.

    The last name in ``order`` must be unique (``id``), and no ordering column may be null.
    """
    limit = _limit(request.query_params.get("limit"))
    ordered = queryset.order_by(*order)
    if cursor := request.query_params.get("after"):
        ordered = ordered.filter(_beyond(order, _read_cursor(cursor, queryset.model, order)))
    rows = list(ordered[: limit + 1])
    if len(rows) <= limit:
        return Page(rows, None)
    rows = rows[:limit]
    cursor = write_cursor([_value(rows[-1], name.lstrip("-")) for name in order])
    return Page(rows, replace_query_param(request.build_absolute_uri(), "after", cursor))


def write_cursor(values: Sequence[Any]) -> str:
    """Return the place after a row with ``values`` in the ordering columns."""
    text = json.dumps([value if isinstance(value, int | float) else str(value) for value in values])
    return base64.urlsafe_b64encode(text.encode()).decode().rstrip("=")


def _limit(text: str | None) -> int:
    if text is None:
        return DEFAULT_LIMIT
    if not text.isascii() or not text.isdigit() or not 1 <= int(text[:9]) <= LARGEST_LIMIT:
        message = f"a whole number from 1 to {LARGEST_LIMIT}, not {text[:40]!r}"
        raise BadPage(message, faults=[FieldFault("limit", "invalid", message)])
    return int(text)


def _read_cursor(cursor: str, model: type[Model], order: Sequence[str]) -> list[Any]:
    try:
        values = json.loads(base64.urlsafe_b64decode(cursor + "=" * (-len(cursor) % 4)))
        if not isinstance(values, list) or len(values) != len(order):
            raise ValueError("another order")
        fields = [_field(model, name.lstrip("-")) for name in order]
        return [_storable(field.to_python(value)) for field, value in zip(fields, values, strict=True)]
    except (ValueError, TypeError, OverflowError, binascii.Error, ValidationError, FieldDoesNotExist) as error:
        message = "take the address of the next page from the answer; do not make it up"
        raise BadPage(message, faults=[FieldFault("after", "invalid", message)]) from error


def _storable(value: Any) -> Any:
    """Return ``value``; refuse what the database would choke on."""
    if value is None or (isinstance(value, str) and "\0" in value):
        raise ValueError("cannot stand in an ordering column")
    return value.astimezone(UTC) if isinstance(value, datetime) else value


def _field(model: type[Model], path: str) -> Field[Any, Any]:
    name, _, rest = path.partition("__")
    field = model._meta.get_field(name)
    if rest and field.related_model:
        return _field(field.related_model, rest)
    return field  # type: ignore[return-value]  # only columns are ordered by


def _value(row: Any, path: str) -> Any:
    if isinstance(row, dict):
        return row[path]
    for name in path.split("__"):
        row = getattr(row, name)
    return row


def _beyond(order: Sequence[str], values: Sequence[Any]) -> Q:
    first, first_value = order[0], values[0]
    # Redundant, but lets the index of the first column be entered at the right place.
    beyond = Q(**{f"{first.lstrip('-')}__{'lte' if first.startswith('-') else 'gte'}": first_value})
    alternatives = Q()
    equal = Q()
    for name, value in zip(order, values, strict=True):
        column = name.lstrip("-")
        alternatives |= equal & Q(**{f"{column}__{'lt' if name.startswith('-') else 'gt'}": value})
        equal &= Q(**{column: value})
    return beyond & alternatives
