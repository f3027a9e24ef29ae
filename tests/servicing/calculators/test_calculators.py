"""What holds for every calculator."""

import json
import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.core.cache import cache
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


def _with_each_number(body: Any, number: float) -> Iterator[Any]:
    """Yield the body with one of its numbers after the other in place of what it was."""
    if isinstance(body, dict):
        for name, value in body.items():
            yield from ({**body, name: changed} for changed in _with_each_number(value, number))
    elif isinstance(body, list):
        for index, value in enumerate(body):
            for changed in _with_each_number(value, number):
                yield [*body[:index], changed, *body[index + 1 :]]
    elif isinstance(body, str) and (found := re.fullmatch(r"-?[\d ./]*\d (\D.*)", body)):
        yield {"value": number, "unit": found[1]}
    elif isinstance(body, float | int) and not isinstance(body, bool):
        yield number


@pytest.mark.parametrize("calculator", CALCULATORS, ids=PATHS)
def test_no_number_breaks_it(client: APIClient, calculator: Any) -> None:
    wrong = {}
    for number in (0, -1, 1e-300, 1e9, -1e300, 1.7e308):
        for body in _with_each_number(dict(calculator.example), number):
            cache.clear()
            answer = client.post(f"/api/v1/calculations/{calculator.path}", body, format="json")
            if answer.status_code not in (200, 400, 422):
                wrong[str(body)] = answer.status_code
            elif answer.status_code == 200:
                json.loads(answer.content, parse_constant=_refuse)
    assert wrong == {}


def _refuse(word: str) -> None:
    raise AssertionError(f"{word} is no JSON")
