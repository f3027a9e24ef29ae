"""What the database does beside this thread is done on other connections, or here where others would not do."""

from functools import partial

import pytest
from django.db import connection

from fleet.beside import beside
from fleet.operators.models import Operator
from tests.builders.fleet import an_operator

on_postgresql = pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite is asked by this thread alone")


def backend() -> int:
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_backend_pid()")
        return int(cursor.fetchone()[0])


@pytest.mark.django_db
@pytest.mark.parametrize("connections", [0, 2])
def test_in_a_transaction_its_own_rows_are_seen(connections: int) -> None:
    an_operator()

    with beside([Operator.objects.count, partial(str, "second")], connections) as done:
        assert done() == [1, "second"]


@on_postgresql
@pytest.mark.django_db(transaction=True)
def test_works_are_done_on_connections_of_their_own_in_the_order_given() -> None:
    with beside([backend, backend, partial(int, "7")], 2) as done:
        own = backend()
        first, second, third = done()

    assert own not in (first, second)
    assert third == 7


@on_postgresql
@pytest.mark.django_db(transaction=True)
def test_connections_are_given_back_and_faults_are_told() -> None:
    for _ in range(30):  # more often than the pool is large
        with (
            pytest.raises(ValueError, match="invalid literal"),
            beside([partial(int, "x"), backend], 2) as done,
        ):
            done()
