"""/people and /caller."""

import uuid
from typing import Any

import pytest

from fleet.audit.models import AuditEntry
from fleet.operators.models import Operator
from fleet.people.models import Person, Token
from tests.builders.fleet import a_person, a_token, an_operator
from tests.fleet.asking import faults, match, refused

URL = "/api/v1/people"
ADA = {"name": "Ada Example", "email": "ada@club.example", "role": "mechanic"}
pytestmark = pytest.mark.django_db


class TestCaller:
    def test_the_caller_learns_who_the_token_speaks_for(self, operator: Operator, client_of: Any) -> None:
        answer = client_of(operator, "member", ["read"]).get("/api/v1/caller").json()
        assert (answer["operator"], answer["person"]["role"], answer["scopes"]) == (
            str(operator.pk),
            "member",
            ["read"],
        )
        assert answer["person"]["email"] is not None


class TestList:
    def test_people_come_by_name_and_only_the_operators_own(self, operator: Operator, client_of: Any) -> None:
        a_person(an_operator(), name="Stranger")
        a_person(operator, "member", name="Aaron")
        names = [row["name"] for row in client_of(operator).get(URL).json()["items"]]
        assert names[0] == "Aaron"
        assert "Stranger" not in names

    @pytest.mark.parametrize(
        ("query", "expected"), [({"role": "member"}, ["Bo", "Cy"]), ({"role": "member", "active": "true"}, ["Bo"])]
    )
    def test_a_list_can_be_narrowed(
        self, operator: Operator, client_of: Any, query: dict[str, str], expected: list[str]
    ) -> None:
        a_person(operator, "member", name="Bo")
        a_person(operator, "member", name="Cy", active=False)
        assert [row["name"] for row in client_of(operator).get(URL, query).json()["items"]] == expected

    def test_an_unknown_role_in_a_filter_is_refused(self, operator: Operator, client_of: Any) -> None:
        assert faults(client_of(operator).get(URL, {"role": "pilot"})) == {("role", "invalid_choice")}

    def test_address_and_certificate_are_for_coordinators_and_oneself(
        self, operator: Operator, client_of: Any
    ) -> None:
        other = a_person(operator, "mechanic", certificate_number="12345")
        seen = client_of(operator, "mechanic").get(f"{URL}/{other.pk}").json()
        assert (seen["email"], seen["certificate_number"]) == (None, None)
        seen = client_of(operator).get(f"{URL}/{other.pk}").json()
        assert (seen["email"], seen["certificate_number"]) == (other.email, "12345")


class TestAdd:
    def test_a_person_is_added_once(self, operator: Operator, client_of: Any) -> None:
        client = client_of(operator)
        body = {**ADA, "id": str(uuid.uuid4())}
        first, again = client.post(URL, body), client.post(URL, body)
        assert (first.status_code, again.status_code) == (201, 200)
        assert first.json() == again.json()
        assert first.json()["id"] == body["id"]
        assert Person.objects.of(operator).filter(email=ADA["email"]).count() == 1
        assert AuditEntry.objects.of(operator).filter(action="person added").count() == 1

    def test_a_repeat_with_the_same_key_gets_the_same_answer(self, operator: Operator, client_of: Any) -> None:
        client = client_of(operator)
        first, again = (client.post(URL, ADA, headers={"Idempotency-Key": "a"}) for _ in range(2))
        assert (first.status_code, again.content) == (201, first.content)

    def test_an_id_that_stands_for_another_is_refused_whosever_it_is(
        self, operator: Operator, client_of: Any
    ) -> None:
        for owner in (operator, an_operator()):
            answer = client_of(operator).post(URL, {**ADA, "id": str(a_person(owner).pk)})
            assert refused(answer) == (409, "id_in_use")

    def test_an_address_is_given_once_whatever_its_capitals(self, operator: Operator, client_of: Any) -> None:
        client = client_of(operator)
        client.post(URL, ADA)
        answer = client.post(URL, {**ADA, "email": "ADA@club.example"})
        assert (*refused(answer), faults(answer)) == (409, "taken", {("email", "taken")})
        assert client_of(other := an_operator()).post(URL, ADA).status_code == 201
        assert Person.objects.of(other).filter(email=ADA["email"]).exists()

    def test_every_faulty_field_is_named(self, operator: Operator, client_of: Any) -> None:
        wrong = {
            "id": "x",
            "email": "nobody",
            "role": "pilot",
            "certificate_kind": "x" * 41,
            "certificate_number": "x" * 41,
            "wants_mail": "perhaps",
            "active": None,
            "password": "secret",
        }
        assert faults(client_of(operator).post(URL, wrong)) == {
            ("id", "invalid"),
            ("name", "required"),
            ("email", "invalid"),
            ("role", "invalid_choice"),
            ("certificate_kind", "max_length"),
            ("certificate_number", "max_length"),
            ("wants_mail", "invalid"),
            ("active", "null"),
            ("password", "unknown_field"),
        }

    def test_only_a_coordinator_adds_people(self, operator: Operator, client_of: Any) -> None:
        assert refused(client_of(operator, "mechanic").post(URL, ADA)) == (403, "role_too_low")


