"""Files over HTTP."""

from collections.abc import Callable
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from rest_framework.test import APIClient

from servicing.exchange import actions
from servicing.exchange.actions import run_waiting_imports
from servicing.readings.models import StrutReading
from tests.builders.files import READINGS_HEADER, a_file
from tests.builders.readings import a_stand
from tests.servicing.exchange.test_importing import reading_rows

pytestmark = pytest.mark.django_db
ClientOf = Callable[..., APIClient]
URL = "/api/v1/imports"


def send(client: APIClient, content: bytes, query: str = "kind=readings", **extra: Any) -> Any:
    return client.generic("POST", f"{URL}?{query}", content, content_type="text/csv", **extra)


def test_a_short_file_is_done_at_once(client_of: ClientOf) -> None:
    stand = a_stand()
    client = client_of(stand.operator)

    answer = send(client, a_file(READINGS_HEADER, reading_rows(stand, 3)), "kind=readings&file_name=club.csv")

    assert answer.status_code == 201, answer.content
    body = answer.json()
    assert (body["state"], body["rows_saved"], body["file_name"]) == ("done", 3, "club.csv")
    assert client.get(answer["Location"]).json() == body
    assert client.get(URL).json()["items"] == [body]


def test_a_form_with_the_file_in_it_will_do(client_of: ClientOf) -> None:
    stand = a_stand()
    file = SimpleUploadedFile("readings.csv", a_file(READINGS_HEADER, reading_rows(stand, 3)), "text/csv")

    answer = client_of(stand.operator).post(URL, {"kind": "readings", "file": file}, format="multipart")

    assert (answer.status_code, answer.json()["file_name"]) == (201, "readings.csv")


def test_a_refused_file_is_a_problem_with_each_row_named(client_of: ClientOf) -> None:
    stand = a_stand()

    answer = send(client_of(stand.operator), a_file(READINGS_HEADER, [*reading_rows(stand, 3), "x,y"]))

    assert (answer.status_code, answer["Content-Type"]) == (422, "application/problem+json")
    assert [fault["field"] for fault in answer.json()["errors"]] == ["rows.5.row"]
    assert answer.json()["import"]["state"] == "refused"
    assert not StrutReading.objects.of(stand.operator).exists()


def test_an_empty_file_is_refused_in_words(client_of: ClientOf) -> None:
    answer = send(client_of(a_stand().operator), b"")

    assert (answer.status_code, answer.json()["detail"]) == (422, "the file is empty")


def test_one_fault_is_one_fault(client_of: ClientOf) -> None:
    answer = send(client_of(a_stand().operator), a_file(READINGS_HEADER, ["x,y"]))

    assert answer.json()["detail"] == "1 fault in 1 row: nothing was stored."


def test_a_form_obeys_what_stands_in_the_address_and_refuses_fields_it_does_not_know(client_of: ClientOf) -> None:
    stand = a_stand()
    client = client_of(stand.operator)

    def post(query: str, **fields: Any) -> Any:
        file = SimpleUploadedFile("readings.csv", a_file(READINGS_HEADER, reading_rows(stand, 3)), "text/csv")
        return client.post(f"{URL}?units=us&{query}", {"file": file, **fields}, format="multipart")

    checked, mistyped = post("kind=readings&dry_run=true"), post("", kind="readings", dryrun="true")

    assert (checked.status_code, checked.json()["dry_run"]) == (200, True)
    assert (mistyped.status_code, mistyped.json()["errors"][0]["field"]) == (400, "dryrun")
    assert not StrutReading.objects.of(stand.operator).exists()


def test_a_dry_run_answers_what_would_happen(client_of: ClientOf) -> None:
    stand = a_stand()

    answer = send(
        client_of(stand.operator), a_file(READINGS_HEADER, reading_rows(stand, 3)), "kind=readings&dry_run=true"
    )

    assert (answer.status_code, answer.json()["faults_total"], answer.json()["rows_saved"]) == (200, 0, 0)


def test_a_bad_header_is_refused_as_a_whole(client_of: ClientOf) -> None:
    answer = send(client_of(a_stand().operator), b"aircraft;leg\n")

    assert (answer.status_code, answer.json()["code"]) == (422, "bad_file")
    assert "commas" in answer.json()["errors"][0]["message"]


def test_a_long_file_is_taken_by_a_worker_and_shows_its_progress(
    client_of: ClientOf, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(actions, "LONG_FILE_ROWS", 2)
    stand = a_stand()
    client = client_of(stand.operator)

    answer = send(client, a_file(READINGS_HEADER, reading_rows(stand, 3)))
    waiting = client.get(answer["Location"]).json()
    run_waiting_imports(clock=timezone.now)
    done = client.get(answer["Location"]).json()

    assert answer.status_code == 202
    assert (waiting["state"], waiting["rows_checked"], waiting["rows_total"]) == ("waiting", 0, 3)
    assert (done["state"], done["rows_checked"], done["rows_saved"]) == ("done", 3, 3)


def test_a_repeat_with_the_same_key_gets_the_same_answer(client_of: ClientOf) -> None:
    stand = a_stand()
    client = client_of(stand.operator)
    content = a_file(READINGS_HEADER, reading_rows(stand, 3))

    answers = [send(client, content, headers={"Idempotency-Key": "a-file"}) for _ in range(2)]

    assert [answer.status_code for answer in answers] == [201, 201]
    assert answers[0].content == answers[1].content


@pytest.mark.parametrize(
    ("role", "query", "status"),
    [
        ("reader", "kind=readings", 403),
        ("member", "kind=servicings", 403),
        ("member", "kind=dreams", 400),
        ("member", "", 400),
    ],
)
def test_role_and_settings_are_looked_at(client_of: ClientOf, role: str, query: str, status: int) -> None:
    assert send(client_of(a_stand().operator, role), b"aircraft", query).status_code == status


def test_json_is_no_file(client_of: ClientOf) -> None:
    assert client_of(a_stand().operator).post(URL, {"kind": "readings"}, format="json").status_code == 415


def test_a_stranger_does_not_see_an_import(client_of: ClientOf) -> None:
    stand = a_stand()
    address = send(client_of(stand.operator), a_file(READINGS_HEADER, reading_rows(stand, 1)))["Location"]

    assert client_of(a_stand().operator).get(address).status_code == 404
