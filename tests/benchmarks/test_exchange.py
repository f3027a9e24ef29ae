"""How far import and export of 100 000 readings are from what the database alone would take.

Run alone: ``pytest -m benchmark -s tests/benchmarks/test_exchange.py``. The floor of an import is the same rows,
ready-made, written by COPY (PostgreSQL) or one prepared statement (SQLite) into the same table with the same
keys and guards; that of an export is a plain COPY, or fetching the tuples.
"""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import timedelta

import pytest
from django.db import connection, transaction

from fleet.operators.models import Operator
from servicing.exchange.exports import csv_of
from servicing.exchange.files_out import READINGS
from servicing.readings.models import StrutReading
from tests.builders.files import READINGS_HEADER, a_file, imported
from tests.builders.fleet import NOW, an_actor, an_operator, next_id

pytestmark = [pytest.mark.django_db, pytest.mark.benchmark]
ROWS = 100_000
AIRCRAFT = 50


@contextmanager
def timed(name: str, times: dict[str, float]) -> Iterator[None]:
    start = time.perf_counter(), time.process_time()
    yield
    times[name] = time.perf_counter() - start[0]
    print(f"{name:32}{times[name]:7.2f} s, of which this process {time.process_time() - start[1]:6.2f} s")  # noqa: T201


def a_fleet_of_readings(operator: Operator) -> bytes:
    legs = [(f"XX-{number:03}", leg) for number in range(AIRCRAFT) for leg in ("nose", "left main")]
    figures = "target_extension,low_limit,high_limit,full_extension".replace(",", " [in],")
    header = f"aircraft,type,leg,{figures} [in],reference_load [lbf]"
    fleet = [f"{plane},Example trainer,{leg},4.5,4,5,8.5,700" for plane, leg in legs]
    imported(an_actor(operator), "type-sheets", a_file(header, fleet))
    start = NOW - timedelta(days=2000)
    return a_file(
        READINGS_HEADER,
        (
            f"{plane},{leg},{(start + timedelta(minutes=28 * number)).isoformat()},{3.5 + number % 29 / 16},"
            f"{20 + number % 71},{100 + number % 150},{'yes' if number % 3 else 'no'}"
            for number in range(ROWS)
            for plane, leg in [legs[number % len(legs)]]
        ),
    )


def write_ready_made(operator: Operator) -> Callable[[], None]:
    """Return what writes the stored rows once more, under other ids, with nothing left to compute."""
    names = [field.column for field in StrutReading._meta.concrete_fields if field.column != "id"]
    columns, table = ", ".join(names), StrutReading._meta.db_table
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            out = f"COPY (SELECT gen_random_uuid(), {columns} FROM {table}) TO STDOUT"
            with cursor.copy(out) as copy:
                text = b"".join(copy)

        def write() -> None:
            with connection.cursor() as cursor, cursor.copy(f"COPY {table} (id, {columns}) FROM STDIN") as copy:
                copy.write(text)

        return write
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {columns} FROM {table}")
        rows = [(next_id().hex, *row) for row in cursor.fetchall()]
    marks = ", ".join(["%s"] * (len(names) + 1))

    def insert() -> None:
        with connection.cursor() as cursor:
            cursor.executemany(f"INSERT INTO {table} (id, {columns}) VALUES ({marks})", rows)

    return insert


def test_import_and_export_against_the_floor() -> None:
    operator, times = an_operator(), dict[str, float]()
    content = a_fleet_of_readings(operator)
    actor = an_actor(operator)

    with timed("import", times):
        done = imported(actor, "readings", content)
    with timed("import again, all known", times):
        again = imported(actor, "readings", content)
    write = write_ready_made(operator)
    with timed("floor: rows ready-made", times), transaction.atomic():
        write()
    with timed("export", times):
        size = sum(map(len, csv_of(READINGS.rows(operator.id), READINGS.columns, "metric")))
    with timed("floor: rows as they are", times):
        floor_size = plain_copy(operator)

    assert (done.rows_saved, again.rows_known) == (ROWS, ROWS)
    assert size > ROWS * 100
    assert floor_size > ROWS
    print(f"import {times['import'] / times['floor: rows ready-made']:.1f} x its floor")  # noqa: T201
    print(f"export {times['export'] / times['floor: rows as they are']:.1f} x its floor")  # noqa: T201


def plain_copy(operator: Operator) -> int:
    picked = READINGS.rows(operator.id).values_list(*(column.path for column in READINGS.columns))
    if connection.vendor != "postgresql":
        return sum(1 for _ in picked.iterator())
    sql, parameters = picked.query.sql_with_params()
    with connection.cursor() as cursor, cursor.copy(f"COPY ({sql}) TO STDOUT (FORMAT CSV)", parameters) as copy:
        return sum(len(block) for block in copy)
