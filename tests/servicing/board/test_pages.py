"""The pages for people: who may see them, and what they show."""

import re
import uuid
from datetime import timedelta

import pytest
from django.core.cache import cache
from django.test import Client
from django.utils import timezone

from servicing.readings.models import Source, StrutReading
from tests.builders.alerts import a_strut_standing
from tests.builders.fleet import a_person, a_token, an_operator
from tests.builders.readings import Stand, a_stand

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _fresh_limits() -> None:
    cache.clear()


def signed_in(stand: Stand) -> Client:
    _, secret = a_token(a_person(stand.operator), expires_at=timezone.now() + timedelta(days=1))
    client = Client()
    assert client.post("/sign-in", {"token": secret}).status_code == 302
    return client


def form_id(page: bytes) -> str:
    found = re.search(r'name="id" value="([^"]+)"', page.decode())
    assert found is not None
    return found.group(1)


def test_the_start_tells_anyone_what_this_is() -> None:
    page = Client().get("/").content.decode()

    assert "/api/v1/docs/" in page
    assert "Sign in" in page


def test_a_stranger_is_sent_to_the_start() -> None:
    stand = a_stand(an_operator())

    for address in ("/board", "/board/due", f"/board/struts/{stand.strut.pk}", f"/board/legs/{stand.leg.pk}/reading"):
        answer = Client().get(address)
        assert (answer.status_code, answer.headers["Location"]) == (302, "/")


def test_an_unknown_token_opens_nothing() -> None:
    answer = Client().post("/sign-in", {"token": "uc_nobody"})

    assert answer.status_code == 401
    assert "not known here" in answer.content.decode()


def test_many_unknown_tokens_are_slowed_but_a_good_one_is_not() -> None:
    stand = a_stand(an_operator())

    # More than two windows' worth, so that a window's end in between cannot change the outcome.
    answers = [Client().post("/sign-in", {"token": "uc_guess"}) for _ in range(130)]

    slowed = [answer for answer in answers if answer.status_code == 429]
    assert {answer.status_code for answer in answers} == {401, 429}
    assert all(1 <= int(answer.headers["Retry-After"]) <= 61 for answer in slowed)
    assert "Wait a minute" in slowed[0].content.decode()
    assert signed_in(stand).get("/board").status_code == 200


def test_an_address_that_leads_nowhere_shows_the_house_s_page() -> None:
    answer = Client().get("/board/nowhere?utm_source=mail")

    assert answer.status_code == 404
    assert "There is no such page for you" in answer.content.decode()


def test_a_token_revoked_later_opens_no_page_any_more() -> None:
    stand = a_stand(an_operator())
    token, secret = a_token(a_person(stand.operator), expires_at=timezone.now() + timedelta(days=1))
    client = Client()
    client.post("/sign-in", {"token": secret})
    token.revoked_at = timezone.now()
    token.save()

    assert client.get("/board").status_code == 302


def test_the_fleet_shows_own_aircraft_only() -> None:
    stand, other = a_stand(an_operator()), a_stand(an_operator())

    page = signed_in(stand).get("/board").content.decode()

    assert stand.aircraft.registration in page
    assert other.aircraft.registration not in page


def test_a_strut_page_draws_its_history_and_a_strangers_is_not_there() -> None:
    stand, other = a_stand(an_operator()), a_stand(an_operator())
    a_strut_standing(stand)
    client = signed_in(stand)

    page = client.get(f"/board/struts/{stand.strut.pk}").content.decode()

    assert "<svg" in page
    assert "What to check first" in page
    assert client.get(f"/board/struts/{other.strut.pk}").status_code == 404
    assert client.get(f"/board/tyres/{other.tyre.pk}").status_code == 404
    assert client.get(f"/board/legs/{other.leg.pk}/reading").status_code == 404


def test_a_reading_is_stored_once_however_often_the_form_is_sent() -> None:
    stand = a_stand(an_operator())
    client = signed_in(stand)
    address = f"/board/legs/{stand.leg.pk}/reading"
    form = {
        "id": form_id(client.get(address).content),
        "taken_at": timezone.now().isoformat(),
        "extension": "4 1/2",
        "temperature": "20 degC",
        "fuel": "120",
        "exercised": "on",
        "fluid_seen": "dry",
    }

    first, second = client.post(address, form), client.post(address, form)

    assert (first.status_code, second.status_code) == (201, 201)
    reading = StrutReading.objects.of(stand.operator).get()
    assert (reading.extension_in, reading.temperature_f, reading.exercised) == (4.5, 68.0, True)
    assert reading.source == Source.PAGE
    assert "within" in first.content.decode()


def test_every_fault_of_the_form_is_shown_and_nothing_is_stored() -> None:
    stand = a_stand(an_operator())
    form = {"id": str(uuid.uuid4()), "extension": "", "temperature": "warm", "fuel": "-3 lb"}

    answer = signed_in(stand).post(f"/board/legs/{stand.leg.pk}/reading", form)

    assert answer.status_code == 422
    assert answer.content.decode().count('role="alert"') >= 2
    assert not StrutReading.objects.of(stand.operator).exists()


def test_a_page_cannot_be_posted_from_elsewhere() -> None:
    stand = a_stand(an_operator())
    _, secret = a_token(a_person(stand.operator), expires_at=timezone.now() + timedelta(days=1))

    assert Client(enforce_csrf_checks=True).post("/sign-in", {"token": secret}).status_code == 403
