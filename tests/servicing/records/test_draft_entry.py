"""POST records: a draft of an entry from work, with every element that is known."""

from datetime import UTC, date, datetime
from typing import Any

import pytest
from rest_framework.test import APIClient

from servicing.records.models import RecordEntry
from servicing.usage.actions import add_usages
from servicing.usage.rows import UsageRow
from servicing.work.actions import correct_servicing
from servicing.work.models import Servicing, Work
from servicing.work.top_up_actions import add_step, finish_top_up, start_top_up
from tests.builders.fleet import NOW, later, next_id
from tests.builders.records import Desk
from tests.builders.work import a_hand_pump, dose, look, servicing_row
from tests.fleet.asking import faults, refused

ADDRESS = "/api/v1/records"


def drafted(desk: Desk, servicing: Servicing, **values: Any) -> Any:
    return desk.caller.post(ADDRESS, {"servicing": str(servicing.id), **values})


def a_top_up(desk: Desk) -> Any:
    pump = a_hand_pump(desk.club, name="Pump A")
    start: dict[str, Any] = {"actor": desk.actor, "now": NOW, "leg_id": desk.leg.id, "equipment_id": pump.id}
    return start_top_up(**start, look=look(3.0))[0]


def test_a_draft_has_every_element_of_the_published_rule(desk: Desk) -> None:
    # 14 CFR 43.9(a): description or data, date of completion, performer, kind and number of certificate
    answer = drafted(desk, desk.work())

    entry = answer.json()
    assert (answer.status_code, entry["state"], entry["version"]) == (201, "draft", 1)
    assert answer["ETag"].startswith('"1')
    assert entry["description"] == (
        "Left main strut, serial number S-77: gas added, exposed tube 3.00 in found, 4.50 in left, at 48 °F."
    )
    assert entry["data_reference"] == "Example maintenance manual, chapter 32, revision B"
    assert entry["work_completed_on"] == "2026-03-02"
    assert (entry["performed_by"], entry["approver_name"]) == ("A. Signer", "A. Signer")
    assert (entry["certificate_kind"], entry["certificate_number"]) == ("mechanic", "0000000")
    assert entry["parts"] == "strut: serial number S-77"
    assert {finding["code"] for finding in entry["advice"]} == {"missing_signature", "missing_total_time"}
    assert "not a decision" in entry["advice_note"]
    assert entry["retention_met_on"] == "2027-03-02"


def test_the_date_of_completion_is_the_operators_own(desk: Desk) -> None:
    desk.club.time_zone = "Pacific/Auckland"
    desk.club.save(update_fields=["time_zone"])

    entry = desk.draft(done_at=datetime(2026, 3, 1, 12, 30, tzinfo=UTC))

    assert entry.work_completed_on == date(2026, 3, 2)


def test_total_time_is_given_only_where_the_total_before_was_brought_forward(desk: Desk) -> None:
    def log(hours: float, **values: Any) -> None:
        row = UsageRow(desk.leg.aircraft_id, NOW, hours=hours, **values)
        add_usages(actor=desk.actor, now=NOW, rows=[row])

    log(1.2)
    assert desk.draft().total_time_hours is None
    log(4811.4, flights=0, landings=9000, brought_forward=True)
    again = desk.draft(Work.CLEANED)

    assert (again.total_time_hours, again.total_landings) == (4812.6, 9001)


def test_a_finished_top_up_is_drafted_with_the_load_that_stood_on_the_leg(desk: Desk) -> None:
    top_up = a_top_up(desk)
    top_up, _, _ = add_step(actor=desk.actor, now=NOW, top_up_id=top_up.id, row=dose(6, 4.4, minutes=5))
    running = desk.caller.post(ADDRESS, {"top_up": str(top_up.id)})
    finish_top_up(actor=desk.actor, now=later(minutes=8), top_up_id=top_up.id, version=top_up.version)

    entry = desk.caller.post(ADDRESS, {"top_up": str(top_up.id)}).json()

    assert refused(running) == (422, "not_finished")
    assert "air added with Pump A, exposed tube 3.00 in found, 4.40 in left" in entry["description"]
    assert "700 lbf on the leg, 240 lb of fuel aboard, strut exercised (rocked)" in entry["description"]


def test_the_same_work_is_drafted_once_and_anew_only_after_its_draft_was_discarded(desk: Desk) -> None:
    servicing = desk.work()
    first = drafted(desk, servicing)

    again = drafted(desk, servicing)
    desk.caller.delete(f"{ADDRESS}/{first.json()['id']}", headers={"If-Match": first["ETag"]})
    anew = drafted(desk, servicing)

    assert (first.status_code, again.status_code, anew.status_code) == (201, 200, 201)
    assert again.json()["id"] == first.json()["id"] != anew.json()["id"]


