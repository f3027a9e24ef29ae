"""Reinspections over HTTP."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
import time_machine
from rest_framework.test import APIClient

from servicing.reinspection.models import PutOff, Reinspection
from tests.builders.alerts import an_alert, looks_of
from tests.builders.fleet import NOW, later, next_id
from tests.builders.readings import Stand, a_stand

pytestmark = pytest.mark.django_db
URL = "/api/v1/reinspections"
Client = Callable[..., APIClient]


@pytest.fixture(autouse=True)
def _clock() -> Any:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def stand() -> Stand:
    """Return a club with one open look, due on 9 March."""
    stand = a_stand()
    an_alert(stand)
    return stand


def etag_of(client: APIClient, path: str) -> str:
    return str(client.get(path)["ETag"])


def body(stand: Stand, **values: Any) -> dict[str, Any]:
    return {
        "leg": str(stand.leg.id),
        "part": "strut",
        "look_for": "A scratch that was felt on the tube.",
        "due_on": "2026-03-20",
        **values,
    }


def test_looks_are_listed_by_due_date_with_how_far_they_are(stand: Stand, client_of: Client) -> None:
    answer = client_of(stand.operator, "reader").get(URL)

    (look,) = answer.json()["items"]
    assert (look["due"], look["due_on"], look["days_left"], look["reason"]) == ("soon", "2026-03-09", 7, "drift")
    assert (stand.aircraft.registration, "left main") == (look["registration"], look["position"])


@pytest.mark.parametrize(
    ("query", "count"),
    [
        ("due=soon", 1),
        ("due=overdue", 0),
        ("due=done", 0),
        ("due=closed", 0),
        ("open=true", 1),
        ("open=false", 0),
        ("reason=drift", 1),
        ("reason=new seals", 0),
        ("due_before=2026-03-10", 1),
        ("due_before=2026-03-09", 0),
    ],
)
def test_the_list_is_filtered(stand: Stand, client_of: Client, query: str, count: int) -> None:
    assert count == len(client_of(stand.operator).get(f"{URL}?{query}").json()["items"])


def test_a_person_asks_for_a_look_once_however_often_it_is_sent(stand: Stand, client_of: Client) -> None:
    client, sent = client_of(stand.operator, "mechanic"), body(stand, id=str(next_id()), due_landings=120)

    answers = [client.post(URL, sent) for _ in range(2)]

    assert [answer.status_code for answer in answers] == [201, 201]
    assert answers[0].json()["id"] == answers[1].json()["id"] == sent["id"]
    assert tuple(answers[0].json()[name] for name in ("reason", "due_landings", "landings_left")) == (
        "requested",
        120,
        120,
    )
    assert len(looks_of(stand)) == 2


def test_every_wrong_field_is_named(stand: Stand, client_of: Client) -> None:
    answer = client_of(stand.operator).post(URL, {"part": "wing", "due_on": "soon", "who": "me"})

    assert answer.status_code == 400
    assert {"part", "due_on", "who", "leg", "look_for"} == {fault["field"] for fault in answer.json()["errors"]}


def test_a_leg_without_that_part_or_of_another_operator_is_refused(stand: Stand, client_of: Client) -> None:
    client = client_of(stand.operator)

    assert client.post(URL, body(a_stand())).status_code == 404
    stand.tyre.installations.update(removed_at=later(hours=-1))
    assert client.post(URL, body(stand, part="tyre")).json()["code"] == "nothing_installed"


def test_a_look_is_put_off_with_a_reason_that_stays(stand: Stand, client_of: Client) -> None:
    client, path = client_of(stand.operator, "mechanic"), f"{URL}/{looks_of(stand)[0].id}"

    answer = client.post(
        f"{path}/put-off",
        {"due_on": "2026-03-16", "reason": "aircraft away until the 15th"},
        headers={"If-Match": etag_of(client, path)},
    )

    assert answer.status_code == 200
    assert (answer.json()["due_on"], answer.json()["version"]) == ("2026-03-16", 2)
    (put_off,) = answer.json()["put_off"]
    assert (
        put_off["due_before"],
        put_off["due_on"],
        put_off["reason"],
    ) == ("2026-03-09", "2026-03-16", "aircraft away until the 15th")


@pytest.mark.parametrize("due_on", ["2026-03-09", "2026-03-01", "2026-06-01"])
def test_a_look_is_not_put_off_to_an_earlier_day_or_for_ever(stand: Stand, client_of: Client, due_on: str) -> None:
    client, path = client_of(stand.operator), f"{URL}/{looks_of(stand)[0].id}"

    answer = client.post(
        f"{path}/put-off", {"due_on": due_on, "reason": "later"}, headers={"If-Match": etag_of(client, path)}
    )

    assert (answer.status_code, answer.json()["code"]) == (422, "put_off_date")
    assert PutOff.objects.of(stand.operator).count() == 0


def test_a_coordinator_closes_a_look_with_a_reason(stand: Stand, client_of: Client) -> None:
    client, path = client_of(stand.operator), f"{URL}/{looks_of(stand)[0].id}"

    answer = client.post(
        f"{path}/closing", {"reason": "strut goes to the shop"}, headers={"If-Match": etag_of(client, path)}
    )

    assert (answer.json()["due"], answer.json()["closed_reason"]) == ("closed", "strut goes to the shop")
    again = client.post(f"{path}/closing", {"reason": "again"}, headers={"If-Match": answer["ETag"]})
    assert (again.status_code, again.json()["code"]) == (409, "already_done")


@pytest.mark.parametrize("deed", ["put-off", "closing"])
def test_a_change_needs_the_present_tag(stand: Stand, client_of: Client, deed: str) -> None:
    client, path = client_of(stand.operator), f"{URL}/{looks_of(stand)[0].id}"
    sent = {"due_on": "2026-03-16", "reason": "later"} if deed == "put-off" else {"reason": "later"}
    tag = etag_of(client, path)
    Reinspection.objects.of(stand.operator).update(version=2)

    missing = client.post(f"{path}/{deed}", sent)
    stale = client.post(f"{path}/{deed}", sent, headers={"If-Match": tag})

    assert (missing.status_code, stale.status_code) == (428, 412)


@pytest.mark.parametrize(
    ("role", "deed", "status"),
    [("member", "put-off", 403), ("reader", "closing", 403), ("mechanic", "closing", 403)],
)
def test_a_role_that_is_too_low_is_refused(
    stand: Stand, client_of: Client, role: str, deed: str, status: int
) -> None:
    path = f"{URL}/{looks_of(stand)[0].id}/{deed}"
    assert status == client_of(stand.operator, role).post(path, {}, headers={"If-Match": '"1"'}).status_code


def test_a_stranger_finds_nothing(stand: Stand, client_of: Client) -> None:
    stranger, path = client_of(a_stand().operator), f"{URL}/{looks_of(stand)[0].id}"

    assert stranger.get(URL).json()["items"] == []
    assert stranger.get(path).status_code == 404
    assert stranger.post(f"{path}/closing", {"reason": "x"}, headers={"If-Match": '"1"'}).status_code == 404
    assert looks_of(stand)[0].done_at is None


def test_a_list_costs_the_same_number_of_queries_whatever_its_length(
    stand: Stand, client_of: Client, django_assert_max_num_queries: Any
) -> None:
    client = client_of(stand.operator)
    for number in range(12):
        client.post(URL, body(stand, due_on=f"2026-04-{number + 1:02d}"))

    with django_assert_max_num_queries(7):
        assert len(client.get(URL).json()["items"]) == 13


def test_put_offs_hold_against_raw_sql() -> None:
    from django.db import DatabaseError, connection, transaction

    stand = a_stand()
    an_alert(stand)
    look = looks_of(stand)[0]
    PutOff.objects.create(
        operator=stand.operator,
        reinspection=look,
        at=NOW,
        due_before=look.due_on,
        due_on=date(2026, 4, 1),
        reason="x",
    )
    for statement in (
        "DELETE FROM servicing_put_off",
        "UPDATE servicing_put_off SET reason = 'y'",
        "DELETE FROM servicing_reinspection",
        "UPDATE servicing_reinspection SET look_for = 'nothing'",
        "DELETE FROM servicing_alert",
        "UPDATE servicing_alert_event SET step = 'closed'",
        "DELETE FROM servicing_alert_event",
        "UPDATE servicing_finding_change SET finding = 'steady'",
    ):
        with pytest.raises(DatabaseError, match="append-only"), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(statement)
