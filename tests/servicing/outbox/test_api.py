"""The outbox over HTTP."""

from collections.abc import Callable

import pytest
from rest_framework.test import APIClient

from fleet.people.models import Person
from servicing.outbox.models import OutgoingMail
from servicing.outbox.sending import send_waiting
from tests.builders.alerts import an_alert, mail_of
from tests.builders.fleet import NOW
from tests.builders.readings import Stand, a_stand
from tests.servicing.outbox.sink import Sink

pytestmark = pytest.mark.django_db
URL = "/api/v1/outbox"
Client = Callable[..., APIClient]


@pytest.fixture
def stand(sink: Sink) -> Stand:
    """Return a club whose only mail was refused by the server."""
    stand = a_stand()
    an_alert(stand)
    sink.refused[mail_of(stand)[0].address] = "550 5.1.1 no such mailbox"
    send_waiting(clock=lambda: NOW)
    return stand


def test_a_coordinator_sees_what_was_given_up_and_why(stand: Stand, client_of: Client) -> None:
    (mail,) = client_of(stand.operator).get(URL).json()["items"]

    assert (mail["state"], mail["attempts"], mail["next_attempt_at"]) == ("given up", 1, None)
    assert mail["last_error"] == "the mail server refused the address: 550 5.1.1 no such mailbox"
    assert not {"text", "html", "chart_png"} & mail.keys()


@pytest.mark.parametrize(("state", "count"), [("given up", 1), ("waiting", 0), ("sent", 0)])
def test_the_list_is_filtered(stand: Stand, client_of: Client, state: str, count: int) -> None:
    assert len(client_of(stand.operator).get(f"{URL}?state={state}").json()["items"]) == count


def test_tried_again_it_goes_to_the_address_put_right_under_the_same_message_id(
    stand: Stand, client_of: Client, sink: Sink
) -> None:
    (mail,) = mail_of(stand)
    Person.objects.of(stand.operator).filter(pk=mail.person_id).update(email="right@club.example")
    client = client_of(stand.operator)

    answer = client.post(f"{URL}/{mail.id}/retry")
    send_waiting(clock=lambda: OutgoingMail.objects.of(stand.operator).get().not_before)

    assert answer.json()["state"] == "waiting"
    assert [(m["To"], m["Message-ID"]) for m in sink.messages] == [("right@club.example", mail.message_id)]
    again = client.post(f"{URL}/{mail.id}/retry")
    assert (again.status_code, again.json()["code"]) == (409, "not_given_up")


@pytest.mark.parametrize("role", ["reader", "member", "mechanic"])
def test_nobody_below_a_coordinator_reads_addresses(stand: Stand, client_of: Client, role: str) -> None:
    client = client_of(stand.operator, role)

    assert client.get(URL).status_code == 403
    assert client.post(f"{URL}/{mail_of(stand)[0].id}/retry").status_code == 403


def test_a_stranger_finds_nothing(stand: Stand, client_of: Client) -> None:
    stranger = client_of(a_stand().operator)

    assert stranger.get(URL).json()["items"] == []
    assert stranger.post(f"{URL}/{mail_of(stand)[0].id}/retry").status_code == 404
