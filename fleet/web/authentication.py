"""Bearer tokens: looked up by digest, so that a copy of the store opens nothing."""

import logging
from datetime import datetime, timedelta

from django.db import OperationalError
from django.db.models import Q
from django.utils import timezone
from rest_framework import exceptions
from rest_framework.authentication import BaseAuthentication
from rest_framework.request import Request

from fleet.people.actor import Actor
from fleet.people.models import Token
from fleet.people.queries import known_token
from fleet.people.token_actions import digest_of
from fleet.web.throttling import count_failed_authentication

USE_NOTED_EVERY = timedelta(minutes=1)
logger = logging.getLogger("undercart.web")


class BearerToken(BaseAuthentication):
    """``Authorization: Bearer uc_...``; sets ``request.user`` to an `Actor`, ``request.auth`` to the `Token`."""

    def authenticate(self, request: Request) -> tuple[Actor, Token] | None:
        """Return who acts, None without the header; refuse what is unknown, expired, revoked or left."""
        kind, _, secret = request.headers.get("Authorization", "").partition(" ")
        if not kind:
            return None
        if kind.lower() != "bearer":
            raise self._refusal(request, "send the token as: Authorization: Bearer uc_...")
        token, now = known_token(digest=digest_of(secret.strip())), timezone.now()
        if token is None or token.is_void:
            raise self._refusal(request, "this token is not valid")
        if token.has_expired(now):
            raise self._refusal(request, "this token has expired; ask a coordinator for a new one")
        note_use(token, now)
        return actor_of(token), token

    def authenticate_header(self, request: Request) -> str:
        """Return the challenge that goes with 401."""
        return 'Bearer realm="Undercart"'

    def _refusal(self, request: Request, message: str) -> exceptions.APIException:
        return count_failed_authentication(request) or exceptions.AuthenticationFailed(message)


def actor_of(token: Token) -> Actor:
    """Return the person that ``token`` speaks for."""
    return Actor(token.operator_id, token.person_id, token.pk, token.person.role, frozenset(token.scopes))


def note_use(token: Token, now: datetime) -> None:
    """Write when the token was last used, at most once a minute so that reads stay reads."""
    if token.last_used_at is not None and now - token.last_used_at < USE_NOTED_EVERY:
        return
    long_ago = Q(last_used_at__isnull=True) | Q(last_used_at__lt=now - USE_NOTED_EVERY)
    try:
        Token.objects.of(token.operator_id).filter(long_ago, pk=token.pk).update(last_used_at=now)
    except OperationalError:
        # A long write holds the store; a read must not fail for its footnote.
        logger.warning("use of token %s not noted: the store is busy", token.pk)
