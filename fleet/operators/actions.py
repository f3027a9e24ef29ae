"""Setting up an operator and changing how it wants to be served."""

import uuid
from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction

from fleet.audit.actions import record_change
from fleet.changes import change_row, no_clash
from fleet.operators.models import Operator
from fleet.people.actor import Actor, installation_actor
from fleet.people.models import Person, Role, Scope
from fleet.people.token_actions import IssuedToken, issue_token

FIRST_TOKEN_LASTS = timedelta(days=90)


@transaction.atomic
def create_operator(
    *,
    name: str,
    coordinator_name: str,
    coordinator_email: str,
    now: datetime,
    settings: Mapping[str, Any] | None = None,
) -> tuple[Operator, IssuedToken]:
    """Set up an operator with its first coordinator and a token; a job of the installation."""
    with no_clash("name", f"an operator named {name!r} exists already"):
        operator = Operator.objects.create(id=uuid.uuid4(), name=name, created_at=now, **(settings or {}))
    actor = installation_actor(operator.pk)
    coordinator = Person.objects.create(
        operator=operator, name=coordinator_name, email=coordinator_email, role=Role.COORDINATOR
    )
    for kind, row in (("operator", operator), ("person", coordinator)):
        record_change(
            actor=actor,
            action=f"{kind} added",
            subject_kind=kind,
            subject_id=row.pk,
            now=now,
            after={"name": row.name},
        )
    token = issue_token(
        actor=actor,
        now=now,
        person_id=coordinator.pk,
        label="first steps",
        scopes=Scope.values,
        expires_at=now + FIRST_TOKEN_LASTS,
    )
    return operator, token


@transaction.atomic
def change_operator(*, actor: Actor, now: datetime, version: int, changes: Mapping[str, Any]) -> Operator:
    """Change the operator's settings."""
    actor.require(Role.COORDINATOR, Scope.MANAGE)
    rows = Operator.objects.filter(pk=actor.operator_id)
    operator = rows.get()
    with no_clash("name", "another operator has this name"):
        change_row(rows, operator, actor=actor, now=now, version=version, changes=changes, kind="operator")
    return operator
