"""Sending over real SMTP, to a server that may be away or refuse."""

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from fleet.people.models import Person
from servicing.outbox.models import OutgoingMail
from servicing.outbox.sending import LEASE, MOST_ATTEMPTS, PAUSES, Sent, send_waiting
from tests.builders.alerts import an_alert, mail_of
from tests.builders.fleet import NOW, a_person, later
from tests.builders.readings import Stand, a_stand
from tests.servicing.outbox.sink import Sink, running

pytestmark = pytest.mark.django_db


def at(moment: datetime) -> Callable[[], datetime]:
    return lambda: moment


@pytest.fixture
def stand() -> Stand:
    """Return a club whose alert was just opened, with one coordinator to tell."""
    stand = a_stand()
    an_alert(stand)
    return stand


def test_waiting_mail_is_sent_and_marked(stand: Stand, sink: Sink) -> None:
    sent = send_waiting(clock=at(NOW))

    (mail,) = mail_of(stand)
    (message,) = sink.messages
    assert Sent(sent=1) == sent
    assert (mail.sent_at, mail.claimed_until, mail.attempts) == (NOW, None, 1)
    assert (mail.message_id, mail.address, mail.subject) == (message["Message-ID"], message["To"], message["Subject"])


def test_nothing_is_sent_twice(stand: Stand, sink: Sink) -> None:
    rounds = [send_waiting(clock=at(later(minutes=minutes))).sent for minutes in (0, 1, 60)]

    assert rounds == [1, 0, 0]
    assert len(sink.messages) == 1


def test_mail_waits_for_a_server_that_is_away_and_goes_out_when_it_is_back(stand: Stand, smtp: int) -> None:
    away = send_waiting(clock=at(NOW))

    (mail,) = mail_of(stand)
    assert Sent(put_back=1) == away
    assert (None, None, NOW + PAUSES[0]) == (mail.sent_at, mail.claimed_until, mail.not_before)
    assert "ConnectionRefusedError" in mail.last_error

    with running(Sink(), smtp) as sink:
        too_early = send_waiting(clock=at(NOW + PAUSES[0] - timedelta(seconds=1)))
        back = send_waiting(clock=at(NOW + PAUSES[0]))

    assert (Sent(), Sent(sent=1)) == (too_early, back)
    assert [mail.message_id] == [message["Message-ID"] for message in sink.messages]
    assert mail_of(stand)[0].last_error == ""


def test_a_server_that_is_away_is_asked_once_and_not_once_for_each_mail(smtp: int) -> None:
    stand = a_stand()
    for _ in range(3):
        a_person(stand.operator)
    an_alert(stand)

    send_waiting(clock=at(NOW))

    assert sorted(mail.attempts for mail in mail_of(stand)) == [0, 0, 0, 1]


def test_a_refused_address_is_given_up_at_once_and_the_others_still_get_theirs(sink: Sink) -> None:
    stand = a_stand()
    gone = a_person(stand.operator)
    an_alert(stand)
    sink.refused[gone.email] = "550 5.1.1 no such mailbox"

    sent = send_waiting(clock=at(NOW))

    mail = OutgoingMail.objects.of(stand.operator).get(person=gone)
    assert Sent(sent=1, given_up=1) == sent
    assert (
        mail.given_up_at,
        mail.last_error,
    ) == (NOW, "the mail server refused the address: 550 5.1.1 no such mailbox")
    assert gone.email not in mail.last_error


def test_an_address_that_is_refused_for_now_is_tried_again(stand: Stand, sink: Sink) -> None:
    sink.refused[mail_of(stand)[0].address] = "451 4.7.1 try again later"

    first = send_waiting(clock=at(NOW))
    sink.refused.clear()
    second = send_waiting(clock=at(NOW + PAUSES[0]))

    assert (Sent(put_back=1), Sent(sent=1)) == (first, second)


def test_pauses_grow_and_at_last_the_mail_is_given_up_with_its_error(stand: Stand, sink: Sink) -> None:
    sink.data_answer = "451 4.3.0 disk full"
    moment, pauses = NOW, []
    for _ in range(MOST_ATTEMPTS):
        send_waiting(clock=at(moment))
        (mail,) = mail_of(stand)
        pauses.append(mail.not_before - moment)
        moment = max(mail.not_before, moment)

    assert list(PAUSES) == pauses[:-1]
    assert (moment, MOST_ATTEMPTS) == (mail.given_up_at, mail.attempts)
    assert mail.last_error == "the mail server answered 451 4.3.0 disk full"
    assert Sent() == send_waiting(clock=at(moment + timedelta(days=30)))


def test_a_claimed_mail_is_left_alone_until_its_claim_runs_out(stand: Stand, sink: Sink) -> None:
    OutgoingMail.objects.of(stand.operator).update(claimed_until=NOW + LEASE)

    assert Sent() == send_waiting(clock=at(NOW + LEASE - timedelta(seconds=1)))
    assert Sent(sent=1) == send_waiting(clock=at(NOW + LEASE))
    assert len(sink.messages) == 1


def test_a_mail_whose_workers_always_die_is_given_up(stand: Stand, sink: Sink) -> None:
    OutgoingMail.objects.of(stand.operator).update(attempts=MOST_ATTEMPTS, claimed_until=NOW)

    assert Sent(given_up=1) == send_waiting(clock=at(NOW))
    assert (mail_of(stand)[0].last_error, sink.messages) == ("no attempt came to an end", [])


def test_who_unsubscribed_meanwhile_gets_nothing(stand: Stand, sink: Sink) -> None:
    Person.objects.of(stand.operator).update(wants_mail=False)

    assert Sent(given_up=1) == send_waiting(clock=at(NOW))
    assert sink.messages == []
