"""Rules that hold for the whole service."""

import importlib
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import call_command
from django.db import connection
from django.test import Client

from tests.contract.routes import patterns


@pytest.mark.django_db
def test_no_migration_is_missing() -> None:
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


def test_every_module_with_routes_is_served() -> None:
    served = {pattern.callback for _, pattern in patterns()}
    base = Path(settings.BASE_DIR)
    files = [path for package in ("fleet", "servicing", "calculations") for path in (base / package).rglob("*.py")]
    forgotten = []
    for path in files:
        if "urlpatterns =" in path.read_text():
            module = importlib.import_module(".".join(path.relative_to(base).with_suffix("").parts))
            forgotten += [
                f"{module.__name__}: {pattern.pattern}"
                for pattern in module.urlpatterns
                if pattern.callback not in served
            ]
    assert forgotten == []


@pytest.mark.django_db
def test_a_migrated_service_is_healthy_and_ready() -> None:
    client = Client()
    assert client.get("/healthz").json() == {"database": True}
    ready = client.get("/readyz")
    assert (ready.status_code, ready.json()) == (200, {"database": True, "migrations": True})


@pytest.mark.django_db
def test_a_service_that_lacks_a_migration_is_not_ready() -> None:
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM django_migrations WHERE app = 'fleet'")
    assert Client().get("/readyz").status_code == 503
    assert Client().get("/healthz").status_code == 200


@pytest.mark.django_db
def test_an_address_of_the_api_that_leads_nowhere_is_a_problem_document() -> None:
    answer = Client().get("/api/v1/nowhere")
    assert (answer.status_code, answer["Content-Type"]) == (404, "application/problem+json")
