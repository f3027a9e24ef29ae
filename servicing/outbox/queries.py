"""Reading the outbox."""

from collections.abc import Mapping
from typing import Any, Final

from django.db.models import Q

from fleet.operators.models import Operator
from fleet.tenancy import OwnedQuerySet
from servicing.outbox.models import OutgoingMail

_BY_STATE: Final = {
    "waiting": Q(sent_at__isnull=True, given_up_at__isnull=True),
    "sent": Q(sent_at__isnull=False),
    "given up": Q(sent_at__isnull=True, given_up_at__isnull=False),
}
STATES: Final = tuple(_BY_STATE)


def mail_matching(operator: Operator, filters: Mapping[str, Any]) -> OwnedQuerySet[OutgoingMail]:
    """Return the mail that the documented filters keep, without texts and pictures."""
    rows = OutgoingMail.objects.of(operator).defer("text", "html", "chart_png")
    if state := filters.get("state"):
        rows = rows.filter(_BY_STATE[state])
    if person := filters.get("person"):
        rows = rows.filter(person=person)
    return rows


def state_of(mail: OutgoingMail) -> str:
    """Return in which state a mail is."""
    if mail.sent_at is not None:
        return "sent"
    return "given up" if mail.given_up_at is not None else "waiting"
