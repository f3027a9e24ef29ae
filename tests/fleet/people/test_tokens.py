"""/people/{id}/tokens and /tokens/{id}/revocation."""

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from fleet.audit.models import AuditEntry
from fleet.operators.models import Operator
from fleet.people.models import Person, Token
from tests.builders.fleet import a_person, a_token, an_operator
from tests.fleet.asking import faults, refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def person(operator: Operator) -> Person:
    return a_person(operator, "member")


def url(person: Person) -> str:
    return f"/api/v1/people/{person.pk}/tokens"


def body(**changes: Any) -> dict[str, Any]:
    ahead = timezone.now() + timedelta(days=30)
    return {"label": "hangar tablet", "scopes": ["report", "read"], "expires_at": ahead.isoformat(), **changes}


def speaking(secret: str) -> APIClient:
    client = APIClient()
    client.credentials(HTTP_AUTHORIZATION=f"Bearer {secret}")
    return client


def test_the_secret_is_shown_once_and_works(operator: Operator, client_of: Any, person: Person) -> None:
    issued = client_of(operator).post(url(person), body())
    assert issued.status_code == 201
    secret = issued.json()["secret"]
    assert secret.startswith("uc_")
    assert (issued.json()["hint"], issued.json()["scopes"]) == (secret[-4:], ["read", "report"])
    assert speaking(secret).get("/api/v1/caller").json()["person"]["id"] == str(person.pk)
    listed = client_of(operator).get(url(person))
    assert secret not in listed.content.decode()
    assert [row["label"] for row in listed.json()["items"]] == ["hangar tablet"]
    assert secret not in str(list(AuditEntry.objects.of(operator).values()))


def test_a_revoked_token_ends_at_once_and_stays_revoked(operator: Operator, client_of: Any, person: Person) -> None:
    token, secret = a_token(person)
    client = client_of(operator)
    first = client.post(f"/api/v1/tokens/{token.pk}/revocation")
    again = client.post(f"/api/v1/tokens/{token.pk}/revocation")
    assert first.status_code == 200
    assert first.json()["revoked_at"] == again.json()["revoked_at"] is not None
    assert speaking(secret).get("/api/v1/caller").status_code == 401
    assert AuditEntry.objects.of(operator).filter(action="token revoked").count() == 1


def test_every_faulty_field_is_named(operator: Operator, client_of: Any, person: Person) -> None:
    wrong = {"label": "x" * 81, "scopes": ["fly"], "expires_at": "tomorrow", "secret": "mine"}
    assert faults(client_of(operator).post(url(person), wrong)) == {
        ("label", "max_length"),
        ("scopes.0", "invalid_choice"),
        ("expires_at", "invalid"),
        ("secret", "unknown_field"),
    }
    assert faults(client_of(operator).post(url(person), body(scopes=[]))) == {("scopes", "empty")}


@pytest.mark.parametrize("days", [-1, 367])
def test_a_token_ends_within_a_year(operator: Operator, client_of: Any, person: Person, days: int) -> None:
    ends = (timezone.now() + timedelta(days=days)).isoformat()
    answer = client_of(operator).post(url(person), body(expires_at=ends))
    assert (answer.status_code, faults(answer)) == (422, {("expires_at", "out_of_range")})


def test_who_left_gets_no_token(operator: Operator, client_of: Any) -> None:
    gone = a_person(operator, "member", active=False)
    assert refused(client_of(operator).post(url(gone), body())) == (422, "person_inactive")


def test_a_strangers_person_and_token_are_404(operator: Operator, client_of: Any) -> None:
    stranger = a_person(an_operator())
    token, _ = a_token(stranger)
    client = client_of(operator)
    assert refused(client.get(url(stranger))) == (404, "not_found")
    assert refused(client.post(url(stranger), body())) == (404, "not_found")
    assert refused(client.post(f"/api/v1/tokens/{token.pk}/revocation")) == (404, "not_found")
    assert Token.objects.of(stranger.operator).get().revoked_at is None


def test_only_coordinators_see_issue_and_revoke(operator: Operator, client_of: Any, person: Person) -> None:
    token, _ = a_token(person)
    client = client_of(operator, "mechanic")
    for answer in (
        client.get(url(person)),
        client.post(url(person), body()),
        client.post(f"/api/v1/tokens/{token.pk}/revocation"),
    ):
        assert refused(answer) == (403, "role_too_low")
