"""A million corrections with uncertainties against fetching the same million rows from PostgreSQL."""

import os
import time
from collections.abc import Iterator

import numpy as np
import numpy.typing as npt
import psycopg
import pytest

from calculations.strut import Correction, StrutFigures, StrutUncertainty, correct_extension
from deploy.starting.servers import postgres, postgres_folder

ROWS = 1_000_000
TRIES = 5

# Binary COPY: 19 bytes of header; per row a count of fields, then length and value of each.
COLUMNS = ("extension_in", "temperature_f", "load_lbf", "tube_diameter_in", "gas_column_in", "exercised")
ROW = np.dtype(
    [("fields", ">i2")]
    + [part for name in COLUMNS[:-1] for part in ((f"{name}_length", ">i4"), (name, ">f8"))]
    + [("exercised_length", ">i4"), ("exercised", "i1")]
)
HEADER_BYTES = 19


@pytest.fixture
def database() -> Iterator[str]:
    """Return the server of DATABASE_URL, else one that is thrown away."""
    if (url := os.environ.get("DATABASE_URL", "")).startswith("postgres"):
        yield url
    elif (programs := postgres_folder()) is None:
        pytest.skip("compares with a PostgreSQL server, and there is none")
    else:
        with postgres(programs) as url:
            yield url


@pytest.mark.benchmark
def test_computing_is_never_the_slow_part(database: str, capsys: pytest.CaptureFixture[str]) -> None:
    with psycopg.connect(database) as connection:
        connection.execute(
            "CREATE TEMPORARY TABLE reading AS SELECT 2 + 5 * random() AS extension_in,"
            " 100 * random() AS temperature_f, 600 + 400 * random() AS load_lbf,"
            " 2 + random() AS tube_diameter_in, 1 + 3 * random() AS gas_column_in,"
            " random() < 0.5 AS exercised FROM generate_series(1, 1000000)"
        )
        _correct(_decode(_fetch(connection)))  # gas tables made, pages warm
        fetch_s, decode_s, correct_s = [], [], []
        for _ in range(TRIES):
            start = time.perf_counter()
            data = _fetch(connection)
            fetched = time.perf_counter()
            rows = _decode(data)
            decoded = time.perf_counter()
            found = _correct(rows)
            fetch_s.append(fetched - start)
            decode_s.append(decoded - fetched)
            correct_s.append(time.perf_counter() - decoded)
    fetch, decode, correct = min(fetch_s), min(decode_s), min(correct_s)
    with capsys.disabled():
        print(  # noqa: T201  # the figures are what a benchmark is run for
            f"\n{ROWS:,} rows, best of {TRIES}: binary COPY {fetch:.3f} s (and {decode:.3f} s to arrays), "
            f"correcting {correct:.3f} s, ratio {correct / fetch:.2f}"
        )
    assert found.uncertainty_in.size == ROWS
    assert np.isfinite(found.uncertainty_in).all()
    assert correct <= fetch


def _fetch(connection: psycopg.Connection) -> bytes:
    query = f"COPY (SELECT {', '.join(COLUMNS)} FROM reading) TO STDOUT (FORMAT BINARY)"
    with connection.cursor().copy(query) as copy:  # type: ignore[arg-type]  # names from above only
        return b"".join(copy)


def _decode(data: bytes) -> dict[str, npt.NDArray[np.float64]]:
    count = (len(data) - HEADER_BYTES) // ROW.itemsize
    rows = np.frombuffer(data, dtype=ROW, offset=HEADER_BYTES, count=count)
    return {name: rows[name].astype(np.float64) for name in COLUMNS}


def _correct(rows: dict[str, npt.NDArray[np.float64]]) -> Correction:
    figures = StrutFigures(rows["tube_diameter_in"], rows["gas_column_in"], 30.0, 12.0, 800.0)
    return correct_extension(
        rows["extension_in"],
        rows["temperature_f"],
        rows["load_lbf"],
        figures,
        exercised=rows["exercised"] > 0,
        figures_uncertainty=StrutUncertainty(0.02, 0.8, 8.0),
    )
