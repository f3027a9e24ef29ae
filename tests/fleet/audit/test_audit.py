"""GET /audit."""

from typing import Any

import pytest

from fleet.audit.actions import record_change
from fleet.audit.models import AuditEntry
from fleet.operators.models import Operator
from fleet.people.actor import Actor
from tests.builders.fleet import NOW, an_actor, an_operator, later, next_id
from tests.fleet.asking import faults, refused

URL = "/api/v1/audit"
pytestmark = pytest.mark.django_db


def entry(actor: Actor, hours: int = 0, kind: str = "aircraft", **values: Any) -> AuditEntry:
    return record_change(
        actor=actor,
        action=f"{kind} changed",
        subject_kind=kind,
        subject_id=next_id(),
        now=later(hours=hours),
        **values,
    )


def test_entries_come_newest_first_and_only_the_operators_own(operator: Operator, client_of: Any) -> None:
    actor = an_actor(operator)
    early, late = entry(actor), entry(actor, 2, before={"track_in": 80.0}, after={"track_in": 82.0})
    entry(an_actor(an_operator()))
    items = client_of(operator).get(URL).json()["items"]
    assert [row["id"] for row in items] == [str(late.pk), str(early.pk)]
    assert items[0] == {
        "id": str(late.pk),
        "at": "2026-03-02T11:30:00Z",
        "person": str(actor.person_id),
        "token": str(actor.token_id),
        "action": "aircraft changed",
        "subject_kind": "aircraft",
        "subject": str(late.subject_id),
        "before": {"track_in": 80.0},
        "after": {"track_in": 82.0},
    }


def test_a_list_can_be_narrowed(operator: Operator, client_of: Any) -> None:
    actor, other = an_actor(operator), an_actor(operator)
    rows = [entry(actor), entry(actor, 1, "person"), entry(other, 2)]
    client = client_of(operator)

    def found(**query: Any) -> list[str]:
        return [row["id"] for row in client.get(URL, query).json()["items"]]

    assert found(subject=rows[0].subject_id) == [str(rows[0].pk)]
    assert found(kind="person") == [str(rows[1].pk)]
    assert found(person=other.person_id) == [str(rows[2].pk)]
    assert found(since=later(hours=1).isoformat(), until=later(hours=2).isoformat()) == [str(rows[1].pk)]


def test_faulty_filters_are_named(operator: Operator, client_of: Any) -> None:
    query = {"subject": "x", "kind": "x" * 41, "person": "x", "since": "x", "until": NOW.isoformat()}
    assert faults(client_of(operator).get(URL, query)) == {
        ("subject", "invalid"),
        ("kind", "max_length"),
        ("person", "invalid"),
        ("since", "invalid"),
    }


def test_only_coordinators_read_the_trail(operator: Operator, client_of: Any) -> None:
    assert refused(client_of(operator, "mechanic").get(URL)) == (403, "role_too_low")
