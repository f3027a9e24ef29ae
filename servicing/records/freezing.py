"""The database's own refusal to change a completed record entry, or to delete any."""

from typing import Any, Final

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from fleet.append_only import guard_names

TABLE: Final = "servicing_record_entry"


def freeze_completed() -> migrations.RunPython:
    """Return the migration step that freezes entries once they are completed; drafts may change."""

    def freeze(apps: Any, editor: BaseDatabaseSchemaEditor) -> None:
        for statement in freezing_statements(editor.connection.vendor):
            editor.execute(statement)

    def thaw(apps: Any, editor: BaseDatabaseSchemaEditor) -> None:
        place = f' ON "{TABLE}"' if editor.connection.vendor == "postgresql" else ""
        for name in guard_names(editor.connection.vendor, TABLE):
            editor.execute(f'DROP TRIGGER IF EXISTS "{name}"{place}')

    return migrations.RunPython(freeze, thaw)


def freezing_statements(vendor: str) -> list[str]:
    """Return the statements that raise the guard; the function is the one of `fleet.append_only`."""
    completed = "OLD.completed_at IS NOT NULL"
    if vendor == "postgresql":
        refuse = "EXECUTE FUNCTION undercart_append_only()"
        return [
            f'CREATE TRIGGER "{TABLE}_no_update" BEFORE UPDATE ON "{TABLE}" FOR EACH ROW WHEN ({completed}) {refuse}',
            f'CREATE TRIGGER "{TABLE}_no_delete" BEFORE DELETE ON "{TABLE}" FOR EACH ROW {refuse}',
            f'CREATE TRIGGER "{TABLE}_no_truncate" BEFORE TRUNCATE ON "{TABLE}" FOR EACH STATEMENT {refuse}',
        ]
    refuse = f"BEGIN SELECT RAISE(ABORT, '{TABLE} is append-only'); END"
    return [
        f'CREATE TRIGGER "{TABLE}_no_update" BEFORE UPDATE ON "{TABLE}" WHEN {completed} {refuse}',
        f'CREATE TRIGGER "{TABLE}_no_delete" BEFORE DELETE ON "{TABLE}" {refuse}',
    ]
