"""Sending what waits in the outbox.

A worker claims a row by compare-and-set for a few minutes, hands the message to the mail server, and marks the
row sent. Killed before the hand-over, its claim runs out and another worker sends the message: nothing is lost.

What remains possible: a worker that dies after the server accepted the message and before the mark is written
leaves a row that looks unsent, so the message goes out a second time. No outbox can close that window, because
server and database do not commit together; the second copy carries the same Message-ID and the same content, by
which most mail stores show it once, and the folder backend keeps it once.
"""

import logging
import smtplib
import uuid
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from django.core.mail import get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.db.models import F, Q

from fleet.tenancy import OwnedQuerySet
from servicing.outbox.message import AlertMessage
from servicing.outbox.models import OutgoingMail

log = logging.getLogger(__name__)

# Longer than one conversation with a server that uses its whole timeout (20 s) at every step.
LEASE: Final = timedelta(minutes=5)
PAUSES: Final = tuple(timedelta(minutes=minutes) for minutes in (1, 5, 15, 60, 180, 360, 720))
MOST_ATTEMPTS: Final = len(PAUSES) + 1
BATCH: Final = 100


@dataclass(frozen=True, slots=True)
class Sent:
    """What one round did."""

    sent: int = 0
    put_back: int = 0
    given_up: int = 0


class _ServerAwayError(Exception):
    """No mail server answered, so there is no use in trying the next message now."""


def send_waiting(*, clock: Callable[[], datetime]) -> Sent:
    """Send the messages that are due, oldest first; any number of workers may do so at once.

    A clock and not a moment: a round may last longer than a claim, and each claim starts when it is made.
    """
    counts = {"sent": 0, "put_back": 0, "given_up": 0}
    server = get_connection()
    try:
        for mail_id in _due(clock()):
            if (mail := _claim(mail_id, clock())) is not None:
                counts[_send_one(server, mail, clock)] += 1
    except _ServerAwayError:
        counts["put_back"] += 1
    finally:
        _close(server)
    return Sent(**counts)


def _due(now: datetime) -> list[uuid.UUID]:
    rows = OutgoingMail.objects.across_operators().filter(_waiting(now)).order_by("not_before", "id")
    return list(rows.values_list("id", flat=True)[:BATCH])


def _waiting(now: datetime) -> Q:
    unclaimed = Q(claimed_until__isnull=True) | Q(claimed_until__lte=now)
    return Q(unclaimed, sent_at__isnull=True, given_up_at__isnull=True, not_before__lte=now)


def _claim(mail_id: uuid.UUID, now: datetime) -> OutgoingMail | None:
    row = OutgoingMail.objects.across_operators().filter(pk=mail_id)
    if not row.filter(_waiting(now)).update(claimed_until=now + LEASE, attempts=F("attempts") + 1):
        return None
    return row.select_related("person").get()


def _send_one(server: BaseEmailBackend, mail: OutgoingMail, clock: Callable[[], datetime]) -> str:
    if mail.attempts > MOST_ATTEMPTS:
        return _give_up(mail, clock(), mail.last_error or "no attempt came to an end")
    if not (mail.person.wants_mail and mail.person.active):
        return _give_up(mail, clock(), "not sent: the person wants no mail any more")
    try:
        _connect(server)
        server.send_messages([AlertMessage(mail)])
    except _ServerAwayError as error:
        _put_back(mail, clock(), str(error))
        raise
    except (OSError, ValueError) as error:
        if isinstance(error, smtplib.SMTPServerDisconnected):
            _close(server)
        if _is_final(error):
            return _give_up(mail, clock(), _told(error))
        return _put_back(mail, clock(), _told(error))
    _row(mail).filter(sent_at__isnull=True).update(sent_at=clock(), claimed_until=None, last_error="")
    log.info("mail sent", extra={"mail_id": str(mail.id), "attempt": mail.attempts})
    return "sent"


def _connect(server: BaseEmailBackend) -> None:
    try:
        server.open()
    except OSError as error:
        raise _ServerAwayError(_told(error)) from error


def _close(server: BaseEmailBackend) -> None:
    try:
        server.close()
    except OSError:
        log.info("mail server closed the connection first")


def _is_final(error: Exception) -> bool:
    # A refused address stays refused and a message that cannot be built stays so; all else may pass.
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        return all(code >= 500 for code, _ in error.recipients.values())
    return isinstance(error, ValueError)


def _put_back(mail: OutgoingMail, now: datetime, error: str) -> str:
    if mail.attempts >= MOST_ATTEMPTS:
        return _give_up(mail, now, error)
    pause = PAUSES[mail.attempts - 1]
    _row(mail).update(claimed_until=None, not_before=now + pause, last_error=error)
    log.warning("mail put back", extra={"mail_id": str(mail.id), "attempt": mail.attempts})
    return "put_back"


def _give_up(mail: OutgoingMail, now: datetime, error: str) -> str:
    _row(mail).update(claimed_until=None, given_up_at=now, last_error=error)
    log.error("mail given up", extra={"mail_id": str(mail.id), "attempt": mail.attempts})
    return "given_up"


def _row(mail: OutgoingMail) -> OwnedQuerySet[OutgoingMail]:
    return OutgoingMail.objects.of(mail.operator_id).filter(pk=mail.pk)


def _told(error: Exception) -> str:
    """Return what a coordinator needs to know of a failure, without addresses."""
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        code, words = next(iter(error.recipients.values()))
        return f"the mail server refused the address: {code} {_plain(words)}"[:300]
    if isinstance(error, smtplib.SMTPResponseException):
        return f"the mail server answered {error.smtp_code} {_plain(error.smtp_error)}"[:300]
    return f"{type(error).__name__}: {error}"[:300]


def _plain(words: bytes | str) -> str:
    return words.decode(errors="replace") if isinstance(words, bytes) else words
