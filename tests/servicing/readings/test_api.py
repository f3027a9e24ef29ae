"""Readings of struts over HTTP."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from rest_framework.test import APIClient

from servicing.readings.models import StrutReading
from servicing.work.models import Work
from tests.builders.fleet import a_person, a_token, an_operator, next_id
from tests.builders.readings import Stand, a_stand, a_strut_entry, a_strut_reading, strut_readings

pytestmark = pytest.mark.django_db
ClientOf = Callable[..., APIClient]
URL = "/api/v1/readings"


def a_body(stand: Stand, **values: Any) -> dict[str, Any]:
    return {
        "aircraft": stand.aircraft.registration,
        "leg": "left main",
        "taken_at": "2026-03-02T08:30:00Z",
        "extension": "4 1/2 in",
        "temperature": {"value": 70, "unit": "degF"},
        "fuel": "200 lb",
        "exercised": True,
        **values,
    }


def test_a_reading_is_stored_as_read_and_answered_with_what_it_means(client_of: ClientOf) -> None:
    stand = a_stand()

    answer = client_of(stand.operator, "member").post(
        URL, a_body(stand, extension="3 5/8 in", temperature={"value": -5, "unit": "degC"})
    )

    assert answer.status_code == 201, answer.content
    body = answer.json()
    assert body["as_read"]["extension"] == {"value": 3.625, "unit": "in"}
    assert body["as_read"]["temperature"] == {"value": -5, "unit": "degC"}
    assert (body["registration"], body["position"]) == (stand.aircraft.registration, "left main")
    corrected = body["corrected"]["extension"]["value"]
    assert sum(term["value"] for term in body["corrected"]["terms"].values()) == pytest.approx(
        corrected - 3.625, abs=1e-5
    )
    assert body["judgement"]["looks"] == "below the low limit"
    assert body["judgement"]["because"] == "cold"
    assert body["judgement"]["low_limit"] == {"value": 4.0, "unit": "in"}
    assert "target_extension" in body["basis"]["type_sheet"]
    assert body["basis"]["manual"] == "Example maintenance manual, chapter 32, revision B"
    assert "Nobody and no baggage on board." in body["assumptions"]
    assert StrutReading.objects.of(stand.operator).get().source == "api"


def test_a_low_strut_carries_cautions_and_the_way_to_a_top_up(client_of: ClientOf) -> None:
    stand = a_stand()

    body = client_of(stand.operator).post(URL, a_body(stand, extension="3 in")).json()

    assert body["judgement"]["action"] == "plan a top-up"
    assert body["judgement"]["top_up"] == "/api/v1/top-ups"
    assert any("oxygen" in caution for caution in body["cautions"])
    assert any("manual" in caution for caution in body["cautions"])


def test_the_answer_comes_in_the_units_asked_for(client_of: ClientOf) -> None:
    stand = a_stand()

    body = client_of(stand.operator).post(f"{URL}?units=metric", a_body(stand)).json()

    assert body["extension"] == {"value": 114.3, "unit": "mm"}
    assert body["as_read"]["extension"] == {"value": 4.5, "unit": "in"}
    assert "mm" in body["judgement"]["text"]


def test_every_field_error_comes_at_once(client_of: ClientOf) -> None:
    stand = a_stand()
    body = a_body(stand, extension=4.5, temperature="cold", fuel="200 in", exercised="perhaps", colour="red")

    answer = client_of(stand.operator).post(URL, body)

    assert answer.status_code == 400
    found = {fault["field"]: fault["code"] for fault in answer.json()["errors"]}
    assert found == {
        "extension": "unit_missing",
        "temperature": "not_a_number",
        "fuel": "unit_of_other_quantity",
        "exercised": "invalid",
        "colour": "unknown_field",
    }


@pytest.mark.parametrize("moment", ["2026-03-02T08:30:00", "2026-03-02"])
def test_a_time_without_its_zone_is_refused_not_guessed(client_of: ClientOf, moment: str) -> None:
    stand = a_stand()

    answer = client_of(stand.operator).post(URL, a_body(stand, taken_at=moment))

    assert answer.status_code == 400
    assert [(fault["field"], fault["code"]) for fault in answer.json()["errors"]] == [("taken_at", "no_time_zone")]
    assert not StrutReading.objects.of(stand.operator).exists()


def test_a_misspelled_leg_is_named_together_with_the_other_faults(client_of: ClientOf) -> None:
    stand = a_stand()

    answer = client_of(stand.operator).post(URL, a_body(stand, aircraft="x", leg="left mian", taken_at="yesterday"))

    assert {"leg", "taken_at"} <= {fault["field"] for fault in answer.json()["errors"]}
    assert not StrutReading.objects.of(stand.operator).exists()


@pytest.mark.parametrize("fuel", ["20 gal", "75 L", {"value": 20, "unit": "US gal"}])
def test_fuel_by_volume_is_refused_with_what_to_give_instead(client_of: ClientOf, fuel: Any) -> None:
    stand = a_stand()

    fault = client_of(stand.operator).post(URL, a_body(stand, fuel=fuel)).json()["errors"][0]

    assert (fault["field"], fault["code"]) == ("fuel", "unit_of_other_quantity")
    assert fault["message"].endswith("Of fuel give the mass: avgas about 6.0 lb/US gal (0.72 kg/L)")


@pytest.mark.parametrize("load", ["1 lbf", "90000 lbf"])
def test_a_weighed_load_that_no_such_leg_carries_is_refused(client_of: ClientOf, load: str) -> None:
    stand = a_stand()

    answer = client_of(stand.operator).post(URL, a_body(stand, leg_load=load))

    assert answer.status_code == 422
    assert [fault["field"] for fault in answer.json()["errors"]] == ["leg_load"]


def test_what_the_action_refuses_names_its_field(client_of: ClientOf) -> None:
    stand = a_stand()

    answer = client_of(stand.operator).post(
        URL,
        a_body(stand, leg="tail wheel", extension="90 in", gauge="no such gauge", taken_at="2999-01-01T00:00:00Z"),
    )

    assert answer.status_code == 422
    assert {fault["field"]: fault["code"] for fault in answer.json()["errors"]} == {
        "taken_at": "in_the_future",
        "leg": "unknown_leg",
        "gauge": "unknown_equipment",
        "extension": "out_of_range",
    }


@pytest.mark.parametrize("url", [URL, "/api/v1/tyre-readings", "/api/v1/servicings", "/api/v1/top-ups"])
def test_an_aircraft_that_is_not_there_is_named_as_such(client_of: ClientOf, url: str) -> None:
    stand, stranger = a_stand(), a_stand(an_operator())
    when = "2026-03-02T08:30:00Z"
    bodies: dict[str, dict[str, Any]] = {
        URL: {"taken_at": when, "extension": "4 in"},
        "/api/v1/tyre-readings": {"taken_at": when, "pressure": "30 psi"},
        "/api/v1/servicings": {"done_at": when, "work": Work.values[0]},
        "/api/v1/top-ups": {"look": {"at": when, "extension": "3 in"}},
    }
    for aircraft in ("QT-NONE", str(next_id()), stranger.aircraft.registration):
        answer = client_of(stand.operator).post(url, {**bodies[url], "aircraft": aircraft, "leg": "left main"})

        assert answer.status_code == 422
        assert [(fault["field"], fault["code"]) for fault in answer.json()["errors"]] == [
            ("aircraft", "unknown_aircraft")
        ]


def test_the_same_id_again_is_known_and_with_other_content_a_clash(client_of: ClientOf) -> None:
    stand, reading_id = a_stand(), str(next_id())
    client = client_of(stand.operator)
    body = a_body(stand, id=reading_id)

    answers = [
        client.post(URL, body),
        client.post(URL, body),
        client.post(URL, {**body, "extension": "4 in"}),
    ]

    assert [answer.status_code for answer in answers] == [201, 200, 409]
    assert answers[0].json() == answers[1].json()
    assert answers[2].json()["errors"][0]["code"] == "known_otherwise"


def test_an_idempotency_key_makes_a_repeat_harmless(client_of: ClientOf) -> None:
    stand = a_stand()
    client = client_of(stand.operator)

    answers = [client.post(URL, a_body(stand), headers={"Idempotency-Key": "one-key"}) for _ in range(2)]

    assert [answer.status_code for answer in answers] == [201, 201]
    assert answers[0].content == answers[1].content
    assert StrutReading.objects.of(stand.operator).count() == 1


def test_a_batch_is_all_or_nothing(client_of: ClientOf) -> None:
    stand = a_stand()
    client = client_of(stand.operator)
    good = [a_body(stand, taken_at=f"2026-02-{day:02}T09:00:00Z") for day in range(1, 21)]

    refused = client.post(f"{URL}/batch", {"readings": [*good, a_body(stand, leg="nose")]})
    taken = client.post(f"{URL}/batch", {"readings": good})

    assert refused.status_code == 422
    assert [fault["field"] for fault in refused.json()["errors"]] == ["readings.20.leg"]
    assert taken.status_code == 201
    assert (taken.json()["saved"], taken.json()["known"], len(taken.json()["readings"])) == (20, 0, 20)
    assert [row["taken_at"][:10] for row in taken.json()["readings"]] == [body["taken_at"][:10] for body in good]


def test_shape_faults_of_a_batch_name_their_row(client_of: ClientOf) -> None:
    stand = a_stand()

    answer = client_of(stand.operator).post(
        f"{URL}/batch", {"readings": [a_body(stand), a_body(stand, extension="4,5 in")]}
    )

    assert answer.status_code == 400
    assert [(fault["field"], fault["code"]) for fault in answer.json()["errors"]] == [
        ("readings.1.extension", "decimal_comma")
    ]


def test_the_list_is_filtered_and_paged(client_of: ClientOf) -> None:
    stand, other = a_stand(), None
    other = a_stand(stand.operator)
    first = a_strut_entry(stand.leg).taken_at
    strut_readings(stand, [a_strut_entry(stand.leg, taken_at=first - timedelta(days=day)) for day in range(5)])
    strut_readings(other, [a_strut_entry(other.leg)])
    client = client_of(stand.operator, "reader")

    page = client.get(URL, {"aircraft": stand.aircraft.registration.lower(), "limit": 3}).json()
    rest = client.get(page["next"]).json()

    assert (len(page["items"]), len(rest["items"]), rest["next"]) == (3, 2, None)
    taken = [row["taken_at"] for row in page["items"] + rest["items"]]
    assert taken == sorted(taken, reverse=True)
    since = (first - timedelta(days=1)).isoformat()
    assert len(client.get(URL, {"since": since}).json()["items"]) == 3
    assert len(client.get(URL, {"strut": str(other.strut.id)}).json()["items"]) == 1


def test_a_correction_and_a_withdrawal_leave_the_mistake_to_be_seen(client_of: ClientOf) -> None:
    stand = a_stand()
    wrong = a_strut_reading(stand)
    client = client_of(stand.operator, "member")

    right = client.post(f"{URL}/{wrong.id}/corrections", {"reason": "wrong edge", "reading": a_body(stand)})
    taken_back = client.post(f"{URL}/{right.json()['id']}/withdrawal", {"reason": "other aircraft"})
    again = client.post(f"{URL}/{wrong.id}/corrections", {"reason": "again", "reading": a_body(stand)})

    assert [right.status_code, taken_back.status_code, again.status_code] == [201, 201, 409]
    assert (right.json()["corrects"], right.json()["correction_reason"]) == (str(wrong.id), "wrong edge")
    assert taken_back.json()["withdrawn"]
    assert client.get(URL).json()["items"] == []
    assert len(client.get(URL, {"corrected": "true"}).json()["items"]) == 3


def test_a_stranger_sees_and_touches_nothing(client_of: ClientOf) -> None:
    reading = a_strut_reading(a_stand())
    stranger = client_of(a_stand().operator)

    answers = [
        stranger.get(f"{URL}/{reading.id}"),
        stranger.post(f"{URL}/{reading.id}/withdrawal", {"reason": "mine"}),
    ]

    assert [answer.status_code for answer in answers] == [404, 404]


@pytest.mark.parametrize(
    ("role", "scopes", "status"),
    [("reader", None, 403), ("member", ["read"], 403), ("member", ["read", "report"], 201)],
)
def test_role_and_scope_decide_who_may_report(
    client_of: ClientOf, role: str, scopes: list[str] | None, status: int
) -> None:
    stand = a_stand()

    answer = client_of(stand.operator, role, scopes).post(URL, a_body(stand))

    assert answer.status_code == status


def test_without_a_token_nothing_is_answered(client: APIClient) -> None:
    a_token(a_person(a_stand().operator))

    assert client.get(URL).status_code == 401


def test_a_reading_costs_a_fixed_number_of_queries(client_of: ClientOf, django_assert_max_num_queries: Any) -> None:
    stand = a_stand()
    client = client_of(stand.operator)
    client.post(URL, a_body(stand))

    with django_assert_max_num_queries(24):
        client.post(URL, a_body(stand, taken_at="2026-03-02T08:45:00Z"))
