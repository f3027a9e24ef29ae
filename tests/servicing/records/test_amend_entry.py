"""POST records/{id}/amendments: a completed entry stays as it is, and a new one says what is right."""

from typing import Any

import pytest
from rest_framework.test import APIClient

from servicing.records.models import RecordEntry
from servicing.records.printing import lines_of
from servicing.work.models import Work
from tests.builders.fleet import next_id
from tests.builders.records import SIGNED, Desk
from tests.fleet.asking import faults, match, refused

REASON = {"reason": "length misread"}


def amend(caller: APIClient, entry: RecordEntry, body: dict[str, Any] = REASON, **headers: str) -> Any:
    return caller.post(f"/api/v1/records/{entry.id}/amendments", body, headers=headers)


def test_an_amendment_begins_with_all_that_the_old_entry_says_except_its_signature(desk: Desk) -> None:
    entry = desk.complete()

    answer = amend(desk.caller, entry)

    shown = answer.json()
    assert (answer.status_code, shown["state"], shown["amends"]) == (201, "draft", str(entry.id))
    assert (shown["amendment_reason"], shown["description"]) == ("length misread", entry.description)
    assert (shown["signature"], shown["number"], shown["digest"]) == ("", None, "")


def test_completed_it_is_the_next_of_the_chain_and_the_old_entry_still_says_what_it_said(desk: Desk) -> None:
    entry = desk.complete()
    amendment = f"/api/v1/records/{amend(desk.caller, entry).json()['id']}"
    desk.caller.patch(amendment, {"description": "4.25 in left, not 4.50."}, headers=match())

    done = desk.caller.post(f"{amendment}/completion", SIGNED, headers=match(2)).json()

    assert (done["number"], done["previous_digest"]) == (2, entry.digest)
    assert "4.50 in left" in desk.stored(entry).description


def test_an_entry_names_the_completed_ones_that_amend_it_wherever_it_is_read(desk: Desk) -> None:
    entry = desk.complete()
    drafted = amend(desk.caller, entry).json()["id"]
    at_first = desk.caller.get(f"/api/v1/records/{entry.id}").json()

    desk.caller.post(f"/api/v1/records/{drafted}/completion", SIGNED, headers=match())

    listed = {row["id"]: row["amended_by"] for row in desk.caller.get("/api/v1/records").json()["items"]}
    assert at_first["amended_by"] == []
    assert listed == {str(entry.id): [drafted], drafted: []}
    assert desk.caller.get(f"/api/v1/records/{entry.id}").json()["amended_by"] == [drafted]
    assert (
        "Amended by: entry 2: length misread"
        in desk.caller.get(f"/api/v1/records/{entry.id}/entry.txt").content.decode()
    )


def test_amended_twice_an_entry_names_both_in_their_order_and_no_other_entry_does(desk: Desk) -> None:
    entry, other = desk.complete(), desk.complete(kind=Work.CLEANED)
    amendments = []
    for reason in ("misread", "wrong strut"):
        amendments.append(amend(desk.caller, entry, {"reason": reason}).json()["id"])
        desk.caller.post(f"/api/v1/records/{amendments[-1]}/completion", SIGNED, headers=match())

    shown = [desk.caller.get(f"/api/v1/records/{each.id}").json()["amended_by"] for each in (entry, other)]

    assert shown == [amendments, []]
    # Read without what `entries_of` fetches beside, it says the same.
    assert ("Amended by", "entry 3: misread; entry 4: wrong strut") in lines_of(desk.stored(entry))
    assert "Amended by" not in dict(lines_of(desk.stored(other)))


def test_only_a_completed_entry_is_amended(desk: Desk) -> None:
    assert refused(amend(desk.caller, desk.draft())) == (409, "clash")


def test_an_amendment_sent_again_is_the_same_by_id_or_by_key(desk: Desk) -> None:
    entry, mine = desk.complete(), {**REASON, "id": str(next_id())}

    by_id = [amend(desk.caller, entry, mine).status_code for _ in range(2)]
    first, again = (amend(desk.caller, entry, REASON, **{"Idempotency-Key": "k1"}) for _ in range(2))

    assert by_id == [201, 200]
    assert (first.status_code, again.content) == (201, first.content)
    assert RecordEntry.objects.of(desk.club).filter(amends=entry).count() == 2


def test_an_id_of_another_entry_is_refused(desk: Desk) -> None:
    entry, other = desk.complete(), desk.draft(Work.CLEANED)

    assert refused(amend(desk.caller, entry, {**REASON, "id": str(other.id)})) == (409, "clash")


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ({}, {("reason", "required")}),
        ({"reason": " "}, {("reason", "blank")}),
        (
            {"reason": "x" * 201, "id": "x", "entry": "y"},
            {("reason", "max_length"), ("id", "invalid"), ("entry", "unknown_field")},
        ),
    ],
)
def test_every_faulty_field_is_named(desk: Desk, body: dict[str, Any], expected: set[tuple[str, str]]) -> None:
    answer = amend(desk.caller, desk.complete(), body)

    assert (answer.status_code, faults(answer)) == (400, expected)


def test_strangers_find_nothing_and_members_may_not_amend(desk: Desk, stranger: APIClient, member: APIClient) -> None:
    entry = desk.complete()

    assert refused(amend(stranger, entry)) == (404, "not_found")
    assert refused(amend(member, entry)) == (403, "role_too_low")
    assert not RecordEntry.objects.of(desk.club).filter(amends=entry).exists()
