"""/type-sheets."""

from typing import Any

import pytest

from fleet.aircraft.models import TypeSheet
from fleet.audit.models import AuditEntry
from fleet.operators.models import Operator
from tests.builders.fleet import a_type_sheet, an_operator, next_id
from tests.fleet.asking import faults, match, refused

URL = "/api/v1/type-sheets"
SHEET = {
    "name": "Example trainer",
    "position": "main",
    "target_extension": "4 1/2 in",
    "low_limit": {"value": 4.0, "unit": "in"},
    "high_limit": "127 mm",
    "reference_temperature": "70 degF",
    "tyre_service_pressure": "30 psi",
}
pytestmark = pytest.mark.django_db


class TestAdd:
    def test_figures_are_kept_inside_in_one_unit_and_answered_in_the_callers(
        self, operator: Operator, client_of: Any
    ) -> None:
        answer = client_of(operator).post(URL, SHEET)
        assert answer.status_code == 201
        sheet = TypeSheet.objects.of(operator).get()
        assert (sheet.target_extension_in, sheet.high_limit_in) == (4.5, pytest.approx(5.0, abs=1e-12))
        shown = answer.json()
        assert shown["high_limit"] == {"value": 5.0, "unit": "in"}
        assert shown["tyre_service_pressure"] == {"value": 30.0, "unit": "psi", "reference": "gauge"}
        assert shown["full_extension"] is None
        metric = client_of(operator).get(f"{URL}/{sheet.pk}", {"units": "metric"}).json()
        assert metric["target_extension"] == {"value": 114.3, "unit": "mm"}
        assert metric["reference_temperature"] == {"value": 21.11111, "unit": "degC"}

    def test_what_was_answered_may_be_sent_back(self, operator: Operator, client_of: Any) -> None:
        client = client_of(operator)
        shown = client.get(f"{URL}/{a_type_sheet(operator).pk}").json()
        fields = {name: value for name, value in shown.items() if name not in ("id", "version")}
        answer = client.post(URL, {**fields, "name": "A copy"})
        assert answer.status_code == 201, answer.json()
        assert {**answer.json(), "id": shown["id"], "name": shown["name"]} == shown

    def test_the_same_id_and_figures_again_add_nothing(self, operator: Operator, client_of: Any) -> None:
        client, body = client_of(operator), {**SHEET, "id": str(next_id())}
        assert [client.post(URL, body).status_code for _ in range(2)] == [201, 200]
        assert refused(client.post(URL, {**body, "name": "Another"})) == (409, "id_in_use")
        assert TypeSheet.objects.of(operator).count() == 1

    def test_a_repeat_with_the_same_key_gets_the_same_answer(self, operator: Operator, client_of: Any) -> None:
        client = client_of(operator)
        first, again = (client.post(URL, SHEET, headers={"Idempotency-Key": "a"}) for _ in range(2))
        assert (first.status_code, again.content) == (201, first.content)

    def test_contradicting_figures_are_all_named(self, operator: Operator, client_of: Any) -> None:
        wrong = {**SHEET, "low_limit": "5 in", "high_limit": "4 in", "full_extension": "3 in"}
        answer = client_of(operator).post(URL, wrong)
        assert refused(answer) == (422, "sheet_refused")
        assert faults(answer) == {
            ("low_limit", "limits_out_of_order"),
            ("high_limit", "limits_out_of_order"),
            ("high_limit", "beyond_full_extension"),
        }

    def test_every_faulty_field_is_named(self, operator: Operator, client_of: Any) -> None:
        wrong = {
            "id": "x",
            "name": "x" * 81,
            "position": "left main",
            "manual_reference": "x" * 121,
            "manual_revision": "x" * 41,
            "target_extension": 4.5,
            "low_limit": "0 in",
            "high_limit": "5 psi",
            "full_extension": "1000 in",
            "reference_temperature": "400 degF",
            "reference_load": "700 lb of it",
            "reference_fuel": "-1 lb",
            "reference_occupants": [],
            "load_per_fuel": 3,
            "load_per_occupant": "x",
            "tube_diameter": "0 in",
            "gas_column": "",
            "fluid_volume": "18 in",
            "fluid_expansion_per_k": 1,
            "fluid": "x" * 41,
            "gas": "oxygen",
            "maximum_pressure": "100 psia",
            "tyre_size": "x" * 25,
            "tyre_ply_rating": 0,
            "tyre_service_pressure": "30",
            "tyre_wear_limit": {"value": 1},
            "wheels_per_axle": 9,
            "version": 3,
        }
        answer = client_of(operator).post(URL, wrong)
        assert answer.status_code == 400
        assert {field for field, _ in faults(answer)} == set(wrong)
        assert ("gas", "invalid_choice") in faults(answer)
        assert ("maximum_pressure", "gauge_or_absolute") in faults(answer)

    def test_a_name_in_use_for_the_position_is_refused(self, operator: Operator, client_of: Any) -> None:
        client = client_of(operator)
        client.post(URL, SHEET)
        assert faults(client.post(URL, SHEET)) == {("name", "taken")}
        assert client.post(URL, {**SHEET, "position": "nose"}).status_code == 201

    def test_only_a_coordinator_adds_sheets(self, operator: Operator, client_of: Any) -> None:
        assert refused(client_of(operator, "mechanic").post(URL, SHEET)) == (403, "role_too_low")


