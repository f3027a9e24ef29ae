"""A row of the outbox as a message: text, HTML with its picture inside, and the way out of the list."""

from __future__ import annotations

from email.message import EmailMessage as MimeMessage
from email.policy import EmailPolicy, Policy
from email.utils import format_datetime
from typing import Any, cast

from django.conf import settings
from django.core.mail import EmailMessage

from servicing.outbox.links import unsubscribe_link
from servicing.outbox.models import OutgoingMail

# The HTML part names the picture by this; the templates write src="cid:...".
CHART_CID = "history-chart@undercart"


class _WholeLinks(EmailPolicy):
    """Folds headers, but leaves the unsubscribe link whole: folded, it would be encoded, and no provider reads it."""

    def fold(self, name: str, value: str) -> str:
        """See the standard library."""
        if name.lower() == "list-unsubscribe":
            return f"{name}: {value}{self.linesep}"
        return str(super().fold(name, value))

    def fold_binary(self, name: str, value: str) -> bytes:
        """See the standard library."""
        if name.lower() == "list-unsubscribe":
            return self.fold(name, value).encode("ascii")
        return bytes(super().fold_binary(name, value))


_POLICY = _WholeLinks(linesep="\r\n")


class _Bytes(MimeMessage):
    def as_bytes(self, unixfrom: bool = False, policy: Any = None, *, linesep: str = "\r\n") -> bytes:
        """See the standard library; Django up to 5.2 asks for line ends here, which the policy already has right."""
        return super().as_bytes(unixfrom, policy)


class AlertMessage(EmailMessage):
    """One row as a message. Every attempt builds the same, with the same Message-ID.

    Django's own classes put a picture beside the HTML as an attachment; a picture *in* the HTML is
    multipart/related (RFC 2387), so the parts are put together here.
    """

    def __init__(self, mail: OutgoingMail) -> None:
        super().__init__(mail.subject, mail.text, settings.DEFAULT_FROM_EMAIL, [mail.address])
        self.mail = mail

    def message(self, *, policy: Policy[Any] | None = None) -> Any:
        """Return the message for a mail server or a file."""
        built = _Bytes(_POLICY)
        for name, value in self._headers():
            built[name] = value
        built.set_content(self.mail.text, cte="quoted-printable")
        built.add_alternative(self.mail.html, subtype="html", cte="quoted-printable")
        html = cast("list[MimeMessage]", built.get_payload())[1]
        html.add_related(bytes(self.mail.chart_png), "image", "png", cid=f"<{CHART_CID}>", disposition="inline")
        return built

    def _headers(self) -> list[tuple[str, str]]:
        unsubscribe = unsubscribe_link(self.mail.person_id)
        headers = [
            ("Subject", self.mail.subject),
            ("From", self.from_email),
            ("To", self.mail.address),
            ("Date", format_datetime(self.mail.created_at)),
            ("Message-ID", self.mail.message_id),
            ("Auto-Submitted", "auto-generated"),  # RFC 3834: no holiday answers
            ("List-Unsubscribe", f"<{unsubscribe}>"),
        ]
        if unsubscribe.startswith("https:"):
            # RFC 8058 allows the one-click POST at https addresses only.
            headers.append(("List-Unsubscribe-Post", "List-Unsubscribe=One-Click"))
        return headers
