"""Appending and updating many rows at once: COPY and arrays on PostgreSQL, one prepared statement on SQLite."""

from __future__ import annotations

import json
import uuid
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import UTC, datetime
from itertools import islice, repeat
from typing import Any, Final

from django.db import connection, models

Columns = Mapping[str, Sequence[Any]]

_ESCAPES: Final = str.maketrans({"\\": "\\\\", "\t": "\\t", "\n": "\\n", "\r": "\\r"})
_LINES_AT_ONCE: Final = 4096
_as_json: Final = json.JSONEncoder(separators=(",", ":")).encode  # made once, for json.dumps makes one at each call


def append_rows(model: type[models.Model], columns: Columns, same: Mapping[str, Any] | None = None) -> None:
    """Insert rows given as columns by attribute name; ``same`` holds for every row.

    Columns left out must have a default in the database.
    """
    given = _Given(model, columns, same or {})
    if not given.count:
        return
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            given.copy_into(given.table, cursor)
        else:
            given.insert(cursor)


def replace_rows(
    model: type[models.Model], columns: Columns, same: Mapping[str, Any] | None = None, *, unique: str
) -> None:
    """Insert rows; where one with the same value of ``unique`` is there, change all of it but its id.

    To be called in a transaction. Arguments as of `append_rows`; ``unique`` is a column of the database.
    """
    given = _Given(model, columns, same or {})
    if not given.count:
        return
    sets = ", ".join(f"{name} = excluded.{name}" for name in given.names if name not in ('"id"', f'"{unique}"'))
    otherwise = f"ON CONFLICT ({unique}) DO UPDATE SET {sets}"
    with connection.cursor() as cursor:
        if connection.vendor != "postgresql":
            given.insert(cursor, otherwise)
            return
        cursor.execute(f"CREATE TEMPORARY TABLE given (LIKE {given.table} INCLUDING DEFAULTS) ON COMMIT DROP")
        given.copy_into("given", cursor)
        names = ", ".join(given.names)
        cursor.execute(f"INSERT INTO {given.table} ({names}) SELECT {names} FROM given {otherwise}")  # noqa: S608
        cursor.execute("DROP TABLE given")


class _Given:
    """Rows to be written, each value as the database takes it."""

    def __init__(self, model: type[models.Model], columns: Columns, same: Mapping[str, Any]) -> None:
        write = _as_copy_text if connection.vendor == "postgresql" else _as_parameters
        fields = {field.attname: field for field in model._meta.concrete_fields}
        quote = connection.ops.quote_name
        self.table = quote(model._meta.db_table)
        self.names = [quote(str(fields[name].column)) for name in (*columns, *same)]
        self.count = len(next(iter(columns.values())))
        cells = [write(fields[name], values) for name, values in columns.items()]
        cells += [repeat(next(iter(write(fields[name], [value]))), self.count) for name, value in same.items()]
        self.rows = zip(*cells, strict=True)

    def copy_into(self, table: str, cursor: Any) -> None:
        """Write the rows by PostgreSQL's COPY."""
        # Django wraps neither copy() nor what goes wrong in it.
        copied = f"COPY {table} ({', '.join(self.names)}) FROM STDIN"
        with connection.wrap_database_errors, cursor.cursor.copy(copied) as copy:
            while lines := "".join(["\t".join(row) + "\n" for row in islice(self.rows, _LINES_AT_ONCE)]):
                copy.write(lines)

    def insert(self, cursor: Any, otherwise: str = "") -> None:
        """Write the rows by one prepared statement."""
        marks = ", ".join(["%s"] * len(self.names))
        names = ", ".join(self.names)
        cursor.executemany(
            f"INSERT INTO {self.table} ({names}) VALUES ({marks}) {otherwise}",  # noqa: S608  # names are ours
            list(self.rows),
        )


def update_rows(model: type[models.Model], ids: Sequence[uuid.UUID], columns: Columns) -> None:
    """Set float and integer columns of rows by id."""
    if not ids:
        return
    table, quote = connection.ops.quote_name(model._meta.db_table), connection.ops.quote_name
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            casts = {name: "float8" if isinstance(values[0], float) else "int4" for name, values in columns.items()}
            sets = ", ".join(f"{quote(name)} = given.{quote(name)}" for name in columns)
            arrays = ", ".join(["%s::uuid[]"] + [f"%s::{cast}[]" for cast in casts.values()])
            given = ", ".join(quote(name) for name in ("id", *columns))
            cursor.execute(
                f"UPDATE {table} SET {sets} FROM unnest({arrays}) AS given({given}) WHERE {table}.id = given.id",  # noqa: S608
                [list(ids), *(list(values) for values in columns.values())],
            )
            return
        sets = ", ".join(f"{quote(name)} = %s" for name in columns)
        rows = zip(*columns.values(), (one.hex for one in ids), strict=True)
        cursor.executemany(f"UPDATE {table} SET {sets} WHERE id = %s", list(rows))  # noqa: S608


def _target(field: Any) -> Any:
    return field.target_field if field.is_relation else field


def _as_copy_text(field: Any, values: Sequence[Any]) -> Iterable[str]:
    """Return how the values of a field are written in PostgreSQL's text form."""
    inner = _target(field)
    write: Callable[[Any], str] = str
    if isinstance(inner, models.FloatField):
        write = repr
    elif isinstance(inner, models.DateTimeField):
        write = datetime.isoformat
    elif isinstance(inner, models.JSONField):
        write = _JsonWriter(escaped=True)
    elif isinstance(inner, models.CharField | models.TextField):
        write = _escaped
    elif isinstance(inner, models.UUIDField) and field.is_relation:
        write = _remembered(str)  # some legs and parts, each many times
    if not field.null:
        return map(write, values)
    return ["\\N" if value is None else write(value) for value in values]


def _as_parameters(field: Any, values: Sequence[Any]) -> Iterable[Any]:
    """Return the values of a field as SQLite takes them, and as Django would have stored them."""
    inner = _target(field)
    if isinstance(inner, models.UUIDField):
        return [None if value is None else value.hex for value in values]
    if isinstance(inner, models.DateTimeField):
        return [None if value is None else str(value.astimezone(UTC).replace(tzinfo=None)) for value in values]
    if isinstance(inner, models.DateField):
        return [None if value is None else value.isoformat() for value in values]
    if isinstance(inner, models.JSONField):
        return map(_JsonWriter(escaped=False), values)
    return values


def _escaped(value: str) -> str:
    return value.translate(_ESCAPES) if value else ""


def _remembered(write: Callable[[Any], str]) -> Callable[[Any], str]:
    known: dict[int, str] = {}

    def remember(value: Any) -> str:
        # By identity: the values live as long as their column, and hashing a UUID costs more than writing it.
        text = known.get(id(value))
        if text is None:
            text = known[id(value)] = write(value)
        return text

    return remember


class _JsonWriter:
    """Writes JSON; the quantities that many rows of a file share are written once."""

    def __init__(self, *, escaped: bool) -> None:
        self._escaped = escaped
        self._part = _remembered(self._text)

    def __call__(self, value: Any) -> str:
        if isinstance(value, dict) and all(type(part) is dict for part in value.values()):
            return "{" + ",".join([f'"{name}":{self._part(part)}' for name, part in value.items()]) + "}"
        return self._part(value)

    def _text(self, value: Any) -> str:
        text = _as_json(value)
        return text.translate(_ESCAPES) if self._escaped else text
