"""Lifts the append-only guards while a transactional test empties its tables, and only then."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.db import connection
from django.test import TransactionTestCase


@contextmanager
def guards_lifted() -> Iterator[None]:
    """Take the triggers away and put exactly the same ones back."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT DISTINCT tgrelid::regclass::text FROM pg_trigger JOIN pg_proc ON pg_proc.oid = tgfoid"
                " WHERE proname = 'undercart_append_only'"
            )
            tables = [name for (name,) in cursor.fetchall()]
            lift = [f"ALTER TABLE {table} DISABLE TRIGGER USER" for table in tables]
            put_back = [f"ALTER TABLE {table} ENABLE TRIGGER USER" for table in tables]
        else:
            cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
            triggers = cursor.fetchall()
            lift = [f'DROP TRIGGER "{name}"' for name, _ in triggers]
            put_back = [sql for _, sql in triggers]
        for statement in lift:
            cursor.execute(statement)
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            for statement in put_back:
                cursor.execute(statement)


@pytest.fixture(autouse=True, scope="session")
def _lift_guards_around_flush() -> Iterator[None]:
    """Wrap the flush of transactional tests; Django offers no other place for it."""
    flush = TransactionTestCase._fixture_teardown  # type: ignore[attr-defined]  # private

    def flush_with_guards_lifted(test: Any) -> None:
        with guards_lifted():
            flush(test)

    patch = pytest.MonkeyPatch()
    patch.setattr(TransactionTestCase, "_fixture_teardown", flush_with_guards_lifted)
    yield
    patch.undo()
