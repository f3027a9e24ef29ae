"""Alerts over HTTP."""

from collections.abc import Callable
from typing import Any

import pytest
import time_machine
from rest_framework.test import APIClient

from fleet.audit.models import AuditEntry
from servicing.alerts.handling import handle_change
from servicing.alerts.models import Alert
from tests.builders.alerts import a_change, an_alert
from tests.builders.fleet import NOW, later
from tests.builders.readings import Stand, a_stand

pytestmark = pytest.mark.django_db
URL = "/api/v1/alerts"
Client = Callable[..., APIClient]


@pytest.fixture(autouse=True)
def _clock() -> Any:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def stand() -> Stand:
    """Return a club with one open caution, expected to reach its limit from 28 March on."""
    stand = a_stand()
    an_alert(stand)
    return stand


def path_of(stand: Stand) -> str:
    return f"{URL}/{Alert.objects.of(stand.operator).get().id}"


def tagged(client: APIClient, path: str) -> dict[str, str]:
    return {"If-Match": str(client.get(path)["ETag"])}


def test_an_alert_says_what_it_means_and_what_to_check_first(stand: Stand, client_of: Client) -> None:
    alert = client_of(stand.operator, "reader").get(path_of(stand)).json()

    assert (alert["finding"], alert["level"]) == ("losing_charge", "caution")
    assert (alert["registration"], alert["position"]) == (stand.aircraft.registration, "left main")
    assert alert["check_first"][0].startswith("Look at tube, seal and torque links for fluid")
    assert any("see the strut collapse" in caution for caution in alert["cautions"])
    assert "manual" in alert["advice"]


@pytest.mark.parametrize(
    ("query", "count"),
    [
        ("open=true", 1),
        ("open=false", 0),
        ("level=caution", 1),
        ("level=warning", 0),
        ("finding=losing_charge", 1),
        ("finding=sticky", 0),
        ("", 1),
    ],
)
def test_the_list_is_filtered(stand: Stand, client_of: Client, query: str, count: int) -> None:
    assert len(client_of(stand.operator).get(f"{URL}?{query}").json()["items"]) == count


def test_its_life_is_told(stand: Stand, client_of: Client) -> None:
    client, path = client_of(stand.operator), path_of(stand)
    with time_machine.travel(later(minutes=5), tick=False):
        client.post(f"{path}/acknowledgement", headers=tagged(client, path))
    handle_change(change_id=a_change(stand, level="warning", at=later(hours=1)).id, now=later(hours=1))

    events = client.get(f"{path}/events").json()["items"]

    assert [event["step"] for event in events] == ["raised", "acknowledged", "opened"]
    assert events[1]["person"] is not None


def test_acknowledging_is_kept_and_audited(stand: Stand, client_of: Client) -> None:
    client, path = client_of(stand.operator, "mechanic"), path_of(stand)

    answer = client.post(f"{path}/acknowledgement", headers=tagged(client, path))

    assert answer.json()["acknowledged_at"] == "2026-03-02T09:30:00Z"
    assert answer.json()["closed_at"] is None
    actions = AuditEntry.objects.of(stand.operator).values_list("action", flat=True)
    assert "alert acknowledged" in actions


def test_acknowledging_again_answers_the_same_and_adds_nothing(stand: Stand, client_of: Client) -> None:
    client, path = client_of(stand.operator), path_of(stand)
    first = client.post(f"{path}/acknowledgement", headers=tagged(client, path))

    with time_machine.travel(later(hours=2), tick=False):
        again = client.post(f"{path}/acknowledgement", headers=tagged(client, path))

    assert (again.status_code, again.json()) == (200, first.json())
    steps = [event["step"] for event in client.get(f"{path}/events").json()["items"]]
    assert sorted(steps) == ["acknowledged", "opened"]


def test_an_acknowledgement_refuses_what_it_would_drop(stand: Stand, client_of: Client) -> None:
    client, path = client_of(stand.operator), path_of(stand)

    answer = client.post(f"{path}/acknowledgement", {"note": "on it"}, headers=tagged(client, path))

    assert (answer.status_code, answer.json()["errors"][0]["field"]) == (400, "note")
    assert client.get(path).json()["acknowledged_at"] is None


