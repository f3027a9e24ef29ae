"""POST records/{id}/completion: signed once, complete, and from then on unchangeable."""

from collections.abc import Mapping
from datetime import date
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction
from rest_framework.test import APIClient

from fleet.refusals import Stale
from servicing.records.actions import complete_entry
from servicing.records.models import RecordEntry
from servicing.work.models import Work
from tests.builders.fleet import NOW, next_id
from tests.builders.records import SIGNATURE, SIGNED, Desk
from tests.fleet.asking import faults, match, refused

PILOT: dict[str, Any] = {"signature": "P. Pilot", "certificate_kind": "private", "certificate_number": "1"}


def address(entry: RecordEntry) -> str:
    return f"/api/v1/records/{entry.id}/completion"


def complete(caller: APIClient, entry: RecordEntry, body: Mapping[str, Any] = SIGNED) -> Any:
    return caller.post(address(entry), body, headers=match())


def test_a_signed_entry_has_number_digest_and_the_advice_that_was_given(desk: Desk) -> None:
    entry = desk.draft()

    answer = complete(desk.caller, entry)

    shown = answer.json()
    assert (answer.status_code, shown["state"], shown["number"], shown["version"]) == (200, "completed", 1, 2)
    assert (shown["signature"], shown["previous_digest"]) == ("A. Signer", "0" * 64)
    assert len(shown["digest"]) == 64
    assert {finding["code"] for finding in shown["advice"]} == {"missing_total_time"}
    stored = desk.stored(entry)
    assert (stored.completed_by_id, stored.digest) == (desk.actor.person_id, shown["digest"])


@pytest.mark.parametrize(
    ("lacking", "field", "paragraph"),
    [
        # 14 CFR 43.9(a)(1) to (4), one by one
        ({"description": "", "data_reference": " "}, "description", "43.9(a)(1)"),
        ({"work_completed_on": None}, "work_completed_on", "43.9(a)(2)"),
        ({"performed_by": "", "approver_name": ""}, "performed_by", "43.9(a)(3)"),
        ({"certificate_number": ""}, "certificate_number", "43.9(a)(4)"),
        ({"certificate_kind": ""}, "certificate_kind", "43.9(a)(4)"),
        ({"certificate_kind": "wizard"}, "certificate_kind", "43.9(a)(4)"),
    ],
)
def test_an_entry_that_lacks_an_element_is_not_completed_and_the_paragraph_is_cited(
    desk: Desk, lacking: dict[str, Any], field: str, paragraph: str
) -> None:
    entry = desk.draft()
    RecordEntry.objects.of(desk.club).filter(pk=entry.id).update(**lacking)

    answer = complete(desk.caller, entry, {"signature": "A. Signer"})

    assert refused(answer) == (422, "entry_incomplete")
    assert [(error["field"], paragraph in error["message"]) for error in answer.json()["errors"]] == [(field, True)]
    assert desk.stored(entry).completed_at is None


def test_work_is_not_signed_before_it_was_done(desk: Desk) -> None:
    # 14 CFR 43.9(a)(2): the date of completion of the work
    entry = desk.draft()
    RecordEntry.objects.of(desk.club).filter(pk=entry.id).update(work_completed_on=date(2099, 1, 1))

    answer = complete(desk.caller, entry)

    assert refused(answer) == (422, "entry_ahead_of_work")
    assert [error["field"] for error in answer.json()["errors"]] == ["work_completed_on"]
    assert desk.stored(entry).completed_at is None


def test_elsewhere_the_elements_are_only_recommended(desk: Desk) -> None:
    desk.club.jurisdiction = "other"
    desk.club.save(update_fields=["jurisdiction"])

    answer = complete(desk.caller, desk.draft(), {"signature": "A. Signer", "certificate_kind": "licence B1"})

    codes = {finding["code"] for finding in answer.json()["advice"]}
    assert answer.status_code == 200
    assert "check_local_rules" in codes
    assert "missing_certificate_kind" not in codes


def test_a_pilots_seal_replacement_is_doubted_but_the_person_decides(desk: Desk) -> None:
    # 14 CFR 43 App. A(c): replacing strut seals is not on the list
    entry = desk.draft(Work.SEALS)

    doubted = complete(desk.caller, entry, PILOT)
    done = complete(desk.caller, entry, {**PILOT, "advice_read": True})

    assert refused(doubted) == (422, "advice_not_read")
    assert faults(doubted) == {("advice_read", "not_preventive")}
    assert "App. A(c)" in doubted.json()["errors"][0]["message"]
    assert "not_preventive" in {finding["code"] for finding in done.json()["advice"]}


