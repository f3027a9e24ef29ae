"""Callers for endpoint tests."""

from collections.abc import Callable
from typing import Any

import pytest
from django.core.cache import cache
from rest_framework.test import APIClient

from fleet.operators.models import Operator
from tests.builders.fleet import a_person, a_token, an_operator


@pytest.fixture(autouse=True)
def _fresh_limits() -> None:
    cache.clear()


@pytest.fixture
def operator(db: Any) -> Operator:
    return an_operator()


@pytest.fixture
def client_of() -> Callable[..., APIClient]:
    """Return a client that speaks for a new person of an operator."""

    def client(operator: Operator, role: str = "coordinator", scopes: list[str] | None = None) -> APIClient:
        _, secret = a_token(a_person(operator, role), scopes)
        caller = APIClient(raise_request_exception=False)
        caller.credentials(HTTP_AUTHORIZATION=f"Bearer {secret}")
        return caller

    return client
