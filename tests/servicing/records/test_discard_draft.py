"""DELETE records/{id}: a draft is put away, and stays to be seen."""

from rest_framework.test import APIClient

from fleet.audit.models import AuditEntry
from tests.builders.fleet import next_id
from tests.builders.records import Desk
from tests.fleet.asking import match, refused

ADDRESS = "/api/v1/records"


def test_a_discarded_draft_stays_to_be_seen(desk: Desk) -> None:
    address = f"{ADDRESS}/{desk.draft().id}"

    answer = desk.caller.delete(address, headers=match())

    assert (answer.status_code, answer.content) == (204, b"")
    assert desk.caller.get(address).json()["state"] == "discarded"
    assert AuditEntry.objects.of(desk.club).filter(action="record entry discarded").count() == 1


def test_it_is_discarded_once_and_only_as_it_was_read(desk: Desk) -> None:
    address = f"{ADDRESS}/{desk.draft().id}"

    assert refused(desk.caller.delete(address)) == (428, "if_match_required")
    assert refused(desk.caller.delete(address, headers=match(7))) == (412, "stale_version")
    assert desk.caller.delete(address, headers=match()).status_code == 204
    assert refused(desk.caller.delete(address, headers=match(2))) == (409, "entry_discarded")


def test_a_completed_entry_is_never_put_away(desk: Desk) -> None:
    entry = desk.complete()

    answer = desk.caller.delete(f"{ADDRESS}/{entry.id}", headers=match(2))

    assert refused(answer) == (409, "entry_completed")
    assert desk.stored(entry).discarded_at is None


def test_strangers_find_nothing_and_members_may_not_discard(
    desk: Desk, stranger: APIClient, member: APIClient
) -> None:
    address = f"{ADDRESS}/{desk.draft().id}"

    assert refused(stranger.delete(address, headers=match())) == (404, "not_found")
    assert refused(member.delete(address, headers=match())) == (403, "role_too_low")
    assert refused(desk.caller.delete(f"{ADDRESS}/{next_id()}", headers=match())) == (404, "not_found")
