"""The paper: an entry drafted from a top-up, completed, amended, and one that someone altered behind our back."""

from io import BytesIO

from pypdf import PdfReader

from tests.builders.tampering import tampered
from tests.journeys.flying_club import MAIN, FlyingClub
from tests.journeys.live_strut import LiveStrut

SIGNATURE = {"signature": "M. Mechanic", "certificate_kind": "mechanic", "certificate_number": "0000000"}


def test_an_entry_is_completed_amended_and_found_when_it_was_tampered_with(club: FlyingClub) -> None:
    leg = club.aircraft("XX-PAPR")["legs"]["left main"]
    total = {"flights": 0, "landings": 9000, "hours": 4811.4, "brought_forward": True}
    club.post("usage", {"aircraft": "XX-PAPR", "ended_at": club.now.isoformat(), **total})
    club.manage("equipment", name="hand pump", kind="hand pump")
    strut = LiveStrut.resting_at(3.2, MAIN)
    club.later(hours=2)
    top_up = club.post("top-ups", {"leg": leg["id"], "equipment": "hand pump", "look": club.look(strut, "taxied")})
    path = f"top-ups/{top_up['id']}"
    for strokes in (3, 2):
        club.later(minutes=10)
        strut.add(strokes * 0.25)
        club.post(f"{path}/doses", {**club.look(strut, "taxied"), "amount": strokes})
    club.post(f"{path}/finish", {}, **{"If-Match": club.etag(path)})

    draft = club.post("records", {"top_up": top_up["id"]})
    assert draft["state"] == "draft"
    for figure in ("air added with hand pump", "3.19 in found", "4.44 in left", "70 °F", "800 lbf on the leg"):
        assert figure in draft["description"], draft["description"]
    assert draft["data_reference"] == "Example maintenance manual, chapter 32, revision B"
    assert (draft["performed_by"], draft["certificate_number"]) == ("M. Mechanic", "0000000")
    assert draft["total_time_hours"] == 4811.4
    assert "signature" in {finding["code"].removeprefix("missing_") for finding in draft["advice"]}
    entry = f"records/{draft['id']}"
    club.patch(entry, {"location": "Hangar 2"}, club.etag(entry))

    stale = club.mechanic.post(f"/api/v1/{entry}/completion", SIGNATURE, HTTP_IF_MATCH='"1"')
    assert stale.status_code == 412
    done = club.post(f"{entry}/completion", SIGNATURE, **{"If-Match": club.etag(entry)})
    assert (done["state"], done["number"]) == ("completed", 1)
    changed = club.mechanic.patch(f"/api/v1/{entry}", {"location": "x"}, HTTP_IF_MATCH=club.etag(entry))
    assert (changed.status_code, changed.json()["code"]) == (409, "entry_completed")
    assert club.mechanic.delete(f"/api/v1/{entry}", HTTP_IF_MATCH=club.etag(entry)).status_code == 409

    amendment = club.post(f"{entry}/amendments", {"reason": "the length left was 4.38 in"})
    new = f"records/{amendment['id']}"
    club.patch(new, {"description": draft["description"].replace("4.44", "4.38")}, club.etag(new))
    amended = club.post(f"{new}/completion", SIGNATURE, **{"If-Match": club.etag(new)})
    assert (amended["number"], amended["amends"]) == (2, draft["id"])
    assert club.get("records/chain")["intact"] is True

    printed = club.mechanic.get(f"/api/v1/{new}/entry.pdf")
    text = club.mechanic.get(f"/api/v1/{new}/entry.txt").content.decode()
    assert printed["Content-Type"] == "application/pdf"
    assert amended["digest"] in PdfReader(BytesIO(printed.content)).pages[0].extract_text()
    assert "entry 1: the length left was 4.38 in" in " ".join(text.split())

    tampered(
        "servicing_record_entry", "UPDATE servicing_record_entry SET description = 'nothing found' WHERE number = 1"
    )
    report = club.get("records/chain")
    assert report["intact"] is False
    assert [(fault["number"], fault["code"]) for fault in report["faults"]] == [(1, "altered")]


def test_who_did_what_is_in_the_audit_trail_with_before_and_after(club: FlyingClub) -> None:
    leg = club.aircraft("XX-AUDT")["legs"]["left main"]
    wrong = {"leg": leg["id"], "done_at": club.now.isoformat(), "work": "gas added", "strokes": 50}
    servicing = club.post("servicings", wrong)
    club.post(
        f"servicings/{servicing['id']}/corrections",
        {"reason": "five, not fifty", "servicing": {**wrong, "strokes": 5}},
    )

    trail = club._coordinator.get("/api/v1/audit").json()["items"]

    correction = next(row for row in trail if row["action"] == "servicing corrected")
    assert correction["before"]["strokes"] == 50
    assert (correction["after"]["strokes"], correction["after"]["reason"]) == (5, "five, not fifty")
