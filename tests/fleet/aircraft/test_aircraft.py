"""/aircraft and /aircraft/{id}."""

from typing import Any

import pytest

from fleet.aircraft.models import Aircraft, Leg
from fleet.aircraft.outdated import outdated_legs, take_outdated_leg
from fleet.audit.models import AuditEntry
from fleet.gear.models import Strut, StrutInstallation, Tyre
from fleet.operators.models import Operator
from tests.builders.fleet import a_leg, a_strut, a_type_sheet, a_tyre, an_aircraft, an_operator, next_id
from tests.fleet.asking import faults, match, refused

URL = "/api/v1/aircraft"
PLAIN = {"registration": "xx-0001", "type_name": "Example trainer"}
pytestmark = pytest.mark.django_db


def with_legs(operator: Operator) -> dict[str, Any]:
    main, nose = a_type_sheet(operator), a_type_sheet(operator, "nose")
    since = "2026-01-10T08:00:00Z"
    return {
        **PLAIN,
        "home_elevation": "1340 ft",
        "legs": [
            {"position": "nose", "type_sheet": str(nose.pk), "strut": {"serial_number": "N1"}, "installed_at": since},
            {
                "position": "left main",
                "type_sheet": str(main.pk),
                "strut": {"serial_number": "L1", "part_number": "P"},
                "tyre": {"size": "6.00-6", "new_tread": "0.3 in"},
                "installed_at": since,
            },
            {"position": "right main", "type_sheet": str(main.pk)},
        ],
    }


class TestAdd:
    def test_an_aircraft_comes_with_legs_struts_and_tyres_in_one_request(
        self, operator: Operator, client_of: Any
    ) -> None:
        answer = client_of(operator).post(URL, with_legs(operator))
        assert answer.status_code == 201
        shown = answer.json()
        assert (shown["registration"], shown["home_elevation"]) == ("XX-0001", {"value": 1340.0, "unit": "ft"})
        legs = {leg["position"]: leg for leg in shown["legs"]}
        assert legs["nose"]["strut"]["serial_number"] == "N1"
        assert legs["nose"]["strut"]["installed_at"] == "2026-01-10T08:00:00Z"
        assert legs["left main"]["tyre"] is not None
        assert (legs["right main"]["strut"], legs["right main"]["tyre"]) == (None, None)
        assert Tyre.objects.of(operator).get().new_tread_in == 0.3
        actions = set(AuditEntry.objects.of(operator).values_list("action", flat=True))
        assert {"aircraft added", "leg added", "strut added", "strut installed", "tyre installed"} <= actions

    def test_a_fault_in_one_leg_leaves_nothing(self, operator: Operator, client_of: Any) -> None:
        a_strut(operator, serial_number="L1")
        answer = client_of(operator).post(URL, with_legs(operator))
        assert (*refused(answer), faults(answer)) == (409, "taken", {("serial_number", "taken")})
        assert not Aircraft.objects.of(operator).exists()
        assert not Leg.objects.of(operator).exists()

    def test_a_strut_that_exists_may_be_named_by_its_id(self, operator: Operator, client_of: Any) -> None:
        strut = a_strut(operator, serial_number="N1")
        body = with_legs(operator)
        body["legs"][0]["strut"]["id"] = str(strut.pk)
        assert client_of(operator).post(URL, body).status_code == 201
        assert StrutInstallation.objects.of(operator).filter(strut=strut).exists()

    def test_the_same_id_again_adds_nothing(self, operator: Operator, client_of: Any) -> None:
        client, body = client_of(operator), {**with_legs(operator), "id": str(next_id())}
        first, again = client.post(URL, body), client.post(URL, body)
        assert (first.status_code, again.status_code, again.json()) == (201, 200, first.json())
        assert Strut.objects.of(operator).count() == 2

    def test_a_repeat_with_the_same_key_gets_the_same_answer(self, operator: Operator, client_of: Any) -> None:
        client = client_of(operator)
        first, again = (client.post(URL, PLAIN, headers={"Idempotency-Key": "a"}) for _ in range(2))
        assert (first.status_code, again.content) == (201, first.content)

    def test_a_registration_is_in_the_fleet_once_whatever_its_capitals(
        self, operator: Operator, client_of: Any
    ) -> None:
        client = client_of(operator)
        client.post(URL, PLAIN)
        assert faults(client.post(URL, {**PLAIN, "registration": "XX-0001"})) == {("registration", "taken")}
        assert client_of(an_operator()).post(URL, PLAIN).status_code == 201

    def test_every_faulty_field_is_named_down_to_the_leg(self, operator: Operator, client_of: Any) -> None:
        wrong = {
            "id": "x",
            "registration": "<script>",
            "home_elevation": "90000 ft",
            "wheelbase": 60,
            "track": "0 in",
            "propeller_ahead": "x",
            "propeller_clearance": "-1 in",
            "retired": True,
            "legs": [
                {"position": "nose", "type_sheet": str(next_id())},
                {"id": "x", "position": "wing", "type_sheet": "x", "strut": {"serial": "1"}, "installed_at": "x"},
            ],
        }
        assert faults(client_of(operator).post(URL, wrong)) == {
            ("id", "invalid"),
            ("registration", "invalid"),
            ("type_name", "required"),
            ("home_elevation", "too_large"),
            ("wheelbase", "unit_missing"),
            ("track", "too_small"),
            ("propeller_ahead", "not_a_number"),
            ("propeller_clearance", "too_small"),
            ("retired", "unknown_field"),
            ("legs.1.id", "invalid"),
            ("legs.1.position", "invalid_choice"),
            ("legs.1.type_sheet", "invalid"),
            ("legs.1.strut.serial", "unknown_field"),
            ("legs.1.installed_at", "invalid"),
        }

    def test_a_position_comes_once(self, operator: Operator, client_of: Any) -> None:
        body = with_legs(operator)
        body["legs"][2]["position"] = "left main"
        assert faults(client_of(operator).post(URL, body)) == {("legs", "position_twice")}

    def test_a_sheet_must_describe_the_position_and_be_the_operators(
        self, operator: Operator, client_of: Any
    ) -> None:
        body = with_legs(operator)
        body["legs"][0]["type_sheet"] = body["legs"][1]["type_sheet"]
        assert refused(client_of(operator).post(URL, body)) == (422, "sheet_of_other_position")
        body["legs"][0]["type_sheet"] = str(a_type_sheet(an_operator(), "nose").pk)
        assert refused(client_of(operator).post(URL, body)) == (404, "not_found")

    def test_only_a_coordinator_adds_aircraft(self, operator: Operator, client_of: Any) -> None:
        assert refused(client_of(operator, "mechanic").post(URL, PLAIN)) == (403, "role_too_low")


