"""The one fetch of many struts' histories as columns, for drift, charts and backtests."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any, Final

import numpy as np
import numpy.typing as npt
from django.db import connection

from servicing.readings.models import FluidLevel, FluidSeen, Observation

SECONDS_PER_DAY: Final = 86400.0
_FLOATS: Final = (
    "extension_in",
    "corrected_in",
    "temperature_used_f",
    "temperature_sd_f",
    "load_lbf",
    "load_sd_lbf",
    "scale_in",
)

LOOKS: Final[tuple[tuple[str, str], ...]] = (
    ("fluid_seen", FluidSeen.WET),
    ("fluid_seen", FluidSeen.DRY),
    ("fluid_level", FluidLevel.LOW),
    ("fluid_level", FluidLevel.CORRECT),
    ("observations", Observation.VALVE_BUBBLES),
    ("observations", Observation.HOLDS_ON_JACKS),
    ("observations", Observation.BOTTOMS_IN_TAXI),
)
"""What a look may have shown; ``StrutColumns.looks`` has one bit for each, the first lowest."""


@dataclass(frozen=True, slots=True)
class StrutColumns:
    """Live readings of struts as flat columns, in no particular order.

    ``series`` is each reading's index into the strut ids that were asked for; ``day`` counts from
    1970-01-01 UTC; ``looks`` has a bit for each of `LOOKS`.
    """

    series: npt.NDArray[np.int64]
    reading_id: npt.NDArray[np.void]  # 16 bytes each
    day: npt.NDArray[np.float64]
    extension_in: npt.NDArray[np.float64]
    corrected_in: npt.NDArray[np.float64]
    temperature_used_f: npt.NDArray[np.float64]
    temperature_sd_f: npt.NDArray[np.float64]
    load_lbf: npt.NDArray[np.float64]
    load_sd_lbf: npt.NDArray[np.float64]
    scale_in: npt.NDArray[np.float64]
    exercised: npt.NDArray[np.bool_]
    looks: npt.NDArray[np.int64]

    @staticmethod
    def joined(parts: Sequence[StrutColumns]) -> StrutColumns:
        """Return columns that were fetched in parts."""
        if len(parts) == 1:
            return parts[0]
        return StrutColumns(**{f.name: np.concatenate([getattr(one, f.name) for one in parts]) for f in _COLUMNS})

    def only(self, rows: npt.NDArray[np.bool_]) -> StrutColumns:
        """Return some of the readings."""
        return StrutColumns(**{f.name: getattr(self, f.name)[rows] for f in _COLUMNS})

    def id_of(self, row: int) -> uuid.UUID:
        """Return the id of the reading in a row."""
        return uuid.UUID(bytes=self.reading_id[row].tobytes())


_COLUMNS: Final = fields(StrutColumns)


def fetch_struts(strut_ids: Sequence[uuid.UUID], *, first: int = 0) -> StrutColumns:
    """Return all live readings of struts, numbered from ``first``; the caller has made sure whose struts they are."""
    number = {strut_id: index for index, strut_id in enumerate(strut_ids, first)}
    return _packed(number) if connection.vendor == "postgresql" else _selected(number)


def _looks_sql() -> str:
    bits = []
    for bit, (column, value) in enumerate(LOOKS):
        holds = (
            f"CAST({column} AS text) LIKE '%%\"{value}\"%%'" if column == "observations" else f"{column} = '{value}'"
        )
        bits.append(f"CASE WHEN {holds} THEN {1 << bit} ELSE 0 END")
    return " + ".join(bits)


_LIVE: Final = "NOT superseded AND NOT withdrawn"
_EXERCISED: Final = 1 << len(LOOKS)  # one more bit of the same number
_POSTGRES_EPOCH_DAY: Final = 10957.0  # 2000-01-01, from which the server counts microseconds


# Mostly nothing was looked at, and the bits that say so need not be asked for. A plain 0.0 would be a decimal number,
# and each of them made a float anew.
_SEEN: Final = (
    "CASE WHEN fluid_seen = '' AND fluid_level = '' AND jsonb_array_length(observations) = 0 "
    f"THEN CASE WHEN exercised THEN float8 '{_EXERCISED}' ELSE float8 '0' END "
    f"ELSE CAST({_looks_sql()} + CASE WHEN exercised THEN {_EXERCISED} ELSE 0 END AS float8) END"
)


def _four(**named: str) -> tuple[str, dict[str, str]]:
    """Return how four numbers are sent and read: as a line segment, which takes the server no longer than two do."""
    return "lseg_send(lseg(point({}, {}), point({}, {})))".format(*named.values()), dict.fromkeys(named, ">f8")


_PACKED: Final[tuple[tuple[str, dict[str, str]], ...]] = (
    ("uuid_send(id)", {"reading_id": "V16"}),
    ("timestamptz_send(taken_at)", {"taken_at": ">i8"}),
    _four(**{name: name for name in _FLOATS[:4]}),
    _four(**{name: name for name in _FLOATS[4:]}, seen=_SEEN),
)
_ID_BYTES: Final = 16


def _packed(number: Mapping[uuid.UUID, int]) -> StrutColumns:
    import psycopg  # only where PostgreSQL is the store

    # A row for each strut with its readings' columns packed by the server, which numpy reads as they come: taking a
    # row for each reading would be most of a sweep's time. None of the columns is ever null.
    packed = ", ".join(f"string_agg({sent}, ''::bytea)" for sent, _ in _PACKED)
    sql = (
        f"SELECT strut_id, {packed} FROM servicing_strut_reading "  # noqa: S608  # names from above only
        f"WHERE strut_id = ANY(%s) AND {_LIVE} GROUP BY strut_id"
    )
    with connection.cursor() as django_cursor, psycopg.Cursor(django_cursor.connection) as cursor:
        rows = cursor.execute(sql, [list(number)], binary=True).fetchall()
    rows.sort(key=lambda row: number[row[0]])
    series, *blocks = zip(*rows, strict=True) if rows else [()] * (1 + len(_PACKED))
    columns: dict[str, npt.NDArray[Any]] = {}
    for (_, sent), own in zip(_PACKED, blocks, strict=True):
        read = np.frombuffer(b"".join(own), dtype=list(sent.items()))
        columns |= {name: read[name] for name in sent}
    seen = columns["seen"].astype(np.int64)
    return StrutColumns(
        series=np.repeat(
            np.array([number[strut_id] for strut_id in series], np.int64),
            [len(own) // _ID_BYTES for own in blocks[0]],
        ),
        reading_id=columns["reading_id"],
        day=_POSTGRES_EPOCH_DAY + columns["taken_at"] / 1e6 / SECONDS_PER_DAY,
        exercised=seen & _EXERCISED > 0,
        looks=seen & ~_EXERCISED,
        **{name: columns[name].astype(np.float64) for name in _FLOATS},
    )


def _selected(numbered: Mapping[uuid.UUID, int]) -> StrutColumns:
    number = {strut_id.hex: index for strut_id, index in numbered.items()}
    strut_ids = list(number)
    rows: list[tuple[Any, ...]] = []
    with connection.cursor() as cursor:
        for start in range(0, len(strut_ids), 500):  # below SQLite's limit of parameters
            some = strut_ids[start : start + 500]
            marks = ", ".join(["%s"] * len(some))
            cursor.execute(
                f"SELECT strut_id, id, taken_at, {', '.join(_FLOATS)}, exercised, {_looks_sql()} "  # noqa: S608
                f"FROM servicing_strut_reading WHERE strut_id IN ({marks}) AND {_LIVE}",
                some,
            )
            rows += cursor.fetchall()
    columns = list(zip(*rows, strict=True)) or [()] * (5 + len(_FLOATS))
    moments = np.array(columns[2], dtype="datetime64[us]").astype(np.int64)
    return StrutColumns(
        series=np.array([number[strut_id] for strut_id in columns[0]], np.int64),
        reading_id=np.frombuffer(bytes.fromhex("".join(columns[1])), dtype="V16"),
        day=moments / 1e6 / SECONDS_PER_DAY,
        exercised=np.array(columns[-2], np.bool_),
        looks=np.array(columns[-1], np.int64),
        **{name: np.array(column, np.float64) for name, column in zip(_FLOATS, columns[3:-2], strict=True)},
    )
