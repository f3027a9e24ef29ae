"""Addresses that mail carries, each signed so that only its own reader can use it."""

import uuid
from urllib.parse import urlsplit

from django.conf import settings
from django.core import signing

_UNSUBSCRIBE = "undercart.unsubscribe"


def unsubscribe_link(person_id: uuid.UUID) -> str:
    """Return the address at which a person stops mail, for good: mail is kept for years."""
    return f"{settings.PUBLIC_URL}/unsubscribe/{signing.dumps(str(person_id), salt=_UNSUBSCRIBE)}"


def read_unsubscribe(token: str) -> uuid.UUID | None:
    """Return the person that an address speaks for; None when it was made up or altered."""
    try:
        return uuid.UUID(signing.loads(token, salt=_UNSUBSCRIBE))
    except (signing.BadSignature, ValueError):
        return None


def message_id_for(mail_id: uuid.UUID) -> str:
    """Return the Message-ID of one outgoing mail, the same for every attempt."""
    return f"<{mail_id}.alert@{urlsplit(settings.PUBLIC_URL).hostname or 'localhost'}>"