def test_a_caution_is_put_off_with_a_reason(stand: Stand, client_of: Client) -> None:
    client, path = client_of(stand.operator), path_of(stand)

    with time_machine.travel(later(minutes=5), tick=False):
        sent = {"until": "2026-03-20", "reason": "parts on order"}
        answer = client.post(f"{path}/put-off", sent, headers=tagged(client, path))

    assert answer.json()["put_off_until"] == "2026-03-20"
    event = client.get(f"{path}/events").json()["items"][0]
    assert (event["step"], event["reason"], event["put_off_until"]) == ("put off", "parts on order", "2026-03-20")


@pytest.mark.parametrize("until", ["2026-03-02", "2026-03-29", "2026-12-01"])
def test_a_caution_is_not_put_off_to_the_past_or_beyond_its_earliest_breach(
    stand: Stand, client_of: Client, until: str
) -> None:
    client, path = client_of(stand.operator), path_of(stand)

    answer = client.post(f"{path}/put-off", {"until": until, "reason": "later"}, headers=tagged(client, path))

    assert (answer.status_code, answer.json()["code"]) == (422, "put_off_date")
    assert "2026-03-28" in answer.json()["errors"][0]["message"]


def test_a_warning_is_not_put_off(client_of: Client) -> None:
    stand = a_stand()
    an_alert(stand, level="warning")
    client, path = client_of(stand.operator), path_of(stand)

    answer = client.post(f"{path}/put-off", {"until": "2026-03-20", "reason": "x"}, headers=tagged(client, path))

    assert (answer.status_code, answer.json()["code"]) == (409, "warning_not_put_off")


def test_a_closed_alert_is_neither_acknowledged_nor_put_off(stand: Stand, client_of: Client) -> None:
    handle_change(change_id=a_change(stand, "steady", "none", at=later(hours=1)).id, now=later(hours=1))
    client, path = client_of(stand.operator), path_of(stand)

    answers = [
        client.post(f"{path}/acknowledgement", headers=tagged(client, path)),
        client.post(f"{path}/put-off", {"until": "2026-03-20", "reason": "x"}, headers=tagged(client, path)),
    ]

    assert [(answer.status_code, answer.json()["code"]) for answer in answers] == [(409, "already_closed")] * 2


@pytest.mark.parametrize(
    ("deed", "sent"), [("acknowledgement", None), ("put-off", {"until": "2026-03-20", "reason": "x"})]
)
def test_a_change_needs_the_present_tag(
    stand: Stand, client_of: Client, deed: str, sent: dict[str, str] | None
) -> None:
    client, path = client_of(stand.operator), path_of(stand)
    tag = tagged(client, path)
    Alert.objects.of(stand.operator).update(version=5)

    missing = client.post(f"{path}/{deed}", sent)
    stale = client.post(f"{path}/{deed}", sent, headers=tag)

    assert (missing.status_code, stale.status_code) == (428, 412)


def test_the_same_key_acts_once(stand: Stand, client_of: Client) -> None:
    client, path = client_of(stand.operator), path_of(stand)
    headers = {**tagged(client, path), "Idempotency-Key": "k1"}

    answers = [client.post(f"{path}/acknowledgement", headers=headers) for _ in range(2)]

    assert answers[0].content == answers[1].content
    assert Alert.objects.of(stand.operator).get().version == 2


@pytest.mark.parametrize(
    ("role", "deed", "status"),
    [("reader", "acknowledgement", 403), ("member", "acknowledgement", 403), ("mechanic", "put-off", 403)],
)
def test_a_role_that_is_too_low_is_refused(
    stand: Stand, client_of: Client, role: str, deed: str, status: int
) -> None:
    answer = client_of(stand.operator, role).post(f"{path_of(stand)}/{deed}", {}, headers={"If-Match": '"1"'})
    assert answer.status_code == status


def test_a_stranger_finds_nothing(stand: Stand, client_of: Client) -> None:
    stranger, path = client_of(a_stand().operator), path_of(stand)

    assert stranger.get(URL).json()["items"] == []
    for answer in (
        stranger.get(path),
        stranger.get(f"{path}/events"),
        stranger.post(f"{path}/acknowledgement", headers={"If-Match": "*"}),
        stranger.post(f"{path}/put-off", {"until": "2026-03-20", "reason": "x"}, headers={"If-Match": "*"}),
    ):
        assert answer.status_code == 404


def test_every_wrong_field_is_named(stand: Stand, client_of: Client) -> None:
    client, path = client_of(stand.operator), path_of(stand)

    answer = client.post(f"{path}/put-off", {"until": "soon", "why": "x"}, headers=tagged(client, path))

    assert {fault["field"] for fault in answer.json()["errors"]} == {"until", "reason", "why"}
