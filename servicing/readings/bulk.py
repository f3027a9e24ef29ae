"""Appending and updating many rows at once: COPY and arrays on PostgreSQL, one prepared statement on SQLite."""

from __future__ import annotations

import json
import uuid
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import UTC, datetime
from typing import Any, Final

from django.db import connection, models

Columns = Mapping[str, Sequence[Any]]

_ESCAPES: Final = str.maketrans({"\\": "\\\\", "\t": "\\t", "\n": "\\n", "\r": "\\r"})
_LINES_AT_ONCE: Final = 4096


def append_rows(model: type[models.Model], columns: Columns) -> None:
    """Insert rows given as columns by attribute name; columns left out must have a default in the database."""
    if not next(iter(columns.values())):
        return
    fields = [model._meta.get_field(_field_name(model, name)) for name in columns]
    names = ", ".join(connection.ops.quote_name(str(field.column)) for field in fields)  # type: ignore[union-attr]
    table = connection.ops.quote_name(model._meta.db_table)
    if connection.vendor == "postgresql":
        texts = zip(*(_as_copy_text(field, columns[name]) for field, name in zip(fields, columns, strict=True)))  # noqa: B905  # equal lengths are the caller's
        with connection.cursor() as cursor, cursor.copy(f"COPY {table} ({names}) FROM STDIN") as copy:
            for block in _blocks(texts):
                copy.write("".join("\t".join(row) + "\n" for row in block))
        return
    values = zip(*(_as_parameters(field, columns[name]) for field, name in zip(fields, columns, strict=True)))  # noqa: B905
    marks = ", ".join(["%s"] * len(fields))
    with connection.cursor() as cursor:
        cursor.executemany(f"INSERT INTO {table} ({names}) VALUES ({marks})", list(values))  # noqa: S608  # names are ours


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


def _field_name(model: type[models.Model], name: str) -> str:
    return next((f.name for f in model._meta.concrete_fields if f.attname == name), name)


def _blocks(rows: Iterable[tuple[str, ...]]) -> Iterable[list[tuple[str, ...]]]:
    block: list[tuple[str, ...]] = []
    for row in rows:
        block.append(row)
        if len(block) == _LINES_AT_ONCE:
            yield block
            block = []
    yield block


def _kept(value: Any) -> str:
    return str(value)


def _json(value: Any) -> str:
    return json.dumps(value, separators=(",", ":"))


def _converter(field: Any) -> Callable[[Any], str]:
    """Return how one value of a field is written in PostgreSQL's text form."""
    inner = field.target_field if field.is_relation else field
    if isinstance(inner, models.FloatField):
        return repr
    if isinstance(inner, models.DateTimeField):
        return datetime.isoformat
    if isinstance(inner, models.JSONField):
        return lambda value: _json(value).translate(_ESCAPES)
    if isinstance(inner, models.CharField | models.TextField):
        return lambda value: str(value).translate(_ESCAPES)
    return _kept


def _as_copy_text(field: Any, values: Sequence[Any]) -> Iterable[str]:
    convert = _converter(field)
    return ("\\N" if value is None else convert(value) for value in values)


def _as_parameters(field: Any, values: Sequence[Any]) -> Iterable[Any]:
    inner = field.target_field if field.is_relation else field
    if isinstance(inner, models.UUIDField):
        return (None if value is None else value.hex for value in values)
    if isinstance(inner, models.DateTimeField):
        # As Django stores it: UTC without saying so.
        return (None if value is None else str(value.astimezone(UTC).replace(tzinfo=None)) for value in values)
    if isinstance(inner, models.JSONField):
        return map(_json, values)
    return values
