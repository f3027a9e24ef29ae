"""``manage.py create_operator``: the first step of a new installation."""

from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from rest_framework.test import APIClient

from fleet.operators.models import Operator
from fleet.people.models import Person, Token

pytestmark = pytest.mark.django_db


def create(name: str = "Example Gliding Club", email: str = "ada@club.example", **options: Any) -> str:
    out = StringIO()
    call_command("create_operator", name, coordinator=["Ada Example", email], stdout=out, **options)
    return out.getvalue()


def test_the_printed_token_opens_the_api_for_the_new_operator() -> None:
    printed = create(units="metric")
    secret = next(line.split()[1] for line in printed.splitlines() if line.startswith("token"))
    client = APIClient()
    client.credentials(HTTP_AUTHORIZATION=f"Bearer {secret}")
    caller = client.get("/api/v1/caller").json()
    assert (caller["operator_name"], caller["person"]["role"]) == ("Example Gliding Club", "coordinator")
    operator = Operator.objects.get()
    assert operator.unit_system == "metric"
    assert secret not in str(list(Token.objects.of(operator).values()))


def test_a_second_operator_of_the_same_name_is_refused_in_one_line() -> None:
    create()
    with pytest.raises(CommandError, match="exists already"):
        create(email="eve@club.example")
    assert Operator.objects.count() == 1


def test_what_is_no_mail_address_is_refused_and_leaves_nothing() -> None:
    with pytest.raises(CommandError, match="no mail address"):
        create(email="nobody")
    assert not Person.objects.across_operators().exists()


def test_before_the_database_is_prepared_one_line_says_so() -> None:
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM django_migrations WHERE app = 'fleet'")

    with pytest.raises(CommandError, match=r"manage\.py migrate"):
        create()

    assert not Operator.objects.exists()
