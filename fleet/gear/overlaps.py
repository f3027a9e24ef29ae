"""The database's own rule: no leg holds two parts at a time, and no part is on two legs, in the past neither.

The time on a leg is half open: a part may go on at the moment at which another comes off.
"""

from typing import Any

from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from fleet.append_only import DatabaseOnly

_MEETS = """
    SELECT 1 FROM "{table}" other
    WHERE other.id <> NEW.id
      AND (other.leg_id = NEW.leg_id OR other.{part}_id = NEW.{part}_id)
      AND (NEW.removed_at IS NULL OR other.installed_at < NEW.removed_at)
      AND (other.removed_at IS NULL OR other.removed_at > NEW.installed_at)
"""


def no_overlap(part: str) -> DatabaseOnly:
    """Return the migration step that guards the installations of ``"strut"`` or ``"tyre"``."""

    def raise_guard(apps: Any, editor: BaseDatabaseSchemaEditor) -> None:
        for statement in overlap_statements(editor.connection.vendor, part):
            editor.execute(statement)

    def lower_guard(apps: Any, editor: BaseDatabaseSchemaEditor) -> None:
        place = f' ON "fleet_{part}_installation"' if editor.connection.vendor == "postgresql" else ""
        for name in overlap_names(editor.connection.vendor, part):
            editor.execute(f'DROP TRIGGER IF EXISTS "{name}"{place}')

    return DatabaseOnly(raise_guard, lower_guard)


def overlap_names(vendor: str, part: str) -> list[str]:
    """Return the names of the triggers."""
    endings = [""] if vendor == "postgresql" else ["_insert", "_update"]
    return [f"fleet_{part}_installation_no_overlap{ending}" for ending in endings]


def overlap_statements(vendor: str, part: str) -> list[str]:
    """Return the statements that raise the guard."""
    table = f"fleet_{part}_installation"
    meets = _MEETS.format(table=table, part=part)
    if vendor == "sqlite":
        return [
            f'CREATE TRIGGER "{table}_no_overlap_{event}" BEFORE {event.upper()} ON "{table}" WHEN EXISTS ({meets}) '
            f"BEGIN SELECT RAISE(ABORT, '{part} or leg is taken at that time'); END"
            for event in ("insert", "update")
        ]
    # Under READ COMMITTED two transactions do not see each other's rows; the locks make the second wait, then look.
    # NO KEY UPDATE, so that readings may go on being inserted for the leg.
    function = f"""
        CREATE OR REPLACE FUNCTION {table}_no_overlap() RETURNS trigger LANGUAGE plpgsql AS $$
        BEGIN
            PERFORM 1 FROM fleet_leg WHERE id = NEW.leg_id FOR NO KEY UPDATE;
            PERFORM 1 FROM fleet_{part} WHERE id = NEW.{part}_id FOR NO KEY UPDATE;
            IF EXISTS ({meets}) THEN
                RAISE EXCEPTION '{part} or leg is taken at that time' USING ERRCODE = 'exclusion_violation';
            END IF;
            RETURN NEW;
        END $$
    """
    trigger = (
        f'CREATE TRIGGER "{table}_no_overlap" BEFORE INSERT OR UPDATE ON "{table}" '
        f"FOR EACH ROW EXECUTE FUNCTION {table}_no_overlap()"
    )
    return [function, trigger]