def test_adding_gas_is_preventive_maintenance_and_asks_only_for_the_declaration(desk: Desk) -> None:
    # 14 CFR 43 App. A(c)(3); the club's own use makes "owned or operated" a question
    done = complete(desk.caller, desk.draft(), PILOT)

    assert {finding["code"] for finding in done.json()["advice"]} == {
        "missing_total_time",
        "operator_unclear",
        "declaration_missing",
    }


def test_only_what_was_read_is_signed(desk: Desk) -> None:
    entry = desk.draft()
    desk.caller.patch(f"/api/v1/records/{entry.id}", {"location": "Hangar 2"}, headers=match())

    stale = complete(desk.caller, entry)
    blind = desk.caller.post(address(entry), SIGNED)

    with pytest.raises(Stale):  # one who read the same version as another, and came to sign after that one's change
        complete_entry(actor=desk.actor, now=NOW, entry_id=entry.id, version=1, signature=SIGNATURE)
    assert refused(stale) == (412, "stale_version")
    assert refused(blind) == (428, "if_match_required")
    assert desk.stored(entry).completed_at is None


def test_the_same_key_signs_once_and_another_key_finds_it_signed(desk: Desk) -> None:
    entry = desk.draft()

    headers = {**match(), "Idempotency-Key": "k1"}
    first, again = (desk.caller.post(address(entry), SIGNED, headers=headers) for _ in range(2))
    other = desk.caller.post(address(entry), SIGNED, headers={**match(2), "Idempotency-Key": "k2"})

    assert (first.status_code, first.content) == (again.status_code, again.content) == (200, first.content)
    assert refused(other) == (409, "entry_completed")
    assert RecordEntry.objects.of(desk.club).filter(number__isnull=False).count() == 1


def test_a_refusal_is_not_kept_under_its_key(desk: Desk) -> None:
    entry = desk.draft(Work.SEALS)
    headers = {**match(), "Idempotency-Key": "k1"}

    refusal = desk.caller.post(address(entry), PILOT, headers=headers)
    done = desk.caller.post(address(entry), {**PILOT, "advice_read": True}, headers=headers)

    assert (refusal.status_code, done.status_code) == (422, 200)


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ({}, {("signature", "required")}),
        (
            {
                "signature": "",
                "approver_name": "x" * 121,
                "certificate_kind": "x" * 41,
                "certificate_number": "x" * 41,
                "advice_read": "perhaps",
                "date": "2026-03-02",
            },
            {
                ("signature", "blank"),
                ("approver_name", "max_length"),
                ("certificate_kind", "max_length"),
                ("certificate_number", "max_length"),
                ("advice_read", "invalid"),
                ("date", "unknown_field"),
            },
        ),
    ],
)
def test_every_faulty_field_is_named(desk: Desk, body: dict[str, Any], expected: set[tuple[str, str]]) -> None:
    answer = complete(desk.caller, desk.draft(), body)

    assert (answer.status_code, faults(answer)) == (400, expected)


def test_a_discarded_draft_is_not_signed(desk: Desk) -> None:
    entry = desk.draft()
    desk.caller.delete(f"/api/v1/records/{entry.id}", headers=match())

    assert refused(desk.caller.post(address(entry), SIGNED, headers=match(2))) == (409, "entry_discarded")


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE servicing_record_entry SET description = 'x'",
        "UPDATE servicing_record_entry SET completed_at = NULL",
        "DELETE FROM servicing_record_entry",
    ],
)
def test_the_database_lets_nobody_change_a_completed_entry(desk: Desk, sql: str) -> None:
    entry = desk.complete()

    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(sql)
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        RecordEntry.objects.of(desk.club).update(signature="someone else")
    assert desk.stored(entry).signature == "A. Signer"


def test_strangers_find_nothing_and_members_may_not_sign(desk: Desk, stranger: APIClient, member: APIClient) -> None:
    entry = desk.draft()

    assert refused(complete(stranger, entry)) == (404, "not_found")
    assert refused(complete(member, entry)) == (403, "role_too_low")
    nobody = desk.caller.post(f"/api/v1/records/{next_id()}/completion", SIGNED, headers=match())
    assert refused(nobody) == (404, "not_found")
    assert desk.stored(entry).completed_at is None
