"""Issuing and revoking tokens."""

import hashlib
import secrets
import uuid
from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.db import transaction

from fleet.audit.actions import record_change
from fleet.people.actor import Actor
from fleet.people.models import Person, Role, Scope, Token
from fleet.people.queries import person_of
from fleet.refusals import FieldFault, Missing, Refused

PREFIX = "uc_"  # lets secret scanners recognise a token that leaked
LONGEST = timedelta(days=366)


@dataclass(frozen=True, slots=True)
class IssuedToken:
    """A new token with its secret, which exists nowhere else."""

    token: Token
    secret: str = field(repr=False)


def digest_of(secret: str) -> str:
    """Return the digest under which a token is kept; the secret has 256 random bits, so no salt is needed."""
    return hashlib.sha256(secret.encode()).hexdigest()


@transaction.atomic
def issue_token(
    *,
    actor: Actor,
    now: datetime,
    person_id: uuid.UUID,
    label: str,
    scopes: Collection[str],
    expires_at: datetime,
) -> IssuedToken:
    """Issue a token for a person; the secret is returned once and kept only as a digest."""
    actor.require(Role.COORDINATOR, Scope.MANAGE)
    person = person_of(actor.operator_id, person_id)
    _check(person, expires_at, now)
    secret = PREFIX + secrets.token_urlsafe(32)
    token = Token.objects.create(
        operator_id=actor.operator_id,
        person=person,
        label=label,
        digest=digest_of(secret),
        hint=secret[-4:],
        scopes=sorted(set(scopes), key=Scope.values.index),
        created_at=now,
        expires_at=expires_at,
    )
    record_change(
        actor=actor,
        action="token issued",
        subject_kind="token",
        subject_id=token.pk,
        now=now,
        after={
            "person": str(person.pk),
            "label": label,
            "scopes": token.scopes,
            "expires_at": expires_at.isoformat(),
        },
    )
    return IssuedToken(token, secret)


@transaction.atomic
def revoke_token(*, actor: Actor, now: datetime, token_id: uuid.UUID) -> Token:
    """End a token at once; one that has ended stays as it is."""
    actor.require(Role.COORDINATOR, Scope.MANAGE)
    rows = Token.objects.of(actor.operator_id)
    token = rows.filter(pk=token_id).select_related("person").first()
    if token is None:
        raise Missing("no such token")
    if rows.filter(pk=token_id, revoked_at__isnull=True).update(revoked_at=now):
        token.revoked_at = now
        record_change(actor=actor, action="token revoked", subject_kind="token", subject_id=token.pk, now=now)
    return token


def revoke_tokens_of(person: Person, *, now: datetime) -> int:
    """End every token of a person who leaves, within the caller's transaction and audit entry."""
    return Token.objects.of(person.operator_id).filter(person=person, revoked_at__isnull=True).update(revoked_at=now)


def _check(person: Person, expires_at: datetime, now: datetime) -> None:
    if not person.active:
        raise Refused("a person who left gets no token", code="person_inactive")
    if not now < expires_at <= now + LONGEST:
        message = f"a time after now and at most {LONGEST.days} days ahead"
        raise Refused(message, faults=[FieldFault("expires_at", "out_of_range", message)])
