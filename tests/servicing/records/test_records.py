"""Entries: drafted with every element, completed once, amended by new ones, and altered ones found."""

from datetime import UTC, date, datetime
from io import BytesIO

import pytest
from django.db import DatabaseError, connection, transaction
from pypdf import PdfReader

from fleet.people.models import Person
from fleet.refusals import Clash, Refused, Stale
from servicing.records.actions import (
    Signature,
    amend_entry,
    change_draft,
    complete_entry,
    discard_draft,
    draft_entry,
)
from servicing.records.chain import check_chain, digest_of
from servicing.records.drafting import source_of_servicing, source_of_top_up
from servicing.records.models import RecordEntry
from servicing.records.printing import pdf_of, text_of
from servicing.usage.actions import add_usages
from servicing.usage.rows import UsageRow
from servicing.work.actions import add_servicings
from servicing.work.models import Work
from servicing.work.top_up_actions import add_step, finish_top_up, start_top_up
from tests.builders.fleet import NOW, a_leg, a_strut, a_tyre, an_actor, an_operator, later
from tests.builders.tampering import tampered
from tests.builders.work import a_hand_pump, dose, look, servicing_row

pytestmark = pytest.mark.django_db

MECHANIC = Signature("A. Signer", certificate_kind="mechanic", certificate_number="0000000")


@pytest.fixture
def club():
    return an_operator(jurisdiction="us")


@pytest.fixture
def actor(club):
    actor = an_actor(club, "mechanic")
    Person.objects.of(club).filter(pk=actor.person_id).update(
        name="A. Signer", certificate_kind="mechanic", certificate_number="0000000"
    )
    return actor


@pytest.fixture
def leg(club):
    leg = a_leg(club)
    a_strut(club, leg, serial_number="S-77")
    a_tyre(club, leg)
    return leg


def drafted(club, actor, leg, work=Work.GAS_ADDED, **values):
    row = servicing_row(
        leg,
        work,
        **{
            "extension_before_in": 3.0,
            "extension_after_in": 4.5,
            "temperature_f": 48.0,
            "done_by": "A. Signer",
            **values,
        },
    )
    servicing = add_servicings(actor=actor, now=NOW, rows=[row]).rows[0]
    return draft_entry(actor=actor, now=NOW, source=source_of_servicing(club, servicing.id))[0]


def completed(club, actor, leg, **values):
    entry = drafted(club, actor, leg, **values)
    return complete_entry(actor=actor, now=NOW, entry_id=entry.id, version=entry.version, signature=MECHANIC)


def test_a_draft_has_every_element_of_the_published_rule(club, actor, leg):
    # 14 CFR 43.9(a): description or data, date of completion, performer, kind and number of certificate
    entry = drafted(club, actor, leg)

    assert entry.description == (
        "Left main strut, serial number S-77: nitrogen added, exposed tube 3.00 in found, 4.50 in left, at 48 °F."
    )
    assert entry.data_reference == "Example maintenance manual, chapter 32, revision B"
    assert entry.work_completed_on == date(2026, 3, 2)
    assert (entry.performed_by, entry.approver_name) == ("A. Signer", "A. Signer")
    assert (entry.certificate_kind, entry.certificate_number) == ("mechanic", "0000000")
    assert entry.parts == "strut: serial number S-77"


def test_the_date_of_completion_is_the_operators_own(club, actor, leg):
    club.time_zone = "Pacific/Auckland"
    club.save(update_fields=["time_zone"])

    assert drafted(club, actor, leg, done_at=datetime(2026, 3, 1, 12, 30, tzinfo=UTC)).work_completed_on == date(
        2026, 3, 2
    )


def test_total_time_is_given_only_where_the_total_before_was_brought_forward(club, actor, leg):
    def log(hours, **values):
        row = UsageRow(leg.aircraft_id, NOW, hours=hours, **values)
        add_usages(actor=actor, now=NOW, rows=[row])

    log(1.2)
    assert drafted(club, actor, leg).total_time_hours is None
    log(4811.4, flights=0, landings=9000, brought_forward=True)
    again = drafted(club, actor, leg, work=Work.CLEANED)

    assert (again.total_time_hours, again.total_landings) == (4812.6, 9001)


def test_the_same_work_is_drafted_once(club, actor, leg):
    entry = drafted(club, actor, leg)

    again, new = draft_entry(actor=actor, now=NOW, source=source_of_servicing(club, entry.servicing_id))

    assert (again.id, new) == (entry.id, False)


