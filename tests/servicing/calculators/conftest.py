"""A caller of the calculators, and what it is answered."""

from collections.abc import Callable
from typing import Any

import pytest
from rest_framework.test import APIClient

from fleet.operators.models import Operator
from tests.builders.fleet import an_operator
from tests.servicing.callers import caller_of


@pytest.fixture
def operator(db: Any) -> Operator:
    return an_operator()


@pytest.fixture
def client(operator: Operator) -> APIClient:
    return caller_of(operator, "reader")


@pytest.fixture
def ask(client: APIClient) -> Callable[..., Any]:
    """Return a calculator's answer, or refuse to go on."""

    def ask_calculator(path: str, body: Any, units: str = "us") -> Any:
        answer = client.post(f"/api/v1/calculations/{path}?units={units}", body, format="json")
        assert answer.status_code == 200, answer.content
        return answer.json()

    return ask_calculator


@pytest.fixture
def refused(client: APIClient) -> Callable[..., set[tuple[str, str]]]:
    """Return field and code of every fault that a calculator finds."""

    def faults_of(path: str, body: Any, status: int = 422) -> set[tuple[str, str]]:
        answer = client.post(f"/api/v1/calculations/{path}", body, format="json")
        assert answer.status_code == status, answer.content
        assert answer["Content-Type"] == "application/problem+json"
        return {(error["field"], error["code"]) for error in answer.json()["errors"]}

    return faults_of
