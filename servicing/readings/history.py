"""The live readings of many struts or tyres as numpy columns, in one query: for drift, charts and exports.

PostgreSQL sends them in its binary COPY form with a fixed stride, so that numpy takes the bytes as they
are; building a row object for each reading would cost a hundred times as much.
"""

from __future__ import annotations

import uuid
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import numpy.typing as npt
from django.db import connection

Array = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]
Booleans = npt.NDArray[np.bool_]
Ids = npt.NDArray[np.void]  # 16 bytes each; `as_uuid` makes one readable

NOT_SEEN, FLUID_DRY, FLUID_DAMP, FLUID_WET = range(4)
NOT_CHECKED, LEVEL_CORRECT, LEVEL_LOW = range(3)


@dataclass(frozen=True, slots=True)
class StrutHistories:
    """Live readings, flat, sorted by strut, time and id; strut ``i`` has rows ``offsets[i]:offsets[i + 1]``.

    Days count from 1970-01-01 UTC. A pressure that was not read is NaN.
    """

    strut_ids: tuple[uuid.UUID, ...]
    offsets: Integers
    reading_id: Ids
    leg_id: Ids
    day: Array
    extension_in: Array
    corrected_in: Array
    uncertainty_in: Array
    scale_in: Array
    temperature_used_f: Array
    temperature_sd_f: Array
    load_lbf: Array
    load_sd_lbf: Array
    pressure_psig: Array
    exercised: Booleans
    temperature_read: Booleans
    fluid_seen: Integers
    fluid_level: Integers
    valve_bubbles: Booleans
    holds_on_jacks: Booleans
    bottoms_in_taxi: Booleans

    @property
    def series(self) -> Integers:
        """Number of the strut of each row."""
        return np.repeat(np.arange(len(self.strut_ids)), np.diff(self.offsets))


@dataclass(frozen=True, slots=True)
class TyreHistories:
    """Live readings of tyres, in the same form; what was not read is NaN."""

    tyre_ids: tuple[uuid.UUID, ...]
    offsets: Integers
    reading_id: Ids
    leg_id: Ids
    day: Array
    pressure_psig: Array
    corrected_psig: Array
    uncertainty_psi: Array
    temperature_f: Array
    tread_in: Array
    hot: Booleans
    loaded: Booleans

    @property
    def series(self) -> Integers:
        """Number of the tyre of each row."""
        return np.repeat(np.arange(len(self.tyre_ids)), np.diff(self.offsets))


_FLOAT, _FLAG, _CODE = ">f8", "?", ">i2"
_STRUT_COLUMNS: Final = {
    "extension_in": (_FLOAT, "extension_in"),
    "corrected_in": (_FLOAT, "corrected_in"),
    "uncertainty_in": (_FLOAT, "uncertainty_in"),
    "scale_in": (_FLOAT, "scale_in"),
    "temperature_used_f": (_FLOAT, "temperature_used_f"),
    "temperature_sd_f": (_FLOAT, "temperature_sd_f"),
    "load_lbf": (_FLOAT, "load_lbf"),
    "load_sd_lbf": (_FLOAT, "load_sd_lbf"),
    "pressure_psig": (_FLOAT, "pressure_psig"),
    "exercised": (_FLAG, "exercised"),
    "temperature_read": (_FLAG, "temperature_f IS NOT NULL"),
    "fluid_seen": (_CODE, "CASE fluid_seen WHEN 'dry' THEN 1 WHEN 'damp' THEN 2 WHEN 'wet' THEN 3 ELSE 0 END"),
    "fluid_level": (_CODE, "CASE fluid_level WHEN 'correct' THEN 1 WHEN 'low' THEN 2 ELSE 0 END"),
    "valve_bubbles": (_FLAG, "CAST(observations AS text) LIKE '%%valve bubbles%%'"),
    "holds_on_jacks": (_FLAG, "CAST(observations AS text) LIKE '%%holds pressure on jacks%%'"),
    "bottoms_in_taxi": (_FLAG, "CAST(observations AS text) LIKE '%%bottoms in taxi%%'"),
}
_TYRE_COLUMNS: Final = {
    "pressure_psig": (_FLOAT, "pressure_psig"),
    "corrected_psig": (_FLOAT, "corrected_psig"),
    "uncertainty_psi": (_FLOAT, "uncertainty_psi"),
    "temperature_f": (_FLOAT, "temperature_f"),
    "tread_in": (_FLOAT, "tread_in"),
    "hot": (_FLAG, "hot"),
    "loaded": (_FLAG, "loaded"),
}
_NULLABLE: Final = frozenset({"pressure_psig", "corrected_psig", "uncertainty_psi", "temperature_f", "tread_in"})
_WIDTH: Final = {_FLOAT: 8, _FLAG: 1, _CODE: 2}
_CAST: Final = {_FLOAT: "float8", _FLAG: "boolean", _CODE: "int2"}
_POSTGRES_EPOCH_DAY: Final = 10957  # 2000-01-01, counted from 1970-01-01
_MICROSECONDS_A_DAY: Final = 86_400_000_000
_IDS_AT_ONCE: Final = 900  # SQLite takes some thousand parameters at most
_HEADER_BYTES: Final = 19  # signature, flags, length of an extension that is never there


def fetch_strut_histories(strut_ids: Collection[uuid.UUID]) -> StrutHistories:
    """Return the live readings of struts, whoever owns them; struts without any have no rows."""
    ids, columns = _fetch("servicing_strut_reading", "strut_id", strut_ids, _STRUT_COLUMNS)
    return StrutHistories(strut_ids=ids, **columns)