def test_a_finished_top_up_is_drafted_with_the_load_that_stood_on_the_leg(club, actor, leg):
    top_up, _ = start_top_up(
        actor=actor, now=NOW, leg_id=leg.id, look=look(3.0), equipment_id=a_hand_pump(club, name="Pump A").id
    )
    top_up, _, _ = add_step(actor=actor, now=NOW, top_up_id=top_up.id, row=dose(6, 4.4, minutes=5))
    with pytest.raises(Refused, match="not finished"):
        source_of_top_up(club, top_up.id)
    finish_top_up(actor=actor, now=later(minutes=8), top_up_id=top_up.id, version=top_up.version)

    entry, _ = draft_entry(actor=actor, now=NOW, source=source_of_top_up(club, top_up.id))

    assert "nitrogen added with Pump A, exposed tube 3.00 in found, 4.40 in left" in entry.description
    assert "700 lbf on the leg, 240 lb of fuel aboard, strut exercised (rocked)" in entry.description


@pytest.mark.parametrize(
    ("lacking", "code"),
    [
        # 14 CFR 43.9(a)(1) to (4), one by one
        ({"description": "", "data_reference": ""}, "missing_description"),
        ({"work_completed_on": None}, "missing_completed_on"),
        ({"performed_by": "", "approver_name": ""}, "missing_performed_by"),
        ({"certificate_number": ""}, "missing_certificate_number"),
        ({"certificate_kind": ""}, "missing_certificate_kind"),
    ],
)
def test_an_entry_that_lacks_an_element_is_not_completed(club, actor, leg, lacking, code):
    entry = drafted(club, actor, leg)
    RecordEntry.objects.of(club).filter(pk=entry.id).update(**lacking)

    with pytest.raises(Refused) as refusal:
        complete_entry(actor=actor, now=NOW, entry_id=entry.id, version=1, signature=Signature("A. Signer"))

    assert code in {fault.code for fault in refusal.value.faults}
    assert RecordEntry.objects.of(club).get(pk=entry.id).completed_at is None


def test_elsewhere_the_elements_are_only_recommended_and_local_rules_are_named(actor, leg, club):
    club.jurisdiction = "other"
    club.save(update_fields=["jurisdiction"])
    entry = drafted(club, actor, leg)

    done = complete_entry(
        actor=actor,
        now=NOW,
        entry_id=entry.id,
        version=entry.version,
        signature=Signature("A. Signer", certificate_kind="licence B1"),
    )

    codes = {finding["code"] for finding in done.advice}
    assert "check_local_rules" in codes
    assert "missing_certificate_kind" not in codes


def test_a_pilots_seal_replacement_is_doubted_but_the_person_decides(club, actor, leg):
    # 14 CFR 43 App. A(c): replacing strut seals is not on the list
    entry = drafted(club, actor, leg, work=Work.SEALS)
    pilot = {"text": "P. Pilot", "certificate_kind": "private", "certificate_number": "1"}

    with pytest.raises(Refused) as refusal:
        complete_entry(actor=actor, now=NOW, entry_id=entry.id, version=1, signature=Signature(**pilot))
    done = complete_entry(
        actor=actor, now=NOW, entry_id=entry.id, version=1, signature=Signature(**pilot, advice_read=True)
    )

    assert [fault.code for fault in refusal.value.faults] == ["not_preventive"]
    assert "not_preventive" in {finding["code"] for finding in done.advice}


def test_adding_gas_is_preventive_maintenance_and_asks_only_for_the_declaration(club, actor, leg):
    # 14 CFR 43 App. A(c)(3); the club's own use makes "owned or operated" a question
    entry = drafted(club, actor, leg)
    pilot = Signature("P. Pilot", certificate_kind="private", certificate_number="1")

    done = complete_entry(actor=actor, now=NOW, entry_id=entry.id, version=1, signature=pilot)

    assert {finding["code"] for finding in done.advice} == {
        "missing_total_time",
        "operator_unclear",
        "declaration_missing",
    }


def test_a_completed_entry_changes_in_no_way(club, actor, leg):
    entry = completed(club, actor, leg)

    for change in (
        lambda: change_draft(
            actor=actor, now=NOW, entry_id=entry.id, version=entry.version, changes={"description": "x"}
        ),
        lambda: discard_draft(actor=actor, now=NOW, entry_id=entry.id, version=entry.version),
        lambda: complete_entry(actor=actor, now=NOW, entry_id=entry.id, version=entry.version, signature=MECHANIC),
    ):
        with pytest.raises(Clash):
            change()
    for sql in (
        "UPDATE servicing_record_entry SET description = 'x'",
        "UPDATE servicing_record_entry SET completed_at = NULL",
        "DELETE FROM servicing_record_entry",
    ):
        with pytest.raises(DatabaseError, match="append-only"), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(sql)
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        RecordEntry.objects.of(club).update(signature="someone else")