class TestRead:
    def test_a_list_shows_the_operators_own_and_can_be_narrowed(self, operator: Operator, client_of: Any) -> None:
        a_type_sheet(an_operator())
        main, nose = a_type_sheet(operator, name="B"), a_type_sheet(operator, "nose", name="A")
        client = client_of(operator, "reader")
        assert [row["id"] for row in client.get(URL).json()["items"]] == [str(nose.pk), str(main.pk)]
        narrowed = client.get(URL, {"position": "main"}).json()["items"]
        assert [row["id"] for row in narrowed] == [str(main.pk)]
        assert faults(client.get(URL, {"position": "x"})) == {("position", "invalid_choice")}

    def test_a_strangers_sheet_is_404(self, operator: Operator, client_of: Any) -> None:
        url = f"{URL}/{a_type_sheet(an_operator()).pk}"
        assert refused(client_of(operator).get(url)) == (404, "not_found")
        assert refused(client_of(operator).patch(url, {}, headers=match())) == (404, "not_found")


class TestChange:
    def test_a_new_version_tells_that_readings_must_be_corrected_anew(
        self, operator: Operator, client_of: Any
    ) -> None:
        sheet = a_type_sheet(operator)
        answer = client_of(operator).patch(f"{URL}/{sheet.pk}", {"high_limit": "4 3/4 in"}, headers=match())
        assert (answer.status_code, answer.json()["version"]) == (200, 2)
        entry = AuditEntry.objects.of(operator).get(action="type sheet changed")
        assert (entry.before, entry.after) == ({"high_limit_in": 5.0}, {"high_limit_in": 4.75})

    def test_a_figure_can_be_taken_out_again(self, operator: Operator, client_of: Any) -> None:
        sheet = a_type_sheet(operator)
        client_of(operator).patch(f"{URL}/{sheet.pk}", {"gas_column": None}, headers=match())
        sheet.refresh_from_db()
        assert (sheet.gas_column_in, sheet.tube_diameter_in) == (None, 2.25)

    def test_a_tag_read_in_other_units_still_matches(self, operator: Operator, client_of: Any) -> None:
        client, url = client_of(operator), f"{URL}/{a_type_sheet(operator).pk}"
        tag = client.get(url, {"units": "metric"})["ETag"]
        assert client.patch(url, {"fluid": "red oil"}, headers={"If-Match": tag}).status_code == 200

    def test_a_change_must_fit_what_stays(self, operator: Operator, client_of: Any) -> None:
        url = f"{URL}/{a_type_sheet(operator).pk}"
        answer = client_of(operator).patch(url, {"low_limit": "4.6 in"}, headers=match())
        assert (answer.status_code, faults(answer)) == (422, {("low_limit", "limits_out_of_order")})

    def test_the_position_stays(self, operator: Operator, client_of: Any) -> None:
        url = f"{URL}/{a_type_sheet(operator).pk}"
        answer = client_of(operator).patch(url, {"position": "nose"}, headers=match())
        assert faults(answer) == {("position", "unknown_field")}

    def test_a_role_too_low_is_403_and_a_stale_tag_412(self, operator: Operator, client_of: Any) -> None:
        url = f"{URL}/{a_type_sheet(operator).pk}"
        assert refused(client_of(operator, "mechanic").patch(url, {}, headers=match())) == (403, "role_too_low")
        assert refused(client_of(operator).patch(url, {}, headers=match(2))) == (412, "stale_version")
        assert refused(client_of(operator).patch(url, {})) == (428, "if_match_required")
