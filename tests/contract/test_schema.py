"""The OpenAPI document: as committed, complete, and the same as what the service does."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from django.conf import settings
from django.core.management import call_command
from jsonschema import Draft202012Validator
from rest_framework.test import APIClient

from deploy.examples import BODIES
from tests.contract.routes import api_routes

COMMITTED = Path(settings.BASE_DIR, "deploy", "openapi.yaml")
DOCUMENT: dict[str, Any] = yaml.safe_load(COMMITTED.read_text())
METHODS = ("get", "post", "put", "patch", "delete")
OPERATIONS = {
    f"{method.upper()} {path}": operation
    for path, item in DOCUMENT["paths"].items()
    for method, operation in item.items()
    if method in METHODS
}


def test_the_committed_document_is_the_generated_one(tmp_path: Path) -> None:
    generated = tmp_path / "openapi.yaml"
    call_command("spectacular", file=str(generated), validate=True, fail_on_warn=True)
    assert COMMITTED.read_text() == generated.read_text(), (
        "run: python manage.py spectacular --file deploy/openapi.yaml --validate --fail-on-warn"
    )


def test_it_is_openapi_3_1_and_names_every_route() -> None:
    assert DOCUMENT["openapi"].startswith("3.1")
    assert len(OPERATIONS) == len(api_routes())


def test_every_operation_has_a_summary_and_an_id_of_its_own() -> None:
    assert [key for key, operation in OPERATIONS.items() if not operation.get("summary")] == []
    names = [operation["operationId"] for operation in OPERATIONS.values()]
    assert len(set(names)) == len(names)


def test_every_operation_says_how_it_may_be_refused() -> None:
    for key, operation in OPERATIONS.items():
        expected = {"400", "401", "403", "429"} | ({"404"} if "{" in key else set())
        if key.startswith(("PUT", "PATCH", "DELETE")):
            expected |= {"412", "428"}
        assert expected <= set(operation["responses"]), key


def test_every_operation_needs_a_token() -> None:
    assert [key for key, operation in OPERATIONS.items() if operation["security"] != [{"bearerToken": []}]] == []


def test_every_body_comes_with_an_example() -> None:
    without = []
    for key, operation in OPERATIONS.items():
        for kind, body in operation.get("requestBody", {}).get("content", {}).items():
            if kind == "application/json" and not body.get("examples"):
                without.append(key)
    assert without == []


def request_examples() -> Iterator[tuple[str, Any, Any]]:
    for key, operation in OPERATIONS.items():
        body = operation.get("requestBody", {}).get("content", {}).get("application/json", {})
        for name, example in body.get("examples", {}).items():
            yield f"{key} {name}", body["schema"], example["value"]


def test_every_example_is_what_its_schema_allows() -> None:
    faults = {}
    for name, schema, value in request_examples():
        validator = Draft202012Validator({**schema, "components": DOCUMENT["components"]})
        if found := [f"{list(error.path)}: {error.message}" for error in validator.iter_errors(value)]:
            faults[name] = found
    assert faults == {}


def test_no_example_is_kept_for_an_operation_that_is_gone() -> None:
    assert set(BODIES) <= {operation["operationId"] for operation in OPERATIONS.values()}


@pytest.mark.django_db
def test_the_document_and_the_interactive_page_are_open_and_need_no_other_host() -> None:
    client = APIClient()
    answer = client.get("/api/v1/openapi.yaml")
    assert (answer.status_code, answer.content) == (200, COMMITTED.read_bytes())
    again = client.get("/api/v1/openapi.yaml", headers={"If-None-Match": answer["ETag"]})
    assert again.status_code == 304
    page = client.get("/api/v1/docs/")
    assert page.status_code == 200
    html = page.content.decode()
    assert "swagger-ui-bundle.js" in html
    assert "//cdn" not in html
    assert "https://" not in html


@pytest.mark.django_db
def test_the_type_of_a_problem_leads_to_the_documentation() -> None:
    client = APIClient()
    kind = client.get("/api/v1/people").json()["type"].removeprefix(settings.PUBLIC_URL)
    assert client.get(kind)["Location"] == "/api/v1/docs/"
