"""GET records: drafts and completed entries, newest first."""

from typing import Any

from rest_framework.test import APIClient

from servicing.records.actions import discard_draft
from servicing.work.models import Work
from tests.builders.fleet import NOW, a_leg, an_aircraft, next_id
from tests.builders.records import Desk
from tests.fleet.asking import faults

ADDRESS = "/api/v1/records"


def listed(caller: APIClient, **filters: Any) -> list[str]:
    answer = caller.get(ADDRESS, filters)
    assert answer.status_code == 200, answer.content
    return [row["id"] for row in answer.json()["items"]]


def test_entries_are_listed_by_state_and_discarded_ones_only_when_asked_for(desk: Desk, member: APIClient) -> None:
    completed, draft, discarded = desk.complete(), desk.draft(Work.CLEANED), desk.draft(Work.VALVE_CORE)
    discard_draft(actor=desk.actor, now=NOW, entry_id=discarded.id, version=1)

    assert set(listed(member)) == {str(completed.id), str(draft.id)}
    assert listed(member, state="completed") == [str(completed.id)]
    assert listed(member, state="draft") == [str(draft.id)]
    assert listed(member, state="discarded") == [str(discarded.id)]


def test_one_aircrafts_entries_are_found(desk: Desk) -> None:
    entry = desk.draft()
    other = a_leg(desk.club, aircraft=an_aircraft(desk.club))

    assert listed(desk.caller, aircraft=desk.leg.aircraft_id) == [str(entry.id)]
    assert listed(desk.caller, aircraft=other.aircraft_id) == []
    assert listed(desk.caller, aircraft=next_id()) == []


def test_pages_follow_each_other_without_gap_or_repeat(desk: Desk) -> None:
    wanted = {str(desk.draft(work).id) for work in (Work.GAS_ADDED, Work.CLEANED, Work.VALVE_CORE)}

    first = desk.caller.get(ADDRESS, {"limit": 2})
    address = first["Link"].partition(">")[0].removeprefix("<")
    second = desk.caller.get(address)

    found = [row["id"] for answer in (first, second) for row in answer.json()["items"]]
    assert (len(found), set(found)) == (3, wanted)


def test_every_faulty_filter_is_named(desk: Desk) -> None:
    answer = desk.caller.get(ADDRESS, {"aircraft": "x", "state": "lost"})

    assert (answer.status_code, faults(answer)) == (400, {("aircraft", "invalid"), ("state", "invalid_choice")})


def test_a_stranger_sees_none(desk: Desk, stranger: APIClient) -> None:
    desk.complete()

    assert listed(stranger) == []
