"""What holds for every calculator."""

from typing import Any

import pytest
from rest_framework.test import APIClient

from servicing.calculators.api import CALCULATORS

pytestmark = pytest.mark.django_db
PATHS = [calculator.path for calculator in CALCULATORS]


@pytest.mark.parametrize("calculator", CALCULATORS, ids=PATHS)
@pytest.mark.parametrize("units", ["us", "metric"])
def test_its_example_is_answered_in_both_unit_systems(client: APIClient, calculator: Any, units: str) -> None:
    answer = client.post(f"/api/v1/calculations/{calculator.path}?units={units}", calculator.example, format="json")
    assert answer.status_code == 200, answer.content
    body = answer.json()
    assert body["basis"]["sources"]
    assert body["assumptions"]
    assert any("manual" in caution for caution in body["cautions"])
    foreign = {"us": ("mm", "kPa", "degC", "N", "mL"), "metric": ("in", "psi", "degF", "lbf", "in3")}[units]
    assert [unit for unit in _units(body) if unit in foreign] == []


def _units(body: Any) -> list[str]:
    if isinstance(body, dict):
        own = [body["unit"]] if "unit" in body and "value" in body else []
        return own + [unit for inner in body.values() for unit in _units(inner)]
    return [unit for inner in body for unit in _units(inner)] if isinstance(body, list) else []


@pytest.mark.parametrize("path", PATHS)
def test_a_stranger_is_401(path: str) -> None:
    answer = APIClient().post(f"/api/v1/calculations/{path}", {}, format="json")
    assert answer.status_code == 401
    assert answer["Content-Type"] == "application/problem+json"
