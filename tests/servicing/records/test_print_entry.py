"""GET records/{id}/entry.pdf and entry.txt: the entry on paper, to be signed and pasted in."""

from io import BytesIO

import pytest
from pypdf import PdfReader
from rest_framework.test import APIClient

from servicing.records.models import RecordEntry
from servicing.records.printing import pdf_of
from tests.builders.fleet import next_id
from tests.builders.records import Desk
from tests.fleet.asking import refused


def pdf_text(content: bytes) -> str:
    return " ".join(page.extract_text() for page in PdfReader(BytesIO(content)).pages)


def printed(caller: APIClient, entry: RecordEntry) -> tuple[str, str]:
    """Return what the text and the PDF say, in one line each."""
    pdf, text = (caller.get(f"/api/v1/records/{entry.id}/entry.{kind}") for kind in ("pdf", "txt"))
    assert (pdf.status_code, pdf["Content-Type"]) == (200, "application/pdf")
    assert (text.status_code, text["Content-Type"]) == (200, "text/plain; charset=utf-8")
    return " ".join(text.content.decode().split()), " ".join(pdf_text(pdf.content).split())


def test_a_completed_entry_prints_every_element_and_its_digest(desk: Desk, member: APIClient) -> None:
    entry = desk.complete()

    for paper in printed(member, entry):
        for words in (
            desk.leg.aircraft.registration,
            "Left main strut, serial number S-77: gas added, exposed tube 3.00 in found, 4.50 in left",
            "Example maintenance manual, chapter 32, revision B",
            "2026-03-02",
            "Approved for return to service",
            "A. Signer",
            "mechanic",
            "0000000",
        ):
            assert words in paper
        assert entry.digest in paper.replace(" ", "")


def test_the_same_entry_gives_the_same_bytes_and_a_name_for_the_file(desk: Desk) -> None:
    entry = desk.complete()
    address = f"/api/v1/records/{entry.id}/entry.pdf"

    first, again = desk.caller.get(address), desk.caller.get(address)

    assert first.content == again.content
    assert first["Content-Disposition"] == 'inline; filename="entry-1.pdf"'


def test_a_draft_says_that_it_is_one_and_leaves_room_to_sign(desk: Desk) -> None:
    for paper in printed(desk.caller, desk.draft()):
        assert "DRAFT - not completed, not signed" in paper
        assert "______" in paper


def test_a_draft_leaves_room_for_whoever_signs_by_hand_with_name_kind_and_number(desk: Desk) -> None:
    # 14 CFR 43.9(a)(4): signature, certificate number and kind of certificate
    entry = desk.draft()
    unknown = {"approver_name": "", "certificate_kind": "", "certificate_number": ""}
    RecordEntry.objects.of(desk.club).filter(pk=entry.pk).update(**unknown)

    for paper in printed(desk.caller, entry):
        assert all(label in paper for label in ("Kind of certificate", "Certificate number", "Signature"))
        assert paper.count("_" * 30) == 4


def test_an_amendment_names_what_it_amends_and_why(desk: Desk) -> None:
    entry = desk.complete()
    address = f"/api/v1/records/{entry.id}/amendments"
    amendment = desk.caller.post(address, {"reason": "length misread"}).json()

    for paper in printed(desk.caller, RecordEntry.objects.of(desk.club).get(pk=amendment["id"])):
        assert "entry 1: length misread" in paper


def test_a_long_description_and_an_endless_serial_number_run_over_pages(desk: Desk) -> None:
    entry = desk.draft()
    entry.description = "word " * 3000 + "x" * 300

    pages = PdfReader(BytesIO(pdf_of(entry, desk.club))).pages

    assert len(pages) > 1
    assert "DRAFT" in pages[0].extract_text()


@pytest.mark.parametrize("kind", ["pdf", "txt"])
def test_strangers_find_nothing_to_print(desk: Desk, stranger: APIClient, kind: str) -> None:
    assert refused(stranger.get(f"/api/v1/records/{desk.draft().id}/entry.{kind}")) == (404, "not_found")
    assert refused(desk.caller.get(f"/api/v1/records/{next_id()}/entry.{kind}")) == (404, "not_found")
