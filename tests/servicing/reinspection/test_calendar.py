"""The feed that calendar programs subscribe to."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
import time_machine
from django.test import Client
from icalendar import Calendar
from rest_framework.test import APIClient

from fleet.people.models import Person
from servicing.reinspection.calendar import calendar_address
from servicing.reinspection.models import Reinspection
from tests.builders.alerts import an_alert, looks_of
from tests.builders.fleet import NOW, later
from tests.builders.readings import Stand, a_stand

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _clock() -> Any:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def stand() -> Stand:
    """Return a club with one open look."""
    stand = a_stand()
    stand.aircraft.registration = "XX-ÜÄÖ"
    stand.aircraft.save()
    an_alert(stand)
    return stand


def path_of(stand: Stand) -> str:
    assert stand.actor.person_id is not None
    return calendar_address(stand.actor.person_id).removeprefix("http://127.0.0.1:8000")


def test_the_api_says_where_to_subscribe(stand: Stand, client_of: Callable[..., APIClient]) -> None:
    address = client_of(stand.operator, "reader").get("/api/v1/reinspections/calendar").json()["address"]

    assert Client().get(address.removeprefix("http://127.0.0.1:8000")).status_code == 200


def test_each_open_look_is_an_all_day_event_with_rfc_5545_s_exclusive_end(stand: Stand) -> None:
    answer = Client().get(path_of(stand))

    (event,) = Calendar.from_ical(answer.content).walk("VEVENT")
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    assert (date(2026, 3, 9), date(2026, 3, 10)) == (event["DTSTART"].dt, event["DTEND"].dt)
    assert event["SUMMARY"] == "XX-ÜÄÖ left main strut: a finding of drift"
    assert f"{looks_of(stand)[0].id}@127.0.0.1" == event["UID"]
    assert event["DTSTAMP"].dt == NOW


def test_lines_end_with_crlf_are_at_most_75_octets_and_never_cut_a_letter(stand: Stand) -> None:
    content = Client().get(path_of(stand)).content

    lines = content.split(b"\r\n")
    assert b"\n" not in content.replace(b"\r\n", b"")
    assert max(map(len, lines)) <= 75
    assert all(line.decode() is not None for line in lines)
    assert lines[:2] == [b"BEGIN:VCALENDAR", b"VERSION:2.0"] or b"VERSION:2.0" in lines
    assert b"REFRESH-INTERVAL;VALUE=DURATION:PT1H" in lines  # RFC 7986, 5.7
    assert any(line.startswith(b"NAME:Reinspections") for line in lines)


def test_an_unchanged_feed_is_answered_304_and_a_changed_one_in_full(stand: Stand) -> None:
    first = Client().get(path_of(stand))

    same = Client().get(path_of(stand), headers={"If-None-Match": first["ETag"]})
    Reinspection.objects.of(stand.operator).update(done_at=later(days=1), closed_reason="x", version=2)
    changed = Client().get(path_of(stand), headers={"If-None-Match": first["ETag"]})

    assert (same.status_code, same.content) == (304, b"")
    assert changed.status_code == 200
    assert Calendar.from_ical(changed.content).walk("VEVENT") == []


def test_an_altered_address_or_one_of_a_person_who_left_answers_404(stand: Stand) -> None:
    path = path_of(stand)
    assert Client().get(path.replace("~", "~x")).status_code == 404

    Person.objects.of(stand.operator).update(active=False)

    assert Client().get(path).status_code == 404


def test_the_address_opens_nothing_else(stand: Stand) -> None:
    secret = path_of(stand).rpartition("/")[2].removesuffix(".ics")

    assert Client().get("/api/v1/alerts", headers={"Authorization": f"Bearer {secret}"}).status_code == 401
    assert Client().get(f"/unsubscribe/{secret}").status_code == 404


def test_another_operator_s_looks_are_not_in_the_feed(stand: Stand) -> None:
    other = a_stand()

    assert Calendar.from_ical(Client().get(path_of(other)).content).walk("VEVENT") == []
