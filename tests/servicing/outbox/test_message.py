"""What a mail says, and how it is built."""

import re
from email.message import EmailMessage
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.core.mail import get_connection
from django.urls import resolve
from PIL import Image

from servicing.outbox.message import AlertMessage
from servicing.outbox.sending import send_waiting
from tests.builders.alerts import a_change, a_strut_standing, an_alert, mail_of
from tests.builders.fleet import NOW
from tests.builders.readings import a_stand
from tests.servicing.outbox.sink import Sink

pytestmark = pytest.mark.django_db


@pytest.fixture
def message(sink: Sink) -> EmailMessage:
    """Return the message of an opened alert as the mail server got it."""
    stand = a_stand(position="left main")
    a_strut_standing(stand)
    stand.aircraft.registration = "XX-MAIL"
    stand.aircraft.save()
    an_alert(stand)
    send_waiting(clock=lambda: NOW)
    return sink.messages[0]


def test_the_subject_says_aircraft_leg_and_finding(message: EmailMessage) -> None:
    assert message["Subject"] == "XX-MAIL left main: losing charge (caution)"


def test_text_html_and_the_picture_inside_the_html_are_the_parts(message: EmailMessage) -> None:
    kinds = [part.get_content_type() for part in message.walk()]
    picture = next(part for part in message.walk() if part.get_content_type() == "image/png")
    html = message.get_body(("html",))

    assert kinds == ["multipart/alternative", "text/plain", "multipart/related", "text/html", "image/png"]
    assert html is not None
    assert f"cid:{picture['Content-ID'].strip('<>')}" in html.get_content()
    assert picture.get_content_disposition() == "inline"
    assert Image.open(BytesIO(picture.get_content())).size == (800, 660)


def test_the_unsubscribe_link_travels_whole_and_not_encoded() -> None:
    stand = a_stand()
    a_strut_standing(stand)
    an_alert(stand)

    sent = AlertMessage(mail_of(stand)[0]).message().as_bytes(linesep="\r\n")

    line = next(line for line in sent.split(b"\r\n") if line.startswith(b"List-Unsubscribe:"))
    assert re.fullmatch(rb"List-Unsubscribe: <http://127\.0\.0\.1:8000/unsubscribe/\S+>", line)


@pytest.mark.parametrize(
    "words",
    [
        "losing charge, caution",
        "4.21 in (4.12 to 4.30 in, 90 %)".replace(" to 4.30 in", " to 4.30"),
        "4.00 to 5.00 in, target 4.50 in",
        "-0.18 in per month (-0.26 to -0.11, 90 %)",
        "about 20 January 2026",
        "reached between 28 March 2026 and 2 May 2026 (80 %)",
        "by chance about once in 250 strut-years",
        "fluid 31%, gas 69%",
        "34 used, 2 set aside, the last of 1 March 2026",
        "1. Look at tube, seal and torque links for fluid",
        "see the strut collapse before a valve core or valve is taken out",
        "Reinspection due by 9 March 2026",
        "Example maintenance manual, chapter 32, revision B",
        "http://127.0.0.1:8000/",
        "This is advice from measurements.",
    ],
)
def test_text_and_html_say_what_a_coordinator_needs(message: EmailMessage, words: str) -> None:
    text, html = message.get_body(("plain",)), message.get_body(("html",))
    assert text is not None
    assert html is not None
    assert words in text.get_content()
    assert words.removeprefix("1. ").replace("losing charge, caution", "losing charge") in html.get_content()


def test_the_link_leads_to_the_part_s_page(message: EmailMessage) -> None:
    text = message.get_body(("plain",))
    assert text is not None
    (link,) = re.findall(r"^http://127\.0\.0\.1:8000(/board/\S+)\s*$", text.get_content(), re.MULTILINE)
    assert resolve(link).url_name == "board-strut"


def test_nothing_says_that_the_aircraft_is_fit_to_fly(message: EmailMessage) -> None:
    assert "airworthy" not in message.as_string().lower()


def test_a_plain_address_gets_a_link_to_unsubscribe_but_no_one_click(message: EmailMessage) -> None:
    assert message["List-Unsubscribe"].startswith("<http://127.0.0.1:8000/unsubscribe/")
    assert message["List-Unsubscribe-Post"] is None


def test_an_https_address_offers_one_click_as_rfc_8058_has_it(sink: Sink, settings: Any) -> None:
    settings.PUBLIC_URL = "https://gear.example.org"
    an_alert(a_stand())

    send_waiting(clock=lambda: NOW)

    (message,) = sink.messages
    assert message["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    assert message["List-Unsubscribe"].startswith("<https://gear.example.org/unsubscribe/")
    assert message["Message-ID"].endswith("@gear.example.org>")
    assert message["Auto-Submitted"] == "auto-generated"


def test_a_registration_with_letters_of_other_languages_and_markup_arrives_as_it_is(sink: Sink) -> None:
    stand = a_stand()
    stand.aircraft.registration = "ÄÖ-<b>É"
    stand.aircraft.save()

    an_alert(stand)
    send_waiting(clock=lambda: NOW)

    (message,) = sink.messages
    html = message.get_body(("html",))
    assert html is not None
    assert message["Subject"].startswith("ÄÖ-<b>É left main")
    assert "ÄÖ-&lt;b&gt;É" in html.get_content()


def test_a_line_break_in_a_name_cannot_add_a_header(sink: Sink) -> None:
    stand = a_stand()
    stand.aircraft.registration = "XX\nBcc: a@b.c"
    stand.aircraft.save()

    an_alert(stand)
    send_waiting(clock=lambda: NOW)

    assert sink.messages[0]["Bcc"] is None
    assert sink.messages[0]["Subject"] == "XX Bcc: a@b.c left main: losing charge (caution)"


def test_a_closing_mail_says_so_and_gives_no_orders(sink: Sink) -> None:
    from servicing.alerts.handling import handle_change

    stand = a_stand()
    an_alert(stand)
    change = a_change(stand, "steady", "none", before=("losing_charge", "caution"))
    handle_change(change_id=change.id, now=NOW)

    send_waiting(clock=lambda: NOW)

    (closing,) = (message for message in sink.messages if "closed" in message["Subject"])
    text = closing.get_body(("plain",))
    assert text is not None
    assert "alert closed. Now steady, before losing charge (caution)" in text.get_content()
    assert "What to check first" not in text.get_content()


def test_the_same_message_put_into_a_folder_twice_is_one_file(settings: Any, tmp_path: Path) -> None:
    settings.EMAIL_BACKEND, settings.EMAIL_FILE_PATH = "servicing.outbox.folder.MessageFolder", str(tmp_path / "mail")
    stand = a_stand()
    an_alert(stand)
    (mail,) = mail_of(stand)

    for _ in range(2):
        get_connection().send_messages([AlertMessage(mail)])

    (file,) = (tmp_path / "mail").iterdir()
    assert f"{mail.message_id.strip('<>')}.eml" == file.name
    assert f"Message-ID: {mail.message_id}".encode() in file.read_bytes()
