"""GET records/{id}: one entry with what the published rules say about it."""

from typing import Any

from rest_framework.test import APIClient

from servicing.records.actions import draft_entry
from servicing.records.drafting import source_of_top_up
from servicing.work.actions import correct_servicing
from servicing.work.models import Servicing, Work
from servicing.work.top_up_actions import add_step, finish_top_up, start_top_up
from tests.builders.fleet import NOW, later, next_id
from tests.builders.records import Desk
from tests.builders.work import a_hand_pump, dose, look, servicing_row
from tests.fleet.asking import refused

ADDRESS = "/api/v1/records"


def codes(desk: Desk, entry_id: object) -> set[str]:
    return {finding["code"] for finding in desk.caller.get(f"{ADDRESS}/{entry_id}").json()["advice"]}


def test_an_entry_is_read_by_everyone_of_the_club_with_its_tag_and_without_a_new_answer_when_unchanged(
    desk: Desk, member: APIClient
) -> None:
    entry = desk.draft()

    answer = member.get(f"{ADDRESS}/{entry.id}")
    unchanged = member.get(f"{ADDRESS}/{entry.id}", headers={"If-None-Match": answer["ETag"]})

    assert (answer.status_code, answer.json()["id"]) == (200, str(entry.id))
    assert unchanged.status_code == 304


def test_a_draft_of_work_that_was_corrected_since_says_so(desk: Desk) -> None:
    entry = desk.draft()
    assert "work_corrected" not in codes(desk, entry.id)

    gas = Servicing.objects.of(desk.club).get()
    row = servicing_row(desk.leg, extension_before_in=3.25)
    correct_servicing(actor=desk.actor, now=NOW, servicing_id=gas.id, row=row, reason="misread")

    assert "work_corrected" in codes(desk, entry.id)


def test_a_completed_entry_says_so_too_beside_the_advice_that_was_given_and_stays_as_it_is(desk: Desk) -> None:
    entry = desk.complete()
    gas = Servicing.objects.of(desk.club).get()
    row = servicing_row(desk.leg, extension_before_in=3.25)
    correct_servicing(actor=desk.actor, now=later(days=1), servicing_id=gas.id, row=row, reason="misread")

    assert "work_corrected" in codes(desk, entry.id)
    assert "work_corrected" not in {finding["code"] for finding in desk.stored(entry).advice}
    assert desk.caller.get(f"{ADDRESS}/chain").json()["intact"]
    listed = desk.caller.get(ADDRESS).json()["items"][0]
    assert "work_corrected" in {finding["code"] for finding in listed["advice"]}


def test_gas_corrected_in_any_sitting_of_a_top_up_is_told_at_its_entry(desk: Desk) -> None:
    pump = a_hand_pump(desk.club)
    start: dict[str, Any] = {"actor": desk.actor, "leg_id": desk.leg.id, "equipment_id": pump.id}
    top_up, _ = start_top_up(now=NOW, look=look(2.5), **start)
    for amount, length, minutes in ((4, 3.5, 5), (4, 4.5, 48 * 60)):
        now = later(minutes=minutes)
        row = dose(amount, length, minutes=minutes)
        top_up, _, _ = add_step(actor=desk.actor, now=now, top_up_id=top_up.id, row=row)
    finish_top_up(actor=desk.actor, now=later(days=2), top_up_id=top_up.id, version=top_up.version)
    source = source_of_top_up(desk.club, top_up.id)
    entry, _ = draft_entry(actor=desk.actor, now=later(days=3), source=source)
    assert "work_corrected" not in codes(desk, entry.id)

    first = source.servicings[0]
    right = servicing_row(desk.leg, done_at=first.done_at, strokes=5, extension_before_in=2.5)
    correct_servicing(actor=desk.actor, now=later(days=4), servicing_id=first.id, row=right, reason="five, not four")

    assert "work_corrected" in codes(desk, entry.id)


def test_elsewhere_local_rules_are_named_and_no_retention_is_claimed(desk: Desk) -> None:
    desk.club.jurisdiction = "other"
    desk.club.save(update_fields=["jurisdiction"])
    entry = desk.draft()

    shown = desk.caller.get(f"{ADDRESS}/{entry.id}").json()

    assert [finding["code"] for finding in shown["advice"]].count("check_local_rules") == 1
    assert "local rules" in shown["retention"]
    assert shown["retention_met_on"] is None


def test_work_that_the_list_of_preventive_maintenance_does_not_name_is_pointed_out_to_a_pilot(desk: Desk) -> None:
    # 14 CFR 43 App. A(c)
    entry = desk.draft(Work.VALVE_CORE)
    change = desk.caller.patch(f"{ADDRESS}/{entry.id}", {"certificate_kind": "private"}, headers={"If-Match": '"1"'})

    assert change.status_code == 200
    assert {"not_named_in_list", "declaration_missing"} <= codes(desk, entry.id)


def test_an_entry_that_is_not_there_and_one_of_another_club_are_not_found(desk: Desk, stranger: APIClient) -> None:
    assert refused(stranger.get(f"{ADDRESS}/{desk.draft().id}")) == (404, "not_found")
    assert refused(desk.caller.get(f"{ADDRESS}/{next_id()}")) == (404, "not_found")
