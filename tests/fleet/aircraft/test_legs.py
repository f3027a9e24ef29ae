"""/aircraft/{id}/legs."""

from typing import Any

import pytest

from fleet.aircraft.models import Leg
from fleet.aircraft.outdated import outdated_legs
from fleet.operators.models import Operator
from tests.builders.fleet import a_leg, a_type_sheet, an_aircraft, an_operator, next_id
from tests.fleet.asking import faults, match, refused

pytestmark = pytest.mark.django_db


class TestAdd:
    def test_a_leg_is_added_with_what_is_on_it(self, operator: Operator, client_of: Any) -> None:
        aircraft = an_aircraft(operator)
        url = f"/api/v1/aircraft/{aircraft.pk}/legs"
        body = {"position": "nose", "type_sheet": str(a_type_sheet(operator, "nose").pk), "strut": {}}
        client = client_of(operator)
        answer = client.post(url, body, headers=match())
        assert (answer.status_code, answer.json()["version"]) == (201, 2)
        assert answer.json()["legs"][0]["strut"]["serial_number"] == ""
        assert faults(client.post(url, body, headers=match(2))) == {("position", "taken")}
        assert refused(client.post(url, body, headers=match(1))) == (412, "stale_version")
        assert refused(client.post(url, body)) == (428, "if_match_required")
        assert Leg.objects.of(operator).count() == 1

    def test_a_repeat_with_the_same_key_gets_the_same_answer(self, operator: Operator, client_of: Any) -> None:
        url = f"/api/v1/aircraft/{an_aircraft(operator).pk}/legs"
        body = {"position": "nose", "type_sheet": str(a_type_sheet(operator, "nose").pk)}
        client = client_of(operator)
        first, again = (client.post(url, body, headers={**match(), "Idempotency-Key": "a"}) for _ in range(2))
        assert (first.status_code, again.status_code, again.content) == (201, 201, first.content)

    def test_every_faulty_field_is_named(self, operator: Operator, client_of: Any) -> None:
        url = f"/api/v1/aircraft/{an_aircraft(operator).pk}/legs"
        answer = client_of(operator).post(url, {"tyre": {"new_tread": 1}, "sheet": 1}, headers=match())
        assert faults(answer) == {
            ("position", "required"),
            ("type_sheet", "required"),
            ("tyre.new_tread", "unit_missing"),
            ("sheet", "unknown_field"),
        }

    def test_a_stranger_is_404_and_a_role_too_low_403(self, operator: Operator, client_of: Any) -> None:
        stranger = f"/api/v1/aircraft/{an_aircraft(an_operator()).pk}/legs"
        own = f"/api/v1/aircraft/{an_aircraft(operator).pk}/legs"
        assert refused(client_of(operator).post(stranger, {}, headers=match())) == (404, "not_found")
        assert refused(client_of(operator, "mechanic").post(own, {}, headers=match())) == (403, "role_too_low")


class TestChange:
    def test_another_sheet_outdates_what_the_legs_readings_say(self, operator: Operator, client_of: Any) -> None:
        leg, sheet = a_leg(operator), a_type_sheet(operator)
        url = f"/api/v1/aircraft/{leg.aircraft_id}/legs/{leg.pk}"
        answer = client_of(operator).patch(url, {"type_sheet": str(sheet.pk)}, headers=match())
        assert answer.status_code == 200
        assert (answer.json()["legs"][0]["type_sheet"], answer.json()["version"]) == (str(sheet.pk), 2)
        assert [row.leg_id for row in outdated_legs()] == [leg.pk]

    def test_the_sheet_must_fit_and_exist(self, operator: Operator, client_of: Any) -> None:
        leg = a_leg(operator)
        url = f"/api/v1/aircraft/{leg.aircraft_id}/legs/{leg.pk}"
        client = client_of(operator)
        nose = {"type_sheet": str(a_type_sheet(operator, "nose").pk)}
        assert refused(client.patch(url, nose, headers=match())) == (422, "sheet_of_other_position")
        strange = {"type_sheet": str(a_type_sheet(an_operator()).pk)}
        assert refused(client.patch(url, strange, headers=match())) == (404, "not_found")
        wrong = client.patch(url, {"type_sheet": "x", "position": "nose"}, headers=match())
        assert faults(wrong) == {("type_sheet", "invalid"), ("position", "unknown_field")}

    def test_a_leg_of_another_aircraft_or_operator_is_404(self, operator: Operator, client_of: Any) -> None:
        leg, other, stranger = a_leg(operator), a_leg(operator), a_leg(an_operator())
        body = {"type_sheet": str(a_type_sheet(operator).pk)}
        client = client_of(operator)
        for aircraft_id, leg_id in (
            (leg.aircraft_id, other.pk),
            (leg.aircraft_id, next_id()),
            (stranger.aircraft_id, stranger.pk),
            (leg.aircraft_id, stranger.pk),
        ):
            answer = client.patch(f"/api/v1/aircraft/{aircraft_id}/legs/{leg_id}", body, headers=match())
            assert refused(answer) == (404, "not_found")

    def test_a_role_too_low_is_403_and_a_stale_tag_412(self, operator: Operator, client_of: Any) -> None:
        leg = a_leg(operator)
        url, body = f"/api/v1/aircraft/{leg.aircraft_id}/legs/{leg.pk}", {"type_sheet": str(leg.sheet_id)}
        assert refused(client_of(operator, "mechanic").patch(url, body, headers=match())) == (403, "role_too_low")
        assert refused(client_of(operator).patch(url, body, headers=match(2))) == (412, "stale_version")
        assert refused(client_of(operator).patch(url, body)) == (428, "if_match_required")