def fetch_tyre_histories(tyre_ids: Collection[uuid.UUID]) -> TyreHistories:
    """Return the live readings of tyres, whoever owns them; tyres without any have no rows."""
    ids, columns = _fetch("servicing_tyre_reading", "tyre_id", tyre_ids, _TYRE_COLUMNS)
    return TyreHistories(tyre_ids=ids, **columns)


def as_uuid(raw: np.void | bytes) -> uuid.UUID:
    """Return the id that 16 bytes of a history stand for."""
    return uuid.UUID(bytes=bytes(raw))  # type: ignore[arg-type]  # a void is its bytes


def _fetch(
    table: str, part: str, part_ids: Collection[uuid.UUID], wanted: dict[str, tuple[str, str]]
) -> tuple[tuple[uuid.UUID, ...], dict[str, Any]]:
    ids = tuple(sorted(set(part_ids)))
    fetch = _from_postgresql if connection.vendor == "postgresql" else _from_sqlite
    part_id, columns = fetch(table, part, ids, wanted)
    known = np.array([one.bytes for one in ids], dtype="V16")
    # Rows come sorted by part, so each part's rows lie between two changes of it.
    edges = np.flatnonzero(part_id[1:] != part_id[:-1]) + 1 if len(part_id) else np.empty(0, np.int64)
    starts = np.concatenate([[0], edges]) if len(part_id) else np.empty(0, np.int64)
    lengths = np.zeros(len(ids), np.int64)
    number = {bytes(raw): index for index, raw in enumerate(known)}
    ends = np.concatenate([starts[1:], [len(part_id)]]) if len(starts) else starts
    for start, end in zip(starts, ends, strict=True):
        lengths[number[bytes(part_id[start])]] = end - start
    return ids, {**columns, "offsets": np.concatenate([[0], np.cumsum(lengths)]).astype(np.int64)}


def _from_postgresql(
    table: str, part: str, ids: Sequence[uuid.UUID], wanted: dict[str, tuple[str, str]]
) -> tuple[Ids, dict[str, Any]]:
    shapes = {"part": ("V16", 16), "reading_id": ("V16", 16), "leg_id": ("V16", 16), "moment": (">i8", 8)}
    shapes |= {name: (shape, _WIDTH[shape]) for name, (shape, _) in wanted.items()}
    stride = [("fields", ">i2")]
    for name, (shape, _) in shapes.items():
        stride += [(f"{name} length", ">i4"), (name, shape)]
    chosen = ", ".join(
        f"coalesce({sql}, 'NaN')::float8" if name in _NULLABLE else f"({sql})::{_CAST[shape]}"
        for name, (shape, sql) in wanted.items()
    )
    query = (
        f"COPY (SELECT {part}, id, leg_id, taken_at, {chosen} FROM {table} "  # noqa: S608  # names are ours
        f"WHERE {part} = ANY(%s) AND NOT superseded AND NOT withdrawn ORDER BY {part}, taken_at, id) "
        "TO STDOUT (FORMAT BINARY)"
    )
    with connection.cursor() as cursor, cursor.copy(query, [list(ids)]) as copy:
        received = b"".join(copy)
    rows = np.frombuffer(received[_HEADER_BYTES:-2], dtype=np.dtype(stride))
    plain: dict[str, Any] = {
        "reading_id": rows["reading_id"].copy(),
        "leg_id": rows["leg_id"].copy(),
        "day": rows["moment"] / _MICROSECONDS_A_DAY + _POSTGRES_EPOCH_DAY,
        **{name: rows[name].astype(_native(shape)) for name, (shape, _) in wanted.items()},
    }
    return rows["part"].copy(), plain


def _from_sqlite(
    table: str, part: str, ids: Sequence[uuid.UUID], wanted: dict[str, tuple[str, str]]
) -> tuple[Ids, dict[str, Any]]:
    rows = [row for some in _in_portions(ids) for row in _sqlite_rows(table, part, some, wanted)]
    part_ids, reading_ids, leg_ids, moments, *values = zip(*rows, strict=True) if rows else [()] * (4 + len(wanted))
    microseconds = np.array(moments, dtype="datetime64[us]").astype(np.int64)
    plain: dict[str, Any] = {
        "reading_id": _bytes_of(reading_ids),
        "leg_id": _bytes_of(leg_ids),
        "day": microseconds / _MICROSECONDS_A_DAY,
        **{
            name: np.array(column, dtype=_native(shape))
            for (name, (shape, _)), column in zip(wanted.items(), values, strict=True)
        },
    }
    return _bytes_of(part_ids), plain


def _sqlite_rows(
    table: str, part: str, ids: Sequence[uuid.UUID], wanted: dict[str, tuple[str, str]]
) -> Iterator[tuple[Any, ...]]:
    marks, chosen = ", ".join(["%s"] * len(ids)), ", ".join(sql for _, sql in wanted.values())
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT {part}, id, leg_id, taken_at, {chosen} FROM {table} "  # noqa: S608  # names are ours
            f"WHERE {part} IN ({marks}) AND NOT superseded AND NOT withdrawn ORDER BY {part}, taken_at, id",
            [one.hex for one in ids],
        )
        yield from cursor.fetchall()


def _native(shape: str) -> type[np.generic]:
    return {_FLOAT: np.float64, _FLAG: np.bool_, _CODE: np.int64}[shape]


def _bytes_of(hex_ids: Sequence[str]) -> Ids:
    return np.array([bytes.fromhex(one) for one in hex_ids], dtype="V16")


def _in_portions(ids: Sequence[uuid.UUID]) -> Iterator[Sequence[uuid.UUID]]:
    return (ids[start : start + _IDS_AT_ONCE] for start in range(0, len(ids), _IDS_AT_ONCE))
