"""/struts and /tyres."""

from typing import Any

import pytest

from fleet.audit.models import AuditEntry
from fleet.gear.kinds import STRUT, TYRE, PartKind
from fleet.operators.models import Operator
from tests.builders.fleet import a_leg, a_strut, a_tyre, an_operator, next_id
from tests.fleet.asking import faults, match, refused

pytestmark = pytest.mark.django_db
MAKE = {STRUT: a_strut, TYRE: a_tyre}


@pytest.fixture(params=[STRUT, TYRE], ids=lambda kind: kind.noun)
def kind(request: Any) -> PartKind:
    return request.param  # type: ignore[no-any-return]


def url(kind: PartKind, part: Any = None) -> str:
    return f"/api/v1/{kind.plural}" + (f"/{part.pk}" if part else "")


class TestAdd:
    def test_a_part_is_added_once_and_is_on_no_leg(self, operator: Operator, client_of: Any, kind: PartKind) -> None:
        client, body = client_of(operator, "mechanic"), {"serial_number": "1001", "id": str(next_id())}
        first, again = client.post(url(kind), body), client.post(url(kind), body)
        assert (first.status_code, again.status_code, again.json()) == (201, 200, first.json())
        assert (first.json()["serial_number"], first.json()["place"]) == ("1001", None)
        assert AuditEntry.objects.of(operator).get().action == f"{kind.noun} added"

    def test_a_repeat_with_the_same_key_gets_the_same_answer(
        self, operator: Operator, client_of: Any, kind: PartKind
    ) -> None:
        client = client_of(operator)
        first, again = (client.post(url(kind), {}, headers={"Idempotency-Key": "a"}) for _ in range(2))
        assert (first.status_code, again.content) == (201, first.content)

    def test_a_serial_number_is_given_once_but_none_is_fine(
        self, operator: Operator, client_of: Any, kind: PartKind
    ) -> None:
        client = client_of(operator)
        assert [client.post(url(kind), {}).status_code for _ in range(2)] == [201, 201]
        client.post(url(kind), {"serial_number": "1"})
        assert faults(client.post(url(kind), {"serial_number": "1"})) == {("serial_number", "taken")}
        assert client_of(an_operator()).post(url(kind), {"serial_number": "1"}).status_code == 201

    def test_every_faulty_field_is_named(self, operator: Operator, client_of: Any) -> None:
        strut = {"id": "x", "serial_number": "x" * 41, "part_number": "x" * 41, "size": "6.00-6"}
        assert faults(client_of(operator).post(url(STRUT), strut)) == {
            ("id", "invalid"),
            ("serial_number", "max_length"),
            ("part_number", "max_length"),
            ("size", "unknown_field"),
        }
        tyre = {"size": "x" * 25, "new_tread": "9 in", "part_number": ""}
        assert faults(client_of(operator).post(url(TYRE), tyre)) == {
            ("size", "max_length"),
            ("new_tread", "too_large"),
            ("part_number", "unknown_field"),
        }

    def test_a_member_adds_no_parts(self, operator: Operator, client_of: Any, kind: PartKind) -> None:
        assert refused(client_of(operator, "member").post(url(kind), {})) == (403, "role_too_low")


class TestRead:
    def test_a_list_shows_the_operators_own_with_their_places(
        self, operator: Operator, client_of: Any, kind: PartKind
    ) -> None:
        MAKE[kind](an_operator())
        leg = a_leg(operator)
        installed, stored = (
            MAKE[kind](operator, leg, serial_number="A"),
            MAKE[kind](operator, serial_number="B"),
        )
        client = client_of(operator, "reader")
        items = client.get(url(kind)).json()["items"]
        assert [row["id"] for row in items] == [str(installed.pk), str(stored.pk)]
        assert items[0]["place"]["registration"] == leg.aircraft.registration
        assert (items[0]["place"]["leg"], items[0]["place"]["position"]) == (str(leg.pk), "left main")
        assert items[1]["place"] is None

        def found(**query: Any) -> list[str]:
            return [row["id"] for row in client.get(url(kind), query).json()["items"]]

        assert found(installed="true") == found(leg=leg.pk) == found(aircraft=leg.aircraft_id) == [str(installed.pk)]
        assert found(installed="false") == found(serial_number="B") == [str(stored.pk)]
        assert found(leg=next_id()) == []
        assert faults(client.get(url(kind), {"leg": "x", "aircraft": "x", "installed": "perhaps"})) == {
            ("leg", "invalid"),
            ("aircraft", "invalid"),
            ("installed", "invalid"),
        }

    def test_a_stranger_is_404(self, operator: Operator, client_of: Any, kind: PartKind) -> None:
        stranger = url(kind, MAKE[kind](an_operator()))
        assert refused(client_of(operator).get(stranger)) == (404, "not_found")
        assert refused(client_of(operator).patch(stranger, {}, headers=match())) == (404, "not_found")


class TestChange:
    def test_particulars_are_put_right(self, operator: Operator, client_of: Any, kind: PartKind) -> None:
        part = MAKE[kind](operator, serial_number="1O01")
        client = client_of(operator, "mechanic")
        answer = client.patch(url(kind, part), {"serial_number": "1001"}, headers=match())
        assert (answer.status_code, answer.json()["serial_number"], answer.json()["version"]) == (200, "1001", 2)
        assert refused(client.patch(url(kind, part), {}, headers=match())) == (412, "stale_version")
        assert refused(client.patch(url(kind, part), {})) == (428, "if_match_required")
        other = MAKE[kind](operator)
        taken = client.patch(url(kind, other), {"serial_number": "1001"}, headers=match())
        assert faults(taken) == {("serial_number", "taken")}
        wrong = client.patch(url(kind, other), {"serial_number": None, "leg": 1}, headers=match())
        assert faults(wrong) == {("serial_number", "null"), ("leg", "unknown_field")}

    def test_a_member_changes_nothing(self, operator: Operator, client_of: Any, kind: PartKind) -> None:
        part = MAKE[kind](operator)
        answer = client_of(operator, "member").patch(url(kind, part), {}, headers=match())
        assert refused(answer) == (403, "role_too_low")
