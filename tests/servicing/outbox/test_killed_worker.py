"""A worker killed in the middle: real processes, SIGKILL, and a real mail server."""

import time
from typing import Any

from servicing.outbox.sending import LEASE
from tests.installations import Installation, finish
from tests.servicing.outbox.sink import Sink, free_port, running

PREPARE = """
from tests.builders.alerts import an_alert
from tests.builders.fleet import a_person
from tests.builders.readings import a_stand
from servicing.outbox.models import OutgoingMail
stand = a_stand()
for _ in range(5):
    a_person(stand.operator)
an_alert(stand)
print(json.dumps(sorted(OutgoingMail.objects.across_operators().values_list("message_id", flat=True))))
"""
# The worker stops dead where the test wants it: before the message of its third claim leaves.
HANG_AT_THIRD = """
import time
from django.core.mail.backends import smtp
from servicing.outbox.sending import send_waiting
from tests.builders.fleet import NOW
send = smtp.EmailBackend.send_messages
done = []
def hang(server, messages):
    if len(done) == 2:
        print("claimed the third", flush=True)
        time.sleep(600)
    done.append(send(server, messages))
    return done[-1]
smtp.EmailBackend.send_messages = hang
send_waiting(clock=lambda: NOW)
"""
SEND = """
from dataclasses import asdict
from datetime import timedelta
from servicing.outbox.sending import send_waiting
from tests.builders.fleet import NOW
print(json.dumps(asdict(send_waiting(clock=lambda: NOW + timedelta(seconds={seconds})))))
"""


def sending(sent: int) -> dict[str, int]:
    return {"sent": sent, "put_back": 0, "given_up": 0}


def ids(sink: Sink) -> list[Any]:
    return sorted(message["Message-ID"] for message in sink.messages)


def test_a_worker_killed_between_claim_and_hand_over_loses_nothing_and_doubles_nothing(
    installation: Installation,
) -> None:
    port = free_port()
    mail = {"UNDERCART_MAIL": f"smtp://127.0.0.1:{port}"}
    waiting = installation.run(PREPARE)
    with running(Sink(), port) as sink:
        worker = installation.start(HANG_AT_THIRD, **mail)
        assert worker.stdout is not None
        assert worker.stdout.readline() == "claimed the third\n"
        worker.kill()
        worker.communicate(timeout=30)
        assert len(sink.messages) == 2

        others = installation.run(SEND.format(seconds=0), **mail)
        last = installation.run(SEND.format(seconds=LEASE.total_seconds()), **mail)
        again = installation.run(SEND.format(seconds=10 * LEASE.total_seconds()), **mail)

    # The claimed one is left to its claim, then taken over; each of the six went out exactly once.
    assert [sending(3), sending(1), sending(0)] == [others, last, again]
    assert waiting == ids(sink)


def test_four_workers_at_once_send_each_mail_once(installation: Installation) -> None:
    port = free_port()
    mail = {"UNDERCART_MAIL": f"smtp://127.0.0.1:{port}"}
    waiting = installation.run(PREPARE)
    start = f"import time\ntime.sleep(max(0, {time.time() + 4} - time.time()))\n"
    with running(Sink(), port) as sink:
        workers = [installation.start(start + SEND.format(seconds=0), **mail) for _ in range(4)]
        counts = [finish(worker)["sent"] for worker in workers]

    assert sum(counts) == 6
    assert waiting == ids(sink)
