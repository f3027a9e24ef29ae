"""Callers of the API for endpoint tests and journeys."""

from typing import Any

from rest_framework.test import APIClient

from fleet.operators.models import Operator
from tests.builders.fleet import a_person, a_token


def caller_of(
    operator: Operator, role: str = "coordinator", scopes: list[str] | None = None, **person: Any
) -> APIClient:
    """Return a client that speaks for a new person of an operator."""
    _, secret = a_token(a_person(operator, role, **person), scopes)
    client = APIClient(raise_request_exception=False)
    client.credentials(HTTP_AUTHORIZATION=f"Bearer {secret}")
    return client
