"""PATCH records/{id}: what a draft says may change until it is completed."""

import pytest
from rest_framework.test import APIClient

from fleet.audit.models import AuditEntry
from servicing.records.actions import EDITABLE, discard_draft
from tests.builders.fleet import NOW, next_id
from tests.builders.records import Desk
from tests.fleet.asking import faults, match, refused

ADDRESS = "/api/v1/records"
EVERYTHING = {
    "description": "Strut filled.",
    "data_reference": "Manual, chapter 32",
    "parts": "strut S-77",
    "location": "Hangar 2",
    "work_completed_on": "2026-03-01",
    "performed_by": "B. Helper",
    "approver_name": "C. Signer",
    "certificate_kind": "repair station",
    "certificate_number": "XR1",
    "declaration": "I operate this aircraft.",
    "operation": "private",
    "total_time_hours": 4812.6,
    "total_landings": 9001,
}


def test_everything_that_a_person_may_write_is_changed_and_the_rest_stays(desk: Desk) -> None:
    entry = desk.draft()

    answer = desk.caller.patch(f"{ADDRESS}/{entry.id}", EVERYTHING, headers=match())

    shown = answer.json()
    assert (answer.status_code, shown["version"]) == (200, 2)
    assert set(EVERYTHING) == set(EDITABLE)
    assert {name: shown[name] for name in EVERYTHING} == EVERYTHING
    assert (shown["tasks"], shown["state"]) == (["gas added"], "draft")


def test_who_changed_what_is_kept_with_before_and_after(desk: Desk) -> None:
    entry = desk.draft()

    desk.caller.patch(f"{ADDRESS}/{entry.id}", {"location": "Hangar 2"}, headers=match())

    trail = AuditEntry.objects.of(desk.club).get(action="record entry changed")
    assert (trail.before, trail.after) == ({"location": ""}, {"location": "Hangar 2"})
    assert trail.person_id == desk.actor.person_id


def test_a_draft_is_changed_only_as_it_was_read(desk: Desk) -> None:
    address = f"{ADDRESS}/{desk.draft().id}"
    desk.caller.patch(address, {"location": "Hangar 2"}, headers=match())

    stale = desk.caller.patch(address, {"location": "Hangar 3"}, headers=match())
    blind = desk.caller.patch(address, {"location": "Hangar 3"})

    assert refused(stale) == (412, "stale_version")
    assert refused(blind) == (428, "if_match_required")
    assert desk.caller.get(address).json()["location"] == "Hangar 2"


def test_every_faulty_field_is_named_and_nothing_is_changed(desk: Desk) -> None:
    entry = desk.draft()
    wrong = dict.fromkeys(EVERYTHING, "x" * 5001) | {"total_time_hours": -1, "total_landings": 1.5, "digest": "0"}

    answer = desk.caller.patch(f"{ADDRESS}/{entry.id}", wrong, headers=match())

    assert answer.status_code == 400
    assert {field for field, _ in faults(answer)} == {*EVERYTHING, "digest"}
    assert desk.stored(entry).version == 1


@pytest.mark.parametrize("value", ["", " ", "2026-02-30"])
def test_a_date_is_one(desk: Desk, value: str) -> None:
    answer = desk.caller.patch(f"{ADDRESS}/{desk.draft().id}", {"work_completed_on": value}, headers=match())

    assert faults(answer) == {("work_completed_on", "invalid")}


def test_completed_and_discarded_entries_do_not_change(desk: Desk) -> None:
    completed, discarded = desk.complete(), desk.draft("cleaned")
    discard_draft(actor=desk.actor, now=NOW, entry_id=discarded.id, version=1)

    answers = [
        desk.caller.patch(f"{ADDRESS}/{entry.id}", {"location": "x"}, headers=match(2))
        for entry in (completed, discarded)
    ]

    assert [refused(answer) for answer in answers] == [(409, "entry_completed"), (409, "entry_discarded")]


def test_strangers_find_nothing_and_members_may_not_change(
    desk: Desk, stranger: APIClient, member: APIClient
) -> None:
    address = f"{ADDRESS}/{desk.draft().id}"

    assert refused(stranger.patch(address, {"location": "x"}, headers=match())) == (404, "not_found")
    assert refused(member.patch(address, {"location": "x"}, headers=match())) == (403, "role_too_low")
    assert desk.caller.patch(f"{ADDRESS}/{next_id()}", {}, headers=match()).status_code == 404
