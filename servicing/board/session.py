"""Signing in to the pages: a token is given once, and the signed cookie remembers only which token it was."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone

from fleet.operators.models import Operator
from fleet.people.actor import Actor
from fleet.people.models import Token
from fleet.people.queries import known_token
from fleet.people.token_actions import digest_of
from fleet.web.authentication import actor_of, note_use

_TOKEN = "token"  # noqa: S105  # the session's key, not a secret


@dataclass(frozen=True, slots=True)
class SignedIn:
    """Who looks at a page."""

    actor: Actor
    operator: Operator
    name: str


Page = Callable[..., HttpResponse]


def sign_in(request: HttpRequest, secret: str) -> bool:
    """Remember the token in the session; say whether it was a valid one."""
    token = _usable(digest=digest_of(secret.strip()))
    if token is None:
        return False
    request.session.cycle_key()
    request.session[_TOKEN] = str(token.pk)
    note_use(token, timezone.now())
    return True


def sign_out(request: HttpRequest) -> None:
    """Forget who signed in."""
    request.session.flush()


def who(request: HttpRequest) -> SignedIn | None:
    """Return who is signed in; a token revoked or expired meanwhile counts no longer."""
    token_id = request.session.get(_TOKEN)
    token = _usable(pk=token_id) if token_id else None
    return SignedIn(actor_of(token), token.operator, token.person.name) if token else None


def for_people(page: Page) -> Page:
    """Show a page only to someone signed in; others are sent to the start."""

    @wraps(page)
    def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        signed_in = who(request)
        return page(request, signed_in, *args, **kwargs) if signed_in else redirect("board-home")

    return guarded


def _usable(**which: Any) -> Token | None:
    token = known_token(**which)
    return None if token is None or token.is_void or token.has_expired(timezone.now()) else token