class TestRead:
    def test_a_list_shows_the_operators_own_and_can_be_narrowed(self, operator: Operator, client_of: Any) -> None:
        an_aircraft(an_operator())
        one = an_aircraft(operator, registration="XX-B")
        old = an_aircraft(operator, registration="XX-A", retired_at="2026-01-01T00:00:00Z")
        client = client_of(operator, "reader")

        def found(**query: str) -> list[str]:
            return [row["id"] for row in client.get(URL, query).json()["items"]]

        assert found() == [str(old.pk), str(one.pk)]
        assert found(retired="false") == [str(one.pk)]
        assert found(retired="true") == [str(old.pk)]
        assert found(registration="xx-b") == [str(one.pk)]

    def test_what_was_taken_off_is_no_longer_shown(self, operator: Operator, client_of: Any) -> None:
        leg = a_leg(operator)
        strut, tyre = a_strut(operator, leg), a_tyre(operator, leg)
        url = f"{URL}/{leg.aircraft_id}"
        client = client_of(operator)
        assert client.get(url).json()["legs"][0]["strut"]["id"] == str(strut.pk)
        body = {"removed_at": "2026-02-01T00:00:00Z"}
        client.post(f"/api/v1/struts/{strut.pk}/removal", body)
        leg_shown = client.get(url).json()["legs"][0]
        assert (leg_shown["strut"], leg_shown["tyre"]["id"]) == (None, str(tyre.pk))

    def test_a_read_is_304_until_the_gear_changes(self, operator: Operator, client_of: Any) -> None:
        leg = a_leg(operator)
        url, client = f"{URL}/{leg.aircraft_id}", client_of(operator)
        tag = {"If-None-Match": client.get(url)["ETag"]}
        assert client.get(url, headers=tag).status_code == 304
        a_strut(operator, leg)
        assert client.get(url, headers=tag).status_code == 200

    def test_a_stranger_is_404(self, operator: Operator, client_of: Any) -> None:
        url = f"{URL}/{an_aircraft(an_operator()).pk}"
        assert refused(client_of(operator).get(url)) == (404, "not_found")
        assert refused(client_of(operator).patch(url, {}, headers=match())) == (404, "not_found")


class TestChange:
    def test_an_aircraft_is_retired_and_taken_back(self, operator: Operator, client_of: Any) -> None:
        url, client = f"{URL}/{an_aircraft(operator).pk}", client_of(operator)
        retired = client.patch(url, {"retired": True}, headers=match(1)).json()
        assert retired["retired_at"] is not None
        again = client.patch(url, {"retired": True, "type_name": "Other"}, headers=match(2)).json()
        assert again["retired_at"] == retired["retired_at"]
        assert client.patch(url, {"retired": False}, headers=match(3)).json()["retired_at"] is None

    def test_another_home_elevation_outdates_what_its_readings_say(self, operator: Operator, client_of: Any) -> None:
        leg = a_leg(operator)
        url, client = f"{URL}/{leg.aircraft_id}", client_of(operator)
        client.patch(url, {"type_name": "Other"}, headers=match(1))
        assert outdated_legs() == []
        client.patch(url, {"home_elevation": "5000 ft"}, headers=match(2))
        [marked] = outdated_legs()
        assert (marked.operator_id, marked.leg_id) == (operator.pk, leg.pk)
        assert [take_outdated_leg(marked), take_outdated_leg(marked), outdated_legs()] == [True, False, []]

    def test_every_faulty_field_is_named(self, operator: Operator, client_of: Any) -> None:
        url = f"{URL}/{an_aircraft(operator).pk}"
        wrong = {"registration": "", "type_name": None, "retired": "perhaps", "legs": [], "track": "1 ft 2"}
        answer = client_of(operator).patch(url, wrong, headers=match())
        assert {field for field, _ in faults(answer)} == set(wrong)

    def test_a_registration_in_use_is_refused(self, operator: Operator, client_of: Any) -> None:
        one, other = an_aircraft(operator), an_aircraft(operator)
        answer = client_of(operator).patch(f"{URL}/{one.pk}", {"registration": other.registration}, headers=match())
        assert (*refused(answer), faults(answer)) == (409, "taken", {("registration", "taken")})

    def test_a_role_too_low_is_403_and_a_stale_tag_412(self, operator: Operator, client_of: Any) -> None:
        url = f"{URL}/{an_aircraft(operator).pk}"
        assert refused(client_of(operator, "mechanic").patch(url, {}, headers=match())) == (403, "role_too_low")
        assert refused(client_of(operator).patch(url, {}, headers=match(2))) == (412, "stale_version")
        assert refused(client_of(operator).patch(url, {})) == (428, "if_match_required")
