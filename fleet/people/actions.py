"""Taking people on, changing what they may do, and letting them go."""

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from fleet.audit.actions import record_change
from fleet.changes import change_row, no_clash, row_with_id
from fleet.people.actor import Actor
from fleet.people.models import Person, Role, Scope
from fleet.people.queries import people_of, person_of
from fleet.people.token_actions import revoke_tokens_of
from fleet.refusals import Clash

EMAIL_TAKEN = "someone of this operator has this address already"

PRIVATE = ("email", "certificate_kind", "certificate_number")


@transaction.atomic
def add_person(
    *, actor: Actor, now: datetime, values: Mapping[str, Any], person_id: uuid.UUID | None = None
) -> tuple[Person, bool]:
    """Take someone on; return the person, and whether they are new."""
    actor.require(Role.COORDINATOR, Scope.MANAGE)
    if known := row_with_id(Person, actor, person_id, values):
        return known, False
    with no_clash("email", EMAIL_TAKEN):
        person = Person.objects.create(id=person_id or uuid.uuid4(), operator_id=actor.operator_id, **values)
    record_change(
        actor=actor,
        action="person added",
        subject_kind="person",
        subject_id=person.pk,
        now=now,
        after={"name": person.name, "role": person.role},
    )
    return person, True


@transaction.atomic
def change_person(
    *, actor: Actor, now: datetime, person_id: uuid.UUID, version: int, changes: Mapping[str, Any]
) -> Person:
    """Change a person; one who is no longer active loses every token."""
    actor.require(Role.COORDINATOR, Scope.MANAGE)
    person = person_of(actor.operator_id, person_id)
    _keep_a_coordinator(person, changes)
    rows = Person.objects.of(actor.operator_id)
    with no_clash("email", EMAIL_TAKEN):
        change_row(
            rows, person, actor=actor, now=now, version=version, changes=changes, kind="person", private=PRIVATE
        )
    if not person.active:
        revoke_tokens_of(person, now=now)
    return person


def _keep_a_coordinator(person: Person, changes: Mapping[str, Any]) -> None:
    """Refuse to leave the operator with nobody who can manage it."""
    stays = changes.get("active", person.active) and changes.get("role", person.role) == Role.COORDINATOR
    if stays or not person.active or person.role != Role.COORDINATOR:
        return
    # Locked on PostgreSQL so that two coordinators cannot dismiss each other at the same moment.
    coordinators = people_of(person.operator_id, role=Role.COORDINATOR, active=True).select_for_update()
    if {row.pk for row in coordinators} <= {person.pk}:
        raise Clash("the operator would be left without an active coordinator", code="last_coordinator")
