"""GET records/chain: an entry that someone altered behind the service's back shows."""

from typing import Any

import pytest
from rest_framework.test import APIClient

from servicing.records.chain import digest_of
from tests.builders.fleet import later
from tests.builders.records import Desk
from tests.builders.tampering import tampered

TABLE = "servicing_record_entry"


def checked(caller: APIClient) -> Any:
    answer = caller.get("/api/v1/records/chain")
    assert answer.status_code == 200, answer.content
    return answer.json()


def found(desk: Desk) -> set[tuple[int, str]]:
    report = checked(desk.caller)
    assert report["intact"] is (not report["faults"])
    return {(fault["number"], fault["code"]) for fault in report["faults"]}


def test_an_untouched_chain_is_intact_for_everyone_to_see_and_each_club_has_its_own(
    desk: Desk, member: APIClient, stranger: APIClient
) -> None:
    last = [desk.complete(done_at=later(minutes=-minutes)) for minutes in range(3)][-1]
    desk.draft("cleaned")

    assert checked(member) == {"intact": True, "entries": 3, "head_digest": last.digest, "faults": []}
    assert checked(stranger) == {"intact": True, "entries": 0, "head_digest": "0" * 64, "faults": []}


@pytest.mark.parametrize(
    ("sql", "expected"),
    [
        ("UPDATE servicing_record_entry SET description = 'all well' WHERE number = 2", {(2, "altered")}),
        ("UPDATE servicing_record_entry SET total_time_hours = 1 WHERE number = 1", {(1, "altered")}),
        ("UPDATE servicing_record_entry SET signature = 'X' WHERE number = 3", {(3, "altered")}),
        ("DELETE FROM servicing_record_entry WHERE number = 2", {(3, "missing_before"), (2, "gone")}),
        ("DELETE FROM servicing_record_entry WHERE number = 3", {(3, "gone")}),
    ],
)
def test_an_entry_altered_or_taken_out_shows(desk: Desk, sql: str, expected: set[tuple[int, str]]) -> None:
    for minutes in range(3):
        desk.complete(done_at=later(minutes=-minutes))

    tampered(TABLE, sql)

    assert found(desk) == expected


def test_an_entry_altered_and_digested_anew_still_shows(desk: Desk) -> None:
    entry = desk.complete()
    entry.description = "all well"

    tampered(
        TABLE,
        f"UPDATE servicing_record_entry SET description = 'all well', digest = '{digest_of(entry)}' WHERE number = 1",
    )

    assert found(desk) == {(1, "digest_changed")}
