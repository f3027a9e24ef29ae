"""What an operation does not document it refuses, whoever asks: a mistyped filter must not list everything."""

from typing import Any

import pytest
import yaml
from django.conf import settings

from tests.builders.fleet import an_operator
from tests.contract.club import furnish
from tests.contract.routes import PREFIX, Route, api_routes
from tests.servicing.callers import caller_of

pytestmark = pytest.mark.django_db
ROUTES = api_routes()


def ask(client: Any, route: Route, rows: dict[str, Any], query: str, body: str = "{}") -> Any:
    return client.generic(
        route.method, f"{route.url(rows)}?{query}", body, content_type="application/json", headers={"If-Match": "*"}
    )


def test_every_route_refuses_parameters_that_it_does_not_document_and_says_which_there_are() -> None:
    operator = an_operator()
    rows, client = furnish(operator), caller_of(operator)
    wrong = {}
    for route in ROUTES:
        answer = ask(client, route, rows, "limt=5&ariraft=QT-ABC")
        told = (
            {fault["field"]: fault for fault in answer.json().get("errors", [])} if answer.status_code == 400 else {}
        )
        if set(told) != {"limt", "ariraft"} or "units" not in told["limt"]["message"]:
            wrong[route.key] = (answer.status_code, told)
    assert wrong == {}


def test_every_documented_parameter_is_known() -> None:
    operator = an_operator()
    rows, client = furnish(operator), caller_of(operator)
    with open(f"{settings.BASE_DIR}/deploy/openapi.yaml") as file:
        paths = yaml.load(file, yaml.CSafeLoader)["paths"]
    tried, unknown = 0, {}
    for route in ROUTES:
        operation = paths["/" + PREFIX + _as_template(route.address)][route.method.lower()]
        names = [parameter["name"] for parameter in operation["parameters"] if parameter["in"] == "query"]
        answer = ask(client, route, rows, "&".join(f"{name}=~" for name in names))
        tried += len(names)
        if "unknown_parameter" in str(getattr(answer, "content", "")):
            unknown[route.key] = answer.json()["errors"]
    assert unknown == {}
    assert tried > len(ROUTES)


@pytest.mark.parametrize("body", ['{"note": "seen"}', '["seen"]', '"seen"'])
def test_an_operation_without_a_body_refuses_one(body: str) -> None:
    operator = an_operator()
    rows, client = furnish(operator), caller_of(operator)
    for word, deed in (
        ("alerts", "acknowledgement"),
        ("top-ups", "pause"),
        ("outbox", "retry"),
        ("tokens", "revocation"),
    ):
        address = f"/{PREFIX}{word}/{rows[word]}/{deed}"
        answer = client.generic("POST", address, body, content_type="application/json", headers={"If-Match": "*"})
        told = [(fault["field"], fault["code"]) for fault in answer.json()["errors"]]
        assert (address, answer.status_code, told) == (
            address,
            400,
            [(body[2:6] if "note" in body else "", "unknown_field")],
        )


def _as_template(address: str) -> str:
    return address.replace("<uuid:", "{").replace("<str:", "{").replace(">", "}")
