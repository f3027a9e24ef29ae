"""Reading people and tokens."""

import uuid
from typing import Any

from fleet.operators.models import Operator
from fleet.people.models import Person, Token
from fleet.refusals import Missing
from fleet.tenancy import OwnedQuerySet


def people_of(
    operator: Operator | uuid.UUID, *, role: str | None = None, active: bool | None = None
) -> OwnedQuerySet[Person]:
    """Return the operator's people."""
    rows = Person.objects.of(operator)
    if role is not None:
        rows = rows.filter(role=role)
    return rows if active is None else rows.filter(active=active)


def person_of(operator: Operator | uuid.UUID, person_id: uuid.UUID) -> Person:
    """Return one person, or refuse."""
    person = Person.objects.of(operator).filter(pk=person_id).first()
    if person is None:
        raise Missing("no such person")
    return person


def tokens_of(operator: Operator | uuid.UUID, person_id: uuid.UUID) -> OwnedQuerySet[Token]:
    """Return a person's tokens."""
    return Token.objects.of(operator).filter(person_id=person_id)


def known_token(**which: Any) -> Token | None:
    """Return the token that speaks, with its person and operator, whosoever's it is: nobody is known before."""
    return Token.objects.across_operators().select_related("person", "operator").filter(**which).first()