def test_gas_of_a_top_up_is_entered_once_whether_drafted_from_the_whole_or_from_a_sitting(desk: Desk) -> None:
    top_up = over_two_days(desk)
    first, second = Servicing.objects.of(desk.club).order_by("done_at")

    by_itself = drafted(desk, first)
    whole = desk.caller.post(ADDRESS, {"top_up": str(top_up.id)})
    again = [drafted(desk, servicing) for servicing in (first, second)]

    assert [answer.status_code for answer in (by_itself, whole, *again)] == [201, 201, 200, 200]
    assert [answer.json()["id"] for answer in again] == [by_itself.json()["id"], whole.json()["id"]]
    assert "3.00 in found" in by_itself.json()["description"]
    assert "3.90 in found" in whole.json()["description"]
    assert "3.00 in found" not in whole.json()["description"]


def test_a_top_up_of_which_all_gas_was_entered_has_nothing_left_even_after_a_correction(desk: Desk) -> None:
    top_up = over_two_days(desk)
    for servicing in Servicing.objects.of(desk.club).order_by("done_at"):
        assert drafted(desk, servicing).status_code == 201
    first = Servicing.objects.of(desk.club).order_by("done_at").first()
    right = servicing_row(desk.leg, done_at=first.done_at, strokes=5, extension_before_in=3.0)
    correct_servicing(actor=desk.actor, now=later(days=3), servicing_id=first.id, row=right, reason="miscounted")

    assert refused(desk.caller.post(ADDRESS, {"top_up": str(top_up.id)})) == (422, "entered_already")


def over_two_days(desk: Desk) -> Any:
    top_up = a_top_up(desk)
    for minutes, length in ((5, 3.9), (2 * 24 * 60, 4.4)):
        now, row = later(minutes=minutes), dose(4, length, minutes=minutes)
        top_up, _, _ = add_step(actor=desk.actor, now=now, top_up_id=top_up.id, row=row)
    return finish_top_up(actor=desk.actor, now=later(days=2), top_up_id=top_up.id, version=top_up.version)


def test_an_id_that_the_client_chose_stands_for_one_entry(desk: Desk) -> None:
    mine = str(next_id())
    servicing = desk.work()

    codes = [drafted(desk, servicing, id=mine).status_code for _ in range(2)]
    other = drafted(desk, desk.work(Work.CLEANED), id=mine)

    assert codes == [201, 200]
    assert refused(other) == (409, "clash")
    assert RecordEntry.objects.of(desk.club).count() == 1


def test_the_same_key_gives_the_first_answer_byte_for_byte(desk: Desk) -> None:
    body = {"servicing": str(desk.work().id)}

    first, again = (desk.caller.post(ADDRESS, body, headers={"Idempotency-Key": "k1"}) for _ in range(2))

    assert (first.status_code, again.status_code) == (201, 201)
    assert first.content == again.content
    assert (first["Idempotency-Replayed"], again["Idempotency-Replayed"]) == ("false", "true")


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ({}, {("servicing", "invalid")}),
        ({"servicing": str(next_id()), "top_up": str(next_id())}, {("servicing", "invalid")}),
        (
            {"id": "x", "servicing": "y", "top_up": "z", "colour": "red"},
            {("id", "invalid"), ("servicing", "invalid"), ("top_up", "invalid"), ("colour", "unknown_field")},
        ),
    ],
)
def test_every_faulty_field_is_named(desk: Desk, body: dict[str, Any], expected: set[tuple[str, str]]) -> None:
    answer = desk.caller.post(ADDRESS, body)

    assert (answer.status_code, faults(answer)) == (400, expected)


def test_work_that_was_corrected_is_drafted_from_the_newest_row_only(desk: Desk) -> None:
    wrong = desk.work()
    right = correct_servicing(
        actor=desk.actor, now=NOW, servicing_id=wrong.id, row=servicing_row(desk.leg), reason="misread"
    )

    assert refused(drafted(desk, wrong)) == (422, "superseded")
    assert drafted(desk, right).status_code == 201


def test_a_top_up_without_gas_has_nothing_to_enter(desk: Desk) -> None:
    top_up = a_top_up(desk)
    finish_top_up(actor=desk.actor, now=NOW, top_up_id=top_up.id, version=1, note="left for the mechanic")

    assert refused(desk.caller.post(ADDRESS, {"top_up": str(top_up.id)})) == (422, "nothing_done")


def test_strangers_find_no_work_to_draft_from_and_members_may_not_draft(
    desk: Desk, stranger: APIClient, member: APIClient
) -> None:
    bodies = {"servicing": str(desk.work().id)}, {"top_up": str(a_top_up(desk).id)}

    assert [stranger.post(ADDRESS, body).status_code for body in bodies] == [404, 404]
    assert refused(member.post(ADDRESS, bodies[0])) == (403, "role_too_low")
    assert not RecordEntry.objects.of(desk.club).exists()
