"""Tables from which the database itself lets nothing be taken away and in which nothing is rewritten.

A guard holds against ``queryset.update()``, ``queryset.delete()`` and raw SQL, on SQLite and PostgreSQL.
SQLite drops triggers when Django rebuilds a table, so a later migration that alters a guarded table
must end with its `guard` again; a contract test looks whether every guard is there.
"""

from collections.abc import Sequence
from typing import Any

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

_FUNCTION = """
CREATE OR REPLACE FUNCTION undercart_append_only() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '% is append-only', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation';
END $$
"""
_DIFFERS = {"postgresql": "IS DISTINCT FROM", "sqlite": "IS NOT"}


class DatabaseOnly(migrations.RunPython):
    """A step that speaks to the database alone: building every model for it would cost seconds."""

    def database_forwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        """Run the step without models."""
        self.code(None, schema_editor)  # type: ignore[arg-type]  # the step asks for no models

    def database_backwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        """Undo the step without models."""
        assert self.reverse_code is not None  # noqa: S101  # every step here can be undone
        self.reverse_code(None, schema_editor)  # type: ignore[arg-type]


def guard(table: str, columns: Sequence[str] | None = None, *, when: str = "") -> DatabaseOnly:
    """Return the migration step that makes ``table`` append-only.

    Parameters
    ----------
    table : str
        Name in the database.
    columns : sequence of str, optional
        Columns whose values may not change; the others may. Without it, none may. Rows can never be deleted.
    when : str, optional
        Instead of columns: which rows may not change, as a condition on ``OLD``.
    """

    def raise_guard(apps: Any, editor: BaseDatabaseSchemaEditor) -> None:
        for statement in guard_statements(editor.connection.vendor, table, columns, when):
            editor.execute(statement, params=None)  # "%" is the function's own here

    def lower_guard(apps: Any, editor: BaseDatabaseSchemaEditor) -> None:
        place = f' ON "{table}"' if editor.connection.vendor == "postgresql" else ""
        for name in guard_names(editor.connection.vendor, table):
            editor.execute(f'DROP TRIGGER IF EXISTS "{name}"{place}')

    return DatabaseOnly(raise_guard, lower_guard)


def guard_names(vendor: str, table: str) -> list[str]:
    """Return the names of a table's triggers."""
    deeds = ("update", "delete", "truncate") if vendor == "postgresql" else ("update", "delete", "replace")
    return [f"{table}_no_{deed}" for deed in deeds]


def guard_statements(vendor: str, table: str, columns: Sequence[str] | None, when: str = "") -> list[str]:
    """Return the statements that raise a table's guard."""
    if vendor not in _DIFFERS:
        raise NotImplementedError(f"no guard is written for {vendor}; use SQLite or PostgreSQL")
    changed = " OR ".join(f'OLD."{column}" {_DIFFERS[vendor]} NEW."{column}"' for column in columns or ())
    condition = when or changed
    update = f" WHEN ({condition})" if condition else ""
    if vendor == "postgresql":
        refuse = "EXECUTE FUNCTION undercart_append_only()"
        return [
            _FUNCTION,
            f'CREATE TRIGGER "{table}_no_update" BEFORE UPDATE ON "{table}" FOR EACH ROW{update} {refuse}',
            f'CREATE TRIGGER "{table}_no_delete" BEFORE DELETE ON "{table}" FOR EACH ROW {refuse}',
            f'CREATE TRIGGER "{table}_no_truncate" BEFORE TRUNCATE ON "{table}" FOR EACH STATEMENT {refuse}',
        ]
    refuse = f"BEGIN SELECT RAISE(ABORT, '{table} is append-only'); END"
    known = f'EXISTS (SELECT 1 FROM "{table}" WHERE id = NEW.id)'  # noqa: S608  # a table of our own
    return [
        f'CREATE TRIGGER "{table}_no_update" BEFORE UPDATE ON "{table}"{update} {refuse}',
        f'CREATE TRIGGER "{table}_no_delete" BEFORE DELETE ON "{table}" {refuse}',
        # REPLACE deletes without the delete trigger, unless the connection has asked for recursive ones.
        f'CREATE TRIGGER "{table}_no_replace" BEFORE INSERT ON "{table}" WHEN {known} {refuse}',
    ]