class TestChange:
    def test_what_is_named_changes_and_the_rest_stays(self, operator: Operator, client_of: Any) -> None:
        person = a_person(operator, "member", certificate_number="12345")
        answer = client_of(operator).patch(f"{URL}/{person.pk}", {"role": "mechanic"}, headers=match())
        assert (answer.status_code, answer.json()["version"]) == (200, 2)
        person.refresh_from_db()
        assert (person.role, person.certificate_number) == ("mechanic", "12345")

    def test_the_audit_trail_keeps_no_address(self, operator: Operator, client_of: Any) -> None:
        person = a_person(operator, "member")
        client_of(operator).patch(f"{URL}/{person.pk}", {"email": "new@club.example"}, headers=match())
        entry = AuditEntry.objects.of(operator).get(action="person changed")
        assert (entry.before, entry.after) == ({"email": None}, {"email": None})

    def test_who_leaves_loses_every_token_at_once(self, operator: Operator, client_of: Any) -> None:
        person = a_person(operator, "member")
        token, _ = a_token(person)
        answer = client_of(operator).patch(f"{URL}/{person.pk}", {"active": False}, headers=match())
        assert answer.json()["active"] is False
        assert Token.objects.of(operator).get(pk=token.pk).revoked_at is not None

    @pytest.mark.parametrize("change", [{"active": False}, {"role": "member"}])
    def test_the_last_coordinator_stays(self, operator: Operator, client_of: Any, change: dict[str, Any]) -> None:
        client = client_of(operator)
        own = client.get("/api/v1/caller").json()["person"]["id"]
        assert refused(client.patch(f"{URL}/{own}", change, headers=match())) == (409, "last_coordinator")
        a_person(operator)
        assert client.patch(f"{URL}/{own}", change, headers=match()).status_code == 200

    def test_a_stranger_is_404(self, operator: Operator, client_of: Any) -> None:
        stranger = a_person(an_operator())
        client = client_of(operator)
        assert refused(client.get(f"{URL}/{stranger.pk}")) == (404, "not_found")
        assert refused(client.patch(f"{URL}/{stranger.pk}", {}, headers=match())) == (404, "not_found")

    def test_a_role_too_low_is_403_and_a_stale_tag_412(self, operator: Operator, client_of: Any) -> None:
        person = a_person(operator, "member")
        url = f"{URL}/{person.pk}"
        assert refused(client_of(operator, "mechanic").patch(url, {}, headers=match())) == (403, "role_too_low")
        assert refused(client_of(operator).patch(url, {"name": "x"}, headers=match(2))) == (412, "stale_version")
        assert refused(client_of(operator).patch(url, {"name": "x"})) == (428, "if_match_required")

    def test_an_address_in_use_is_refused(self, operator: Operator, client_of: Any) -> None:
        one, other = a_person(operator, "member"), a_person(operator, "member")
        answer = client_of(operator).patch(f"{URL}/{one.pk}", {"email": other.email}, headers=match())
        assert (*refused(answer), faults(answer)) == (409, "taken", {("email", "taken")})
