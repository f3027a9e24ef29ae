"""What only someone with the database in hand can do."""

from django.db import connection


def tampered(table: str, sql: str) -> None:
    """Lift a table's guard, change it, and put the guard back."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")  # nothing may wait on the table while its guard is lifted
            cursor.execute(f'ALTER TABLE "{table}" DISABLE TRIGGER USER')
            cursor.execute(sql)
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            cursor.execute(f'ALTER TABLE "{table}" ENABLE TRIGGER USER')
            return
        cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = %s", [table])
        triggers = cursor.fetchall()
        for name, _ in triggers:
            cursor.execute(f'DROP TRIGGER "{name}"')
        cursor.execute(sql)
        for _, create in triggers:
            cursor.execute(create)
