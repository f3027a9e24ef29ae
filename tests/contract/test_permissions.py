"""Every route refuses whom it must: no token, too low a role, a token without the scope, another operator."""

from typing import Any

import pytest
from django.db import connection
from rest_framework.test import APIClient

from fleet.people.models import ROLE_ORDER, Scope
from tests.builders.fleet import an_operator
from tests.contract.club import furnish
from tests.contract.permission_table import permissions
from tests.contract.routes import Route, api_routes
from tests.servicing.callers import caller_of

pytestmark = pytest.mark.django_db
ROUTES = api_routes()
ANY_VERSION = {"If-Match": "*"}


def ask(client: APIClient, route: Route, rows: dict[str, Any] | None = None) -> Any:
    body = {} if route.method in ("POST", "PUT", "PATCH") else None
    return client.generic(
        route.method,
        route.url(rows or {}),
        "{}" if body is not None else "",
        content_type="application/json",
        headers=ANY_VERSION if route.method in ("PUT", "PATCH", "DELETE") else None,
    )


def test_the_table_names_every_route_and_no_other() -> None:
    assert {route.key for route in ROUTES} == set(permissions())


def test_without_a_token_every_route_is_401() -> None:
    answers = {route.key: ask(APIClient(), route) for route in ROUTES}
    assert {key: answer.status_code for key, answer in answers.items() if answer.status_code != 401} == {}
    assert all("WWW-Authenticate" in answer for answer in answers.values())
    assert {answer["Content-Type"] for answer in answers.values()} == {"application/problem+json"}


@pytest.mark.parametrize("role", [str(role) for role in ROLE_ORDER])
def test_each_role_may_do_what_the_table_says(role: str) -> None:
    client, table = caller_of(an_operator(), role), permissions()
    wrong = {}
    for route in ROUTES:
        lowest, _ = table[route.key]
        allowed = ROLE_ORDER.index(role) >= ROLE_ORDER.index(lowest)  # type: ignore[arg-type]  # its value
        answer = ask(client, route)
        refused = answer.status_code == 403 and answer.json()["code"] == "role_too_low"
        if refused == allowed or answer.status_code in (401, 500):
            wrong[route.key] = answer.status_code
    assert wrong == {}


def test_a_token_needs_the_scope_that_the_table_says() -> None:
    operator, table = an_operator(), permissions()
    without = {str(scope): caller_of(operator, scopes=[str(s) for s in Scope if s != scope]) for scope in Scope}
    only = {str(scope): caller_of(operator, scopes=[str(scope)]) for scope in Scope}
    wrong = {}
    for route in ROUTES:
        _, scope = table[route.key]
        missing, enough = ask(without[scope], route), ask(only[scope], route)
        if missing.status_code != 403 or missing.json()["code"] != "scope_missing" or enough.status_code == 403:
            wrong[route.key] = (missing.status_code, enough.status_code)
    assert wrong == {}


def rows_of(operator: Any) -> dict[str, list[Any]]:
    """Return everything that is stored of an operator, by table."""
    found = {}
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            columns = {column.name for column in connection.introspection.get_table_description(cursor, table)}
            if "operator_id" in columns:
                value = operator.pk.hex if connection.vendor == "sqlite" else operator.pk
                cursor.execute(f'SELECT * FROM "{table}" WHERE operator_id = %s ORDER BY id', [value])
                found[table] = [tuple(map(str, row)) for row in cursor.fetchall()]
    return found


def test_another_operators_rows_are_404_and_stay_as_they_are() -> None:
    operator, stranger = an_operator(), caller_of(an_operator())
    rows = furnish(operator)
    before = rows_of(operator)
    assert sum(map(bool, before.values())) > 15
    wrong = {}
    for route in ROUTES:
        if "<" not in route.address:
            continue
        answer = ask(stranger, route, rows)
        # A POST with an empty body may be refused for its shape before its row is looked for.
        expected = (404, 400, 422) if route.method == "POST" else (404,)
        if answer.status_code not in expected:
            wrong[route.key] = answer.status_code
    assert wrong == {}
    assert rows_of(operator) == before


def test_another_operators_rows_are_in_no_list() -> None:
    operator, stranger = an_operator(), caller_of(an_operator())
    ids = {str(value) for value in furnish(operator).values()}
    for route in ROUTES:
        if route.method == "GET" and "<" not in route.address:
            answer = ask(stranger, route)
            assert answer.status_code == 200, (route.key, answer.content)
            text = b"".join(answer.streaming_content) if answer.streaming else answer.content
            assert [value for value in ids if value in text.decode()] == [], route.key
