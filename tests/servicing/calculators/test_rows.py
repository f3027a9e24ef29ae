"""A fault in one row of a list names the row, wherever the calculation finds it."""

from typing import Any

import pytest
from rest_framework.test import APIClient

from servicing.calculators.api import CALCULATORS

EXAMPLES = {calculator.path: calculator.example for calculator in CALCULATORS}


def faults_of(client: APIClient, path: str, rows: str, changes: dict[int, Any], **values: Any) -> dict[str, str]:
    """Return messages by field of an example some of whose rows were changed."""
    changed = list(EXAMPLES[path][rows])
    for number, change in changes.items():
        changed[number] = {**changed[number], **change} if isinstance(change, dict) else change
    answer = client.post(f"/api/v1/calculations/{path}", {**EXAMPLES[path], rows: changed, **values}, format="json")
    assert answer.status_code == 422, answer.content
    return {fault["field"]: fault["message"] for fault in answer.json()["errors"]}


def test_every_faulty_reading_is_named_with_its_own_value_and_unit(client: APIClient) -> None:
    faults = faults_of(
        client, "strut/history", "readings", {1: {"load": "-5 lbf"}, 3: {"load": "-6 lbf", "temperature": "200 degF"}}
    )

    assert faults == {
        "readings.1.load": "must be above 0, is -5 [lbf]",
        "readings.3.load": "must be above 0, is -6 [lbf]",
        "readings.3.temperature": "must be from -63.7 to 170.3 degF (220 to 350 K) [degF]",
    }


@pytest.mark.parametrize("change", [{"extension": "90 in"}, {"load": "90000 lbf"}])
def test_a_reading_that_its_strut_cannot_have_is_named(client: APIClient, change: dict[str, str]) -> None:
    assert list(faults_of(client, "strut/history", "readings", {2: change})) == [f"readings.2.{next(iter(change))}"]


def test_a_load_beyond_the_sheets_pressure_is_named(client: APIClient) -> None:
    strut = {**EXAMPLES["strut/history"]["strut"], "maximum_pressure": "400 psi"}

    readings = faults_of(client, "strut/history", "readings", {4: {"load": "2000 lbf"}}, strut=strut)
    loads = faults_of(client, "strut/servicing-table", "loads", {1: "2000 lbf"}, strut=strut)

    assert (list(readings), list(loads)) == (["readings.4.load"], ["loads.1"])


@pytest.mark.parametrize(
    ("path", "rows", "change", "field"),
    [
        ("tyres/tread", "readings", {"depth": "-1 in"}, "readings.1.depth"),
        ("dosing/next-dose", "doses", {"units": -1}, "doses.1.units"),
        ("trend/survival", "durations", -1, "durations.1"),
        ("strut/servicing-table", "temperatures", "500 degC", "temperatures.1"),
    ],
)
def test_a_faulty_row_is_named(client: APIClient, path: str, rows: str, change: Any, field: str) -> None:
    assert list(faults_of(client, path, rows, {1: change})) == [field]


@pytest.mark.parametrize(
    ("path", "rows", "value"),
    [
        ("strut/history", "readings", EXAMPLES["strut/history"]["readings"][:2]),
        ("trend/least-squares", "regressors", [[1, 1], [2, 1], [3, 1], [4, 1], [5, 1]]),
        ("trend/least-squares", "regressors", [[1, 2], [2, 4], [3, 6], [4, 8], [5, 10]]),
    ],
)
def test_what_is_wrong_with_a_list_as_a_whole_is_told_of_the_list(
    client: APIClient, path: str, rows: str, value: Any
) -> None:
    answer = client.post(f"/api/v1/calculations/{path}", {**EXAMPLES[path], rows: value}, format="json")

    assert [fault["field"] for fault in answer.json()["errors"]] == [rows]
