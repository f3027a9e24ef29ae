"""Requests made up from the OpenAPI document: whatever comes, no answer is a fault of ours or undocumented."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
import schemathesis
from django.conf import settings as django_settings
from django.core.cache import cache
from django.core.signals import request_finished, request_started
from django.db import close_old_connections
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from deploy.wsgi import application
from tests.builders.fleet import a_person, a_token, an_operator
from tests.contract.club import furnish

CHECKS = [not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance]
EXAMPLES = 6


@pytest.fixture
def _connection_stays_open() -> Iterator[None]:
    """Keep the test's transaction: a real server's end of a request would close its connection."""
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


@pytest.mark.slow
@pytest.mark.usefixtures("_connection_stays_open")
@pytest.mark.django_db
def test_nothing_that_the_document_allows_or_forbids_breaks_the_service() -> None:
    operator = an_operator()
    rows = furnish(operator)
    _, secret = a_token(a_person(operator))
    document = schemathesis.openapi.from_path(f"{django_settings.BASE_DIR}/deploy/openapi.yaml")
    document.app = application
    faults = {}
    for found in document.get_all_operations():
        operation = found.ok()
        if fault := try_out(operation, rows, secret):
            faults[operation.label] = fault
    assert faults == {}


def try_out(operation: Any, rows: dict[str, Any], secret: str) -> str:
    """Send made-up requests for rows that exist; return what was wrong, if anything."""
    words = {name: word for word, name in re.findall(r"([\w-]+)/\{(\w+)\}", operation.path)}

    @given(case=operation.as_strategy())
    @settings(
        max_examples=EXAMPLES,
        deadline=None,
        derandomize=True,
        database=None,
        phases=[Phase.explicit, Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    def ask(case: Any) -> None:
        cache.clear()
        case.path_parameters.update({name: str(rows[word]) for name, word in words.items()})
        case.headers["Authorization"] = f"Bearer {secret}"
        case.call_and_validate(checks=CHECKS)

    try:
        ask()
    except (Exception, BaseExceptionGroup) as error:  # every operation is tried before any is reported
        return "; ".join(map(str, getattr(error, "exceptions", [error])))[:700]
    return ""
