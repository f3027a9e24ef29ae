"""What is written to an append-only table stays, whoever asks."""

import sqlite3
from typing import Any

import pytest
from django.apps import apps
from django.db import IntegrityError, connection, migrations, transaction
from django.db.migrations.loader import MigrationLoader
from django.db.models import ProtectedError

from fleet.append_only import guard, guard_names, guard_statements
from fleet.audit.actions import record_change
from fleet.audit.models import AuditEntry
from tests.builders.fleet import NOW, an_actor, an_operator

pytestmark = pytest.mark.django_db


@pytest.fixture
def entry() -> AuditEntry:
    operator = an_operator()
    return record_change(
        actor=an_actor(operator), action="probe", subject_kind="operator", subject_id=operator.pk, now=NOW
    )


def refused(change: Any) -> None:
    with pytest.raises(IntegrityError, match="append-only"), transaction.atomic():
        change()


def run(statement: str, values: Any = None) -> None:
    with connection.cursor() as cursor:
        cursor.execute(statement, values)


def test_a_row_cannot_be_changed_or_deleted_through_the_models(entry: AuditEntry) -> None:
    rows = AuditEntry.objects.of(entry.operator_id)
    entry.action = "something else"
    refused(entry.save)
    refused(lambda: rows.update(action="something else"))
    refused(rows.delete)
    refused(entry.delete)
    assert rows.get().action == "probe"


@pytest.mark.parametrize("statement", ["UPDATE fleet_audit_entry SET action = 'x'", "DELETE FROM fleet_audit_entry"])
def test_a_row_cannot_be_changed_or_deleted_by_raw_sql(entry: AuditEntry, statement: str) -> None:
    refused(lambda: run(statement))
    assert AuditEntry.objects.of(entry.operator_id).get().action == "probe"


def test_a_row_cannot_be_replaced_or_the_table_emptied_in_the_database_own_ways(entry: AuditEntry) -> None:
    if connection.vendor == "postgresql":
        run("SET CONSTRAINTS ALL IMMEDIATE")  # otherwise the foreign keys still to be checked refuse it first
        refused(lambda: run("TRUNCATE fleet_audit_entry"))
    else:
        refused(lambda: run("REPLACE INTO fleet_audit_entry SELECT * FROM fleet_audit_entry"))
    assert AuditEntry.objects.of(entry.operator_id).get().action == "probe"


def test_an_operator_with_a_trail_cannot_be_deleted(entry: AuditEntry) -> None:
    with pytest.raises(ProtectedError):
        entry.operator.delete()


def test_a_guard_of_some_columns_lets_the_others_change() -> None:
    run("CREATE TABLE probe_slip (id integer PRIMARY KEY, kept integer NULL, free integer NULL)")
    for statement in guard_statements(connection.vendor, "probe_slip", ["kept"]):
        run(statement)
    run("INSERT INTO probe_slip VALUES (1, NULL, 1)")
    run("UPDATE probe_slip SET free = 2, kept = kept")
    refused(lambda: run("UPDATE probe_slip SET kept = 5"))
    refused(lambda: run("DELETE FROM probe_slip"))


def test_a_row_cannot_be_replaced_in_a_session_that_knows_nothing_of_the_settings() -> None:
    session = sqlite3.connect(":memory:")
    session.execute("CREATE TABLE probe_slip (id integer PRIMARY KEY, kept integer, free integer)")
    for statement in guard_statements("sqlite", "probe_slip", ["kept"]):
        session.execute(statement)
    session.execute("INSERT INTO probe_slip VALUES (1, 1, 1)")
    for statement in (
        "REPLACE INTO probe_slip VALUES (1, 2, 1)",
        "INSERT OR REPLACE INTO probe_slip SELECT id, 2, free FROM probe_slip",
        "INSERT INTO probe_slip VALUES (1, 2, 1) ON CONFLICT (id) DO UPDATE SET kept = 2",
        "UPDATE OR REPLACE probe_slip SET kept = 2",
        "DELETE FROM probe_slip",
    ):
        with pytest.raises(sqlite3.IntegrityError, match="append-only"):
            session.execute(statement)
    assert session.execute("SELECT * FROM probe_slip").fetchall() == [(1, 1, 1)]


def test_a_guard_can_be_taken_back() -> None:
    run("CREATE TABLE probe_slip (id integer PRIMARY KEY)")
    step = guard("probe_slip")
    editor = connection.schema_editor(atomic=False)
    step.code(apps, editor)
    assert step.reverse_code is not None
    step.reverse_code(apps, editor)
    run("INSERT INTO probe_slip VALUES (1)")
    run("DELETE FROM probe_slip")


def test_another_database_is_refused_rather_than_left_unguarded() -> None:
    with pytest.raises(NotImplementedError):
        guard_statements("oracle", "probe_slip", None)


def guarded_tables() -> set[str]:
    """Return every table that some migration guards, read from the migrations themselves."""
    tables = set()
    for migration in MigrationLoader(connection).disk_migrations.values():
        for operation in migration.operations:
            code = getattr(operation, "code", None)
            if isinstance(operation, migrations.RunPython) and getattr(code, "__module__", "") == "fleet.append_only":
                variables = dict(zip(code.__code__.co_freevars, code.__closure__, strict=True))
                tables.add(variables["table"].cell_contents)
    return tables


def test_every_guard_is_in_the_database_after_migrating() -> None:
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SELECT tgname FROM pg_trigger WHERE tgenabled = 'O' AND NOT tgisinternal")
        else:
            cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        present = {name for (name,) in cursor.fetchall()}
    tables = guarded_tables()
    expected = {name for table in tables for name in guard_names(connection.vendor, table)}
    assert "fleet_audit_entry" in tables
    assert expected <= present


@pytest.mark.django_db(transaction=True)
def test_tables_can_still_be_emptied_between_transactional_tests(entry: AuditEntry) -> None:
    refused(AuditEntry.objects.of(entry.operator_id).delete)


@pytest.mark.django_db(transaction=True)
def test_and_the_guards_are_back_afterwards(entry: AuditEntry) -> None:
    refused(AuditEntry.objects.of(entry.operator_id).delete)
