"""Servicings over HTTP."""

import pytest

from servicing.work.models import Servicing, Work
from tests.builders.fleet import NOW, a_leg, a_strut, a_tyre, an_operator, next_id
from tests.servicing.callers import caller_of

pytestmark = pytest.mark.django_db
ADDRESS = "/api/v1/servicings"


@pytest.fixture
def club():
    return an_operator()


@pytest.fixture
def leg(club):
    leg = a_leg(club)
    a_strut(club, leg)
    a_tyre(club, leg)
    return leg


def body(leg, **values):
    return {"leg": str(getattr(leg, "id", leg)), "done_at": NOW.isoformat(), "work": "gas added", **values}


def test_a_servicing_is_recorded_in_the_units_it_was_read_in_and_shown_in_the_callers(club, leg):
    caller = caller_of(club, "mechanic")

    answer = caller.post(
        f"{ADDRESS}?units=metric",
        body(leg, extension_before="3 in", extension_after={"value": 114, "unit": "mm"}, strokes=6),
    )

    assert answer.status_code == 201, answer.content
    shown = answer.json()
    assert shown["extension_after"] == {"value": pytest.approx(114), "unit": "mm"}
    assert shown["extension_before"] == {"value": pytest.approx(76.2), "unit": "mm"}
    assert shown["as_read"]["extension_after"] == {"value": 114.0, "unit": "mm"}
    assert shown["effect"]["new_baseline"] is False
    assert any("in line with it" in caution for caution in shown["cautions"])


def test_a_fluid_change_starts_a_new_baseline_and_says_why(club, leg):
    shown = caller_of(club).post(ADDRESS, body(leg, work="fluid changed", fluid_added="1 pt")).json()

    assert shown["effect"]["new_baseline"] is True
    assert "fresh fluid takes up gas" in shown["effect"]["why"]
    assert any("fully compressed" in caution for caution in shown["cautions"])


def test_the_same_servicing_sent_again_answers_200_with_the_first(club, leg):
    caller = caller_of(club)
    sent = body(leg, id=str(next_id()))

    first, again = caller.post(ADDRESS, sent), caller.post(ADDRESS, sent)

    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json()["id"] == again.json()["id"]
    assert Servicing.objects.of(club).count() == 1


def test_the_same_key_gives_the_first_answer_byte_for_byte(club, leg):
    caller = caller_of(club)

    first, again = (caller.post(ADDRESS, body(leg), HTTP_IDEMPOTENCY_KEY="k1") for _ in range(2))

    assert first.content == again.content
    assert again.status_code == 201


def test_a_batch_names_the_rows_that_are_wrong_and_records_nothing(club, leg):
    answer = caller_of(club).post(
        f"{ADDRESS}/batch", {"servicings": [body(leg), body(next_id()), body(leg, strokes=-1)]}
    )

    assert answer.status_code == 400
    assert {error["field"] for error in answer.json()["errors"]} == {"servicings.2.strokes"}

    answer = caller_of(club).post(f"{ADDRESS}/batch", {"servicings": [body(leg), body(next_id())]})
    assert answer.status_code == 422
    assert [error["field"] for error in answer.json()["errors"]] == ["servicings.1.leg"]
    assert not Servicing.objects.of(club).exists()


def test_a_batch_is_recorded(club, leg):
    answer = caller_of(club).post(
        f"{ADDRESS}/batch", {"servicings": [body(leg), body(leg, work="tyre inflated", pressure_after="30 psi")]}
    )

    assert (answer.status_code, answer.json()["saved"]) == (201, 2)


def test_bare_numbers_and_unknown_fields_are_refused_together(club, leg):
    answer = caller_of(club).post(ADDRESS, body(leg, extension_after=4.5, colour="red"))

    assert answer.status_code == 400
    assert {error["field"] for error in answer.json()["errors"]} == {"extension_after", "colour"}


def test_lengths_and_pressures_that_no_strut_or_tyre_has_are_refused(club, leg):
    caller = caller_of(club)

    lengths = caller.post(ADDRESS, body(leg, extension_before="50 in", extension_after="45 in"))
    pressure = caller.post(ADDRESS, body(leg, work="tyre inflated", pressure_after="4000 psi"))

    assert [answer.status_code for answer in (lengths, pressure)] == [422, 422]
    assert {(error["field"], error["code"]) for error in lengths.json()["errors"]} == {
        ("extension_before", "beyond_tube"),
        ("extension_after", "beyond_tube"),
    }
    assert [(error["field"], error["code"]) for error in pressure.json()["errors"]] == [
        ("pressure_after", "out_of_range")
    ]
    assert not Servicing.objects.of(club).exists()


def test_history_is_listed_newest_first_filtered_and_without_what_was_corrected(club, leg):
    caller = caller_of(club)
    wrong = caller.post(ADDRESS, body(leg)).json()
    caller.post(ADDRESS, body(leg, work="tyre inflated"))
    right = caller.post(
        f"{ADDRESS}/{wrong['id']}/corrections", {"reason": "wrong kind", "servicing": body(leg, work="cleaned")}
    )
    assert right.status_code == 201, right.content

    everything = caller.get(ADDRESS).json()["items"]
    struts = caller.get(ADDRESS, {"strut": wrong["strut"]}).json()["items"]
    with_corrected = caller.get(ADDRESS, {"strut": wrong["strut"], "corrected": "true"}).json()["items"]

    assert len(everything) == 2
    assert [row["work"] for row in struts] == [Work.CLEANED]
    assert len(with_corrected) == 2


def test_strangers_see_nothing_members_may_not_record_and_nobody_without_a_token(club, leg):
    servicing = caller_of(club).post(ADDRESS, body(leg)).json()
    stranger = caller_of(an_operator())

    assert stranger.get(f"{ADDRESS}/{servicing['id']}").status_code == 404
    assert stranger.get(ADDRESS).json()["items"] == []
    assert stranger.post(f"{ADDRESS}/{servicing['id']}/corrections", {"reason": "x"}).status_code == 404
    assert stranger.post(ADDRESS, body(leg)).status_code == 422
    assert caller_of(club, "member").post(ADDRESS, body(leg)).status_code == 403
    assert caller_of(club, "mechanic", ["read"]).post(ADDRESS, body(leg)).status_code == 403
    from rest_framework.test import APIClient

    assert APIClient().get(ADDRESS).status_code == 401
