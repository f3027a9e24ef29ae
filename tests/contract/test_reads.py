"""What holds of every read: an answer, a tag that is taken back, and queries that rows do not make more."""

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from rest_framework.test import APIClient

from tests.builders.fleet import an_operator
from tests.contract.club import furnish
from tests.contract.query_counts import query_counts
from tests.contract.routes import api_routes
from tests.servicing.callers import caller_of

pytestmark = pytest.mark.django_db
READS = [route for route in api_routes() if route.method == "GET"]


def content(answer: Any) -> bytes:
    return b"".join(answer.streaming_content) if answer.streaming else answer.content


def test_every_read_answers_and_says_304_while_nothing_changed() -> None:
    operator = an_operator()
    rows, client = furnish(operator), caller_of(operator)
    wrong = {}
    for route in READS:
        url = route.url(rows)
        first = client.get(url)
        content(first)
        if first.streaming and first.status_code == 200:
            continue  # an export's tag would need the whole of it first
        again = client.get(url, headers={"If-None-Match": first.get("ETag", "")})
        if (first.status_code, again.status_code) != (200, 304):
            wrong[route.key] = (first.status_code, again.status_code, first.get("ETag"))
    assert wrong == {}


def count_queries(client: APIClient, url: str) -> int:
    with CaptureQueriesContext(connection) as queries:
        content(client.get(url))
    return len(queries)


def test_the_number_of_queries_is_as_committed_and_does_not_grow_with_the_rows() -> None:
    operator = an_operator()
    rows, client = furnish(operator), caller_of(operator)
    client.get("/api/v1/caller")  # the token's use is noted once a minute, and not below
    counted = [route for route in READS if not route.address.startswith("exports/")]
    few = {route.key: count_queries(client, route.url(rows)) for route in counted}
    for _ in range(3):
        furnish(operator)
    many = {route.key: count_queries(client, route.url(rows)) for route in counted}
    assert {key: (few[key], many[key]) for key in few if many[key] != few[key]} == {}
    expected = query_counts()
    assert set(few) == set(expected)
    # On PostgreSQL what goes by COPY is not counted.
    copied = 1 if connection.vendor == "postgresql" else 0
    wrong = {key: (few[key], expected[key]) for key in few if not expected[key] - copied <= few[key] <= expected[key]}
    assert wrong == {}
