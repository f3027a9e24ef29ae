"""The link in every mail that stops the mail."""

import pytest
from django.test import Client, override_settings

from fleet.audit.models import AuditEntry
from fleet.people.models import Person
from servicing.outbox.links import unsubscribe_link
from tests.builders.fleet import a_person, an_operator

pytestmark = [pytest.mark.django_db, pytest.mark.urls("servicing.outbox.pages")]


@pytest.fixture
def person() -> Person:
    """Return a coordinator who gets mail."""
    return a_person(an_operator())


def path_of(person: Person) -> str:
    return unsubscribe_link(person.id).removeprefix("http://127.0.0.1:8000")


def wants_mail(person: Person) -> bool:
    return Person.objects.of(person.operator_id).get(pk=person.pk).wants_mail


def test_opening_the_link_shows_a_form_and_changes_nothing(person: Person) -> None:
    answer = Client().get(path_of(person))

    assert answer.status_code == 200
    assert '<form method="post">' in answer.content.decode()
    assert wants_mail(person)


def test_posting_stops_the_mail_without_cookie_or_redirect(person: Person) -> None:
    answer = Client(enforce_csrf_checks=True).post(
        path_of(person), "List-Unsubscribe=One-Click", content_type="application/x-www-form-urlencoded"
    )

    assert answer.status_code == 200
    assert not answer.cookies
    assert not wants_mail(person)


def test_posting_twice_is_recorded_once(person: Person) -> None:
    for _ in range(2):
        Client().post(path_of(person))

    entries = AuditEntry.objects.of(person.operator_id).filter(subject_id=person.id)
    assert [entry.action for entry in entries] == ["person unsubscribed"]


@pytest.mark.parametrize("method", ["get", "post"])
def test_an_altered_link_does_nothing(person: Person, method: str) -> None:
    answer = getattr(Client(), method)(path_of(person)[:-2] + "zz")

    assert answer.status_code == 404
    assert wants_mail(person)


def test_a_link_made_with_another_key_does_nothing(person: Person) -> None:
    with override_settings(SECRET_KEY="another"):
        path = path_of(person)

    assert Client().post(path).status_code == 404
    assert wants_mail(person)
