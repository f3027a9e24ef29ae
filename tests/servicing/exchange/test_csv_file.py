"""What a CSV file may be like, and what is refused with a word on how to put it right."""

import pytest

from fleet.refusals import FieldFault
from servicing.exchange.cells import read_rows
from servicing.exchange.csv_file import BadFile, open_file
from servicing.exchange.reading_columns import STRUT_COLUMNS
from tests.builders.files import READINGS_HEADER, a_file

ROW = "XX-1,nose,2026-01-01T10:00:00Z,3 1/4,40,100,yes"


def rows_of(content: bytes) -> list[dict[str, object]]:
    return [row.values for row in read_rows(open_file(content, STRUT_COLUMNS))]


def faults(content: bytes) -> list[tuple[str, str]]:
    with pytest.raises(BadFile) as refusal:
        open_file(content, STRUT_COLUMNS)
    return [(fault.field, fault.code) for fault in refusal.value.faults]


@pytest.mark.parametrize(
    "content",
    [
        a_file(READINGS_HEADER, [ROW]),
        b"\xef\xbb\xbf" + a_file(READINGS_HEADER, [ROW]),
        a_file(READINGS_HEADER, [ROW]).replace(b"\n", b"\r\n"),
        a_file(READINGS_HEADER, [ROW]).rstrip(),
        a_file(READINGS_HEADER, ["", ROW, "", ""]),
        a_file(READINGS_HEADER, [ROW.replace("nose", '"nose"')]),
        a_file(READINGS_HEADER.replace("extension [in]", "extension [ inch ]"), [ROW]),
    ],
)
def test_byte_order_marks_line_ends_quotes_and_blank_lines_do_not_matter(content: bytes) -> None:
    (row,) = rows_of(content)

    assert row["extension"].internal == 3.25  # type: ignore[attr-defined]  # a quantity
    assert row["extension"].as_read == {"value": 3.25, "unit": "in"}  # type: ignore[attr-defined]
    assert (row["aircraft"], row["leg"], row["exercised"]) == ("XX-1", "nose", True)


def test_the_header_says_the_unit() -> None:
    header = READINGS_HEADER.replace("[in]", "[mm]").replace("[degF]", "[degC]").replace("[lb]", "[kg]")

    (row,) = rows_of(a_file(header, ["XX-1,nose,2026-01-01T10:00:00Z,82.55,15,100,no"]))

    assert row["extension"].internal == pytest.approx(3.25)  # type: ignore[attr-defined]
    assert row["temperature"].internal == pytest.approx(59.0)  # type: ignore[attr-defined]
    assert row["fuel"].internal == pytest.approx(220.462, abs=5e-4)  # type: ignore[attr-defined]  # NIST SP 811


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"", [("file", "empty")]),
        (b"\xff\xfea\x00", [("file", "not_utf_8")]),
        (b"aircraft,note\nXX,caf\xe9\n", [("file", "not_utf_8")]),
        (b"air\0craft,leg\n", [("file", "not_text")]),
        (READINGS_HEADER.replace(",", ";").encode(), [("file", "separator")]),
        (READINGS_HEADER.replace(",", "\t").encode(), [("file", "separator")]),
        (READINGS_HEADER.replace("[in]", "").encode(), [("extension", "unit_missing")]),
        (READINGS_HEADER.replace("[in]", "[psi]").encode(), [("extension", "unit_of_other_quantity")]),
        (READINGS_HEADER.replace("[in]", "[ell]").encode(), [("extension", "unit_unknown")]),
        (READINGS_HEADER.replace("exercised", "exercised [in]").encode(), [("exercised", "unit_not_expected")]),
        (READINGS_HEADER.replace("fuel", "petrol").encode(), [("petrol", "unknown_column")]),
        (f"{READINGS_HEADER},leg".encode(), [("leg", "column_twice")]),
        (b"aircraft,taken_at", [("leg", "column_missing"), ("extension", "column_missing")]),
        (f"{READINGS_HEADER},".encode(), [("column 8", "malformed_header")]),
    ],
)
def test_a_header_that_cannot_be_right_is_refused_with_every_fault(
    content: bytes, expected: list[tuple[str, str]]
) -> None:
    assert faults(content) == expected


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("XX-1,nose,2026-01-01T10:00:00Z,3,25,40,100,yes", ("row", "wrong_number_of_cells")),
        ("XX-1,nose", ("row", "wrong_number_of_cells")),
        ('XX-1,nose,2026-01-01T10:00:00Z,"3,25",40,100,yes', ("extension", "decimal_comma")),
        ("XX-1,nose,2026-01-01T10:00:00Z,13/4,40,100,yes", ("extension", "improper_fraction")),
        ("XX-1,nose,2026-01-01T10:00:00Z,low,40,100,yes", ("extension", "not_a_number")),
        ("XX-1,nose,2026-01-01T10:00:00Z,nan,40,100,yes", ("extension", "not_a_number")),
        ("XX-1,nose,2026-01-01T10:00:00Z,,40,100,yes", ("extension", "required")),
        ("XX-1,nose,2026-01-01 10:00,3,40,100,yes", ("taken_at", "no_time_zone")),
        ("XX-1,nose,01/02/2026,3,40,100,yes", ("taken_at", "not_a_time")),
        ("XX-1,front,2026-01-01T10:00:00Z,3,40,100,yes", ("leg", "unknown_choice")),
        ("XX-1,nose,2026-01-01T10:00:00Z,3,40,100,perhaps", ("exercised", "not_yes_or_no")),
    ],
)
def test_a_cell_that_cannot_be_right_is_named(row: str, expected: tuple[str, str]) -> None:
    found = list(read_rows(open_file(a_file(READINGS_HEADER, [ROW, row]), STRUT_COLUMNS)))

    assert [found[0].faults, found[1].number] == [(), 3]
    assert [(fault.field, fault.code) for fault in found[1].faults] == [expected]


def test_all_faults_of_a_row_come_at_once() -> None:
    (row,) = read_rows(open_file(a_file(READINGS_HEADER, [",front,today,x,y,z,?"]), STRUT_COLUMNS))

    assert [fault.field for fault in row.faults] == [
        "aircraft", "leg", "taken_at", "extension", "temperature", "fuel", "exercised",
    ]  # fmt: skip


def test_a_broken_quote_ends_the_file_with_a_fault() -> None:
    found = list(open_file(a_file(READINGS_HEADER, [ROW, ROW.replace("nose", '"no"se')]), STRUT_COLUMNS).rows())

    assert [number for number, _ in found] == [2, 3]
    assert isinstance(found[1][1], FieldFault)


def test_words_that_were_neutralised_come_back() -> None:
    header = f"{READINGS_HEADER},note"

    (row,) = rows_of(a_file(header, [f"{ROW},'=1+1"]))

    assert row["note"] == "=1+1"
