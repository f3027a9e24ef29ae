"""GET records/chain: an entry that someone altered behind the service's back shows."""

import uuid
from typing import Any

import pytest
from django.db import connection
from rest_framework.test import APIClient

from fleet.operators.models import Operator
from servicing.records.actions import amend_entry, complete_entry
from servicing.records.chain import digest_of
from tests.builders.fleet import later
from tests.builders.records import SIGNATURE, Desk
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
        ("DELETE FROM servicing_record_entry", {(1, "gone"), (2, "gone"), (3, "gone")}),
        # put back among the drafts
        (
            "UPDATE servicing_record_entry SET completed_at = NULL, number = NULL, digest = '' WHERE number = 3",
            {(3, "gone")},
        ),
        (
            "UPDATE servicing_record_entry SET completed_at = NULL, number = NULL, digest = '' WHERE number = 2",
            {(3, "missing_before"), (2, "gone")},
        ),
        # backdated, or said to be signed by someone else
        ("UPDATE servicing_record_entry SET work_completed_on = '2026-01-01' WHERE number = 2", {(2, "altered")}),
        ("UPDATE servicing_record_entry SET completed_by_id = NULL WHERE number = 2", {(2, "altered")}),
        ("UPDATE servicing_record_entry SET advice = '[]' WHERE number = 1", {(1, "altered")}),
    ],
)
def test_an_entry_altered_or_taken_out_shows(desk: Desk, sql: str, expected: set[tuple[int, str]]) -> None:
    for minutes in range(3):
        desk.complete(done_at=later(minutes=-minutes))

    tampered(TABLE, sql)

    assert found(desk) == expected


def test_entries_put_in_another_order_show(desk: Desk) -> None:
    for minutes in range(3):
        desk.complete(done_at=later(minutes=-minutes))

    for before, after in ((2, 9), (3, 2), (9, 3)):
        tampered(TABLE, f"UPDATE servicing_record_entry SET number = {after} WHERE number = {before}")

    swapped = {(number, code) for number in (2, 3) for code in ("unlinked", "altered", "gone")}
    assert found(desk) == swapped


def test_an_entry_that_was_amended_shows_when_altered_and_so_does_its_amendment_pointed_elsewhere(desk: Desk) -> None:
    first, other = desk.complete(), desk.complete(done_at=later(minutes=-1))
    amendment, _ = amend_entry(actor=desk.actor, now=later(minutes=5), entry_id=first.id, reason="misread")
    complete_entry(actor=desk.actor, now=later(minutes=6), entry_id=amendment.id, version=1, signature=SIGNATURE)
    assert found(desk) == set()

    tampered(TABLE, "UPDATE servicing_record_entry SET description = 'all well' WHERE number = 1")
    tampered(TABLE, f"UPDATE servicing_record_entry SET amends_id = {as_sql(other.id)} WHERE number = 3")

    assert found(desk) == {(1, "altered"), (3, "altered")}


def test_an_entry_put_at_the_end_with_a_digest_that_fits_shows(desk: Desk) -> None:
    last = desk.complete()
    forged = desk.draft(done_at=later(minutes=-1))
    forged.completed_at, forged.number, forged.previous_digest = later(minutes=9), 2, last.digest
    forged.digest = digest_of(forged)

    forged.save(force_update=True)  # a draft may be changed: the database lets this pass

    assert found(desk) == {(2, "not_noted")}


def test_an_entry_handed_to_another_club_shows_at_both(desk: Desk, stranger: APIClient) -> None:
    desk.complete()
    desk.complete(done_at=later(minutes=-1))
    theirs = Operator.objects.exclude(pk=desk.club.pk).get()

    tampered(TABLE, f"UPDATE servicing_record_entry SET operator_id = {as_sql(theirs.id)} WHERE number = 2")

    assert found(desk) == {(2, "gone")}
    assert not checked(stranger)["intact"]


def test_who_takes_the_last_entry_and_the_note_of_it_is_found_by_the_digest_kept_elsewhere(desk: Desk) -> None:
    desk.complete()
    last = desk.complete(done_at=later(minutes=-1))
    kept = checked(desk.caller)["head_digest"]

    tampered(TABLE, "DELETE FROM servicing_record_entry WHERE number = 2")
    tampered("fleet_audit_entry", f"DELETE FROM fleet_audit_entry WHERE subject_id = {as_sql(last.id)}")

    report = checked(desk.caller)
    assert (report["intact"], report["entries"]) == (True, 1)
    assert report["head_digest"] != kept


def as_sql(number: uuid.UUID) -> str:
    return f"'{number if connection.vendor == 'postgresql' else number.hex}'"


def test_an_entry_altered_and_digested_anew_still_shows(desk: Desk) -> None:
    entry = desk.complete()
    entry.description = "all well"

    tampered(
        TABLE,
        f"UPDATE servicing_record_entry SET description = 'all well', digest = '{digest_of(entry)}' WHERE number = 1",
    )

    assert found(desk) == {(1, "digest_changed")}