def test_a_draft_is_changed_as_it_was_read_and_can_be_put_away(club, actor, leg):
    entry = drafted(club, actor, leg)

    changed = change_draft(actor=actor, now=NOW, entry_id=entry.id, version=1, changes={"location": "Hangar 2"})
    with pytest.raises(Stale):
        change_draft(actor=actor, now=NOW, entry_id=entry.id, version=1, changes={"location": "Hangar 3"})
    discard_draft(actor=actor, now=NOW, entry_id=entry.id, version=changed.version)

    assert changed.location == "Hangar 2"
    with pytest.raises(Clash):
        change_draft(actor=actor, now=NOW, entry_id=entry.id, version=3, changes={"location": "Hangar 3"})


def test_an_amendment_is_a_new_entry_that_points_at_the_old_one(club, actor, leg):
    entry = completed(club, actor, leg)

    amendment, _ = amend_entry(actor=actor, now=NOW, entry_id=entry.id, reason="length misread")
    amendment = change_draft(
        actor=actor, now=NOW, entry_id=amendment.id, version=1, changes={"description": "4.25 in left, not 4.50."}
    )
    done = complete_entry(actor=actor, now=NOW, entry_id=amendment.id, version=amendment.version, signature=MECHANIC)

    assert (done.amends_id, done.number, done.previous_digest) == (entry.id, 2, entry.digest)
    assert "4.50 in left" in RecordEntry.objects.of(club).get(pk=entry.id).description


def test_an_untouched_chain_is_intact_and_each_operator_has_its_own(club, actor, leg):
    for minutes in range(3):
        completed(club, actor, leg, done_at=later(minutes=-minutes))
    other = an_operator()

    assert check_chain(club).faults == ()
    assert check_chain(club).entries == 3
    assert check_chain(other).entries == 0


@pytest.mark.parametrize(
    ("sql", "found"),
    [
        ("UPDATE servicing_record_entry SET description = 'all well' WHERE number = 2", {(2, "altered")}),
        ("UPDATE servicing_record_entry SET total_time_hours = 1 WHERE number = 1", {(1, "altered")}),
        ("DELETE FROM servicing_record_entry WHERE number = 2", {(3, "missing_before"), (2, "gone")}),
        ("DELETE FROM servicing_record_entry WHERE number = 3", {(3, "gone")}),
    ],
)
def test_an_entry_altered_behind_the_services_back_shows(club, actor, leg, sql, found):
    for minutes in range(3):
        completed(club, actor, leg, done_at=later(minutes=-minutes))

    tampered("servicing_record_entry", sql)

    assert {(fault.number, fault.code) for fault in check_chain(club).faults} == found


def test_an_entry_altered_and_digested_anew_still_shows(club, actor, leg):
    entry = completed(club, actor, leg)
    entry.description = "all well"
    tampered(
        "servicing_record_entry",
        f"UPDATE servicing_record_entry SET description = 'all well', digest = '{digest_of(entry)}' WHERE number = 1",
    )

    assert [(fault.number, fault.code) for fault in check_chain(club).faults] == [(1, "digest_changed")]


def test_an_entry_prints_as_text_and_pdf_with_every_element_and_its_digest(club, actor, leg):
    entry = completed(club, actor, leg)

    text = text_of(entry, club)
    pages = PdfReader(BytesIO(pdf_of(entry, club))).pages
    printed = " ".join(page.extract_text() for page in pages)

    for words in ("A. Signer", "0000000", "mechanic", "2026-03-02", entry.digest):
        assert words in text.replace("\n    ", " ")
        assert words in printed
    assert "4.50 in left" in " ".join(text.split())
    assert pdf_of(entry, club) == pdf_of(entry, club)


def test_a_draft_says_that_it_is_one_and_a_long_description_runs_over_pages(club, actor, leg):
    entry = drafted(club, actor, leg)
    entry.description = "word " * 3000 + "x" * 300

    pages = PdfReader(BytesIO(pdf_of(entry, club))).pages

    assert len(pages) > 1
    assert "DRAFT" in pages[0].extract_text()
