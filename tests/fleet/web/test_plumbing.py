"""The HTTP plumbing, over a resource that does next to nothing."""

import base64
import hashlib
import json
import threading
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from rest_framework.test import APIClient

from fleet.audit.models import AuditEntry
from fleet.people.models import Person, Token
from fleet.web.idempotency import forget_expired_answers
from fleet.web.models import KeptAnswer
from tests.builders.fleet import LONG_AGO, a_person, a_token, an_operator

pytestmark = [pytest.mark.django_db, pytest.mark.urls("tests.fleet.web.probe")]
URL = "/api/v1/probe"
NOTE = {"extension": "4 1/2 in", "text": "dry"}


@pytest.fixture
def client(operator: Any, client_of: Any) -> APIClient:
    return client_of(operator)


def bearer(secret: str) -> APIClient:
    caller = APIClient(raise_request_exception=False)
    caller.credentials(HTTP_AUTHORIZATION=f"Bearer {secret}")
    return caller


class TestAuthentication:
    def test_no_token_is_401_with_a_challenge_and_a_problem_document(self) -> None:
        answer = APIClient().get(URL)
        assert answer.status_code == 401
        assert answer["WWW-Authenticate"].startswith("Bearer")
        assert answer["Content-Type"] == "application/problem+json"
        problem = answer.json()
        assert (problem["status"], problem["code"]) == (401, "not_authenticated")
        assert problem["type"].endswith("/problems/not_authenticated")

    def test_an_unknown_token_is_401(self, operator: Any) -> None:
        assert bearer("uc_unknown").get(URL).status_code == 401

    def test_another_scheme_is_401(self, operator: Any) -> None:
        caller = APIClient()
        caller.credentials(HTTP_AUTHORIZATION="Basic dTpw")
        assert caller.get(URL).status_code == 401

    @pytest.mark.parametrize("values", [{"expires_at": LONG_AGO}, {"revoked_at": LONG_AGO}])
    def test_an_ended_token_is_401(self, operator: Any, values: dict[str, Any]) -> None:
        _, secret = a_token(a_person(operator), **values)
        assert bearer(secret).get(URL).status_code == 401

    def test_a_person_who_left_is_401(self, operator: Any) -> None:
        _, secret = a_token(a_person(operator, active=False))
        assert bearer(secret).get(URL).status_code == 401

    def test_only_the_digest_is_stored(self, operator: Any) -> None:
        token, secret = a_token(a_person(operator))
        row = Token.objects.of(operator).values().get(pk=token.pk)
        assert secret not in str(row)
        assert row["digest"] == hashlib.sha256(secret.encode()).hexdigest()

    def test_a_token_costs_one_query_and_its_use_is_noted_once_a_minute(self, operator: Any) -> None:
        token, secret = a_token(a_person(operator))
        caller = bearer(secret)
        with CaptureQueriesContext(
            connection,
        ) as first:
            caller.get(URL)
        with CaptureQueriesContext(connection) as second:
            caller.get(URL)
        assert (len(first), len(second)) == (3, 2)
        noted = Token.objects.of(operator).get(pk=token.pk).last_used_at
        assert noted is not None
        assert timezone.now() - noted < timedelta(minutes=1)

    def test_many_failures_from_one_address_are_slowed_but_a_good_token_is_not(self, operator: Any) -> None:
        _, secret = a_token(a_person(operator))
        # More than two windows' worth, so that a window's end in between cannot change the outcome.
        answers = [bearer("uc_guess").get(URL) for _ in range(130)]
        assert {answer.status_code for answer in answers} == {401, 429}
        assert all("Retry-After" in answer for answer in answers if answer.status_code == 429)
        assert bearer(secret).get(URL).status_code == 200


class TestLimits:
    def test_each_answer_says_what_is_left(self, client: APIClient) -> None:
        answer = client.get(URL)
        assert answer["RateLimit-Policy"] == '"per-token";q=1200;w=60'
        assert answer["RateLimit"].startswith('"per-token";r=1199;t=')

    def test_a_token_beyond_its_limit_is_429_with_a_time_to_wait(self, client: APIClient, settings: Any) -> None:
        settings.REQUESTS_PER_MINUTE = 3
        answers = [client.get(URL) for _ in range(8)]
        refused = [answer for answer in answers if answer.status_code == 429]
        assert refused
        assert refused[0].json()["code"] == "throttled"
        assert 1 <= int(refused[0]["Retry-After"]) <= 61


class TestPermissions:
    def test_a_role_too_low_is_403(self, operator: Any, client_of: Any) -> None:
        answer = client_of(operator, "reader").post(URL, NOTE)
        assert (answer.status_code, answer.json()["code"]) == (403, "role_too_low")

    def test_a_token_without_the_scope_is_403(self, operator: Any, client_of: Any) -> None:
        answer = client_of(operator, "coordinator", ["read"]).post(URL, NOTE)
        assert (answer.status_code, answer.json()["code"]) == (403, "scope_missing")

    def test_a_view_that_names_no_needs_refuses(self, client: APIClient) -> None:
        assert client.get("/api/v1/forgetful").status_code == 403

    @pytest.mark.parametrize("method", ["put", "delete", "options"])
    def test_a_method_that_is_not_there_is_405(self, client: APIClient, method: str) -> None:
        answer = getattr(client, method)(URL)
        assert (answer.status_code, answer.json()["code"]) == (405, "method_not_allowed")


class TestProblems:
    def test_every_faulty_field_is_named_at_once(self, client: APIClient) -> None:
        answer = client.post(URL, {"extension": 4.5, "text": "x" * 11, "colour": "blue"})
        assert answer.status_code == 400
        found = {(error["field"], error["code"]) for error in answer.json()["errors"]}
        assert found == {("extension", "unit_missing"), ("text", "max_length"), ("colour", "unknown_field")}

    def test_unparsable_json_is_400(self, client: APIClient) -> None:
        answer = client.post(URL, "{", content_type="application/json")
        assert (answer.status_code, answer.json()["code"]) == (400, "parse_error")

    def test_another_media_type_is_415(self, client: APIClient) -> None:
        assert client.post(URL, "a=b", content_type="application/x-www-form-urlencoded").status_code == 415

    def test_an_address_that_leads_nowhere_is_a_problem_document(self, client: APIClient) -> None:
        answer = client.get("/api/v1/nowhere")
        assert (answer.status_code, answer["Content-Type"]) == (404, "application/problem+json")

    def test_a_fault_of_ours_says_nothing_of_its_inside(self, client: APIClient) -> None:
        answer = client.post(URL, {**NOTE, "then": "break"})
        assert (answer.status_code, answer["Content-Type"]) == (500, "application/problem+json")
        assert "fault of ours" not in answer.content.decode()


class TestQuantities:
    @pytest.mark.parametrize(
        ("given", "inside"),
        [("4 1/2 in", 4.5), ({"value": 4.5, "unit": "in"}, 4.5), ({"value": 114.3, "unit": "mm"}, 4.5)],
    )
    def test_a_quantity_is_read_with_its_unit(self, client: APIClient, given: Any, inside: float) -> None:
        assert client.post(URL, {**NOTE, "extension": given}).json()["inside"] == pytest.approx(inside, abs=1e-12)

    @pytest.mark.parametrize(
        ("given", "code"),
        [
            (4.5, "unit_missing"),
            ("4.5", "unit_missing"),
            (True, "shape"),
            ([4.5, "in"], "shape"),
            ({"value": 4.5}, "shape"),
            ({"value": "4.5", "unit": "in"}, "shape"),
            ({"value": 4.5, "unit": "psi"}, "unit_of_other_quantity"),
            ({"value": 4.5, "unit": "in", "reference": "gauge"}, "reference"),
            ("4,5 in", "decimal_comma"),
            ("-1 in", "too_small"),
            (None, "null"),
        ],
    )
    def test_what_is_no_quantity_is_refused(self, client: APIClient, given: Any, code: str) -> None:
        errors = client.post(URL, {**NOTE, "extension": given}).json()["errors"]
        assert [(error["field"], error["code"]) for error in errors] == [("extension", code)]

    def test_the_answer_comes_in_the_callers_units(self, client: APIClient) -> None:
        assert client.get(URL).json()["items"][0]["extension"] == {"value": 4.5, "unit": "in"}
        metric = client.get(URL, {"units": "metric"}).json()["items"][0]["extension"]
        assert metric == {"value": 114.3, "unit": "mm"}

    def test_an_unknown_unit_system_is_refused(self, client: APIClient) -> None:
        assert client.get(URL, {"units": "nautical"}).json()["errors"][0]["field"] == "units"


class TestTags:
    def test_a_read_is_304_while_its_tag_holds(self, client: APIClient) -> None:
        tag = client.get(URL)["ETag"]
        again = client.get(URL, headers={"If-None-Match": tag})
        assert (again.status_code, again.content, again["ETag"]) == (304, b"", tag)
        other_units = client.get(URL, {"units": "metric"}, headers={"If-None-Match": tag})
        assert other_units.status_code == 200

    def test_a_change_without_if_match_is_428(self, client: APIClient) -> None:
        assert client.patch(URL, {}).status_code == 428

    @pytest.mark.parametrize("tag", ['"2"', '"2.abc"', 'W/"3"', '"33"', "nonsense"])
    def test_a_change_of_another_state_is_412(self, client: APIClient, tag: str) -> None:
        assert client.patch(URL, {}, headers={"If-Match": tag}).status_code == 412

    @pytest.mark.parametrize("tag", ['"3"', '"3.abc"', '"2", "3.abc"', "*"])
    def test_a_change_of_the_present_state_passes(self, client: APIClient, tag: str) -> None:
        answer = client.patch(URL, {}, headers={"If-Match": tag})
        assert answer.status_code == 200
        assert answer["ETag"].startswith('"4.')


class TestPages:
    def test_pages_join_without_gap_or_repeat_while_rows_arrive(self, operator: Any, client: APIClient) -> None:
        for number, name in enumerate(("b", "d", "d", "d", "f", "d", "b")):
            a_person(operator, "member" if number % 2 else "mechanic", name=name)
        expected = list(Person.objects.of(operator).order_by("role", "-name", "id").values_list("name", flat=True))
        found, url = [], f"{URL}?limit=2"
        while url:
            answer = client.get(url)
            found += [row["name"] for row in answer.json()["items"]]
            url = answer.json()["next"]
            assert ("Link" in answer) == (url is not None)
            if url:
                assert answer["Link"] == f'<{url}>; rel="next"'
                a_person(operator, "coordinator", name="z")
        assert found == expected

    @pytest.mark.parametrize("query", [{"limit": "0"}, {"limit": "501"}, {"limit": "x"}, {"limit": "²"}])
    def test_a_limit_out_of_range_is_refused(self, client: APIClient, query: dict[str, str]) -> None:
        answer = client.get(URL, query)
        assert (answer.status_code, answer.json()["errors"][0]["field"]) == (400, "limit")

    def test_a_cursor_with_values_that_no_column_holds_is_refused(self, client: APIClient) -> None:
        someone = "6a1f0f6f-9b02-4a1f-8a6b-5a1fc4a1f3de"
        for values in (["a\0", "b", someone], ["a", "\0", someone], ["a", "b", "\0"], ["a", None, someone]):
            cursor = base64.urlsafe_b64encode(json.dumps(values).encode()).decode()
            assert client.get(URL, {"after": cursor}).status_code == 400

    @pytest.mark.parametrize("after", ["x", "W10", "WzFd", "bnVsbA", "é", "WyJhIiwgImIiLCAiYyJd"])
    def test_a_made_up_cursor_is_refused(self, client: APIClient, after: str) -> None:
        answer = client.get(URL, {"after": after})
        assert (answer.status_code, answer.json()["errors"][0]["field"]) == (400, "after")


class TestIdempotency:
    KEY = {"Idempotency-Key": "one"}

    def entries(self, operator: Any) -> int:
        return AuditEntry.objects.of(operator).count()

    def test_a_repeat_acts_once_and_gets_the_same_bytes(self, operator: Any, client: APIClient) -> None:
        first = client.post(URL, NOTE, headers=self.KEY)
        again = client.post(URL, NOTE, headers=self.KEY)
        assert first.status_code == 201
        assert (again.status_code, again.content) == (first.status_code, first.content)
        assert (first["Idempotency-Replayed"], again["Idempotency-Replayed"]) == ("false", "true")
        assert self.entries(operator) == 1

    def test_without_a_key_each_request_acts(self, operator: Any, client: APIClient) -> None:
        client.post(URL, NOTE)
        client.post(URL, NOTE)
        assert self.entries(operator) == 2

    @pytest.mark.parametrize("change", [{"body": {**NOTE, "text": "wet"}}, {"query": "?units=metric"}])
    def test_a_key_used_for_another_request_is_422(self, client: APIClient, change: dict[str, Any]) -> None:
        client.post(URL, NOTE, headers=self.KEY)
        answer = client.post(URL + change.get("query", ""), change.get("body", NOTE), headers=self.KEY)
        assert (answer.status_code, answer.json()["code"]) == (422, "idempotency_key_reused")

    def test_keys_of_two_tokens_do_not_meet(self, operator: Any, client: APIClient, client_of: Any) -> None:
        client.post(URL, NOTE, headers=self.KEY)
        client_of(operator).post(URL, {**NOTE, "text": "wet"}, headers=self.KEY)
        assert self.entries(operator) == 2

    @pytest.mark.parametrize(("then", "status"), [("clash", 409), ("break", 500), ("be overtaken", 409)])
    def test_a_request_that_failed_left_nothing_and_its_key_is_free(
        self, operator: Any, client: APIClient, then: str, status: int
    ) -> None:
        assert client.post(URL, {**NOTE, "then": then}, headers=self.KEY).status_code == status
        assert self.entries(operator) == 0
        assert client.post(URL, NOTE, headers=self.KEY).status_code == 201

    def claimed(self, operator: Any, client: APIClient, **values: Any) -> None:
        """Put the row back to how a worker that died after its claim leaves it."""
        client.post(URL, NOTE, headers=self.KEY)
        values = {"status": None, "body": None, "claimed_until": timezone.now() + timedelta(seconds=30), **values}
        KeptAnswer.objects.of(operator).update(**values)

    def test_while_the_first_is_running_the_second_is_told_to_wait(self, operator: Any, client: APIClient) -> None:
        self.claimed(operator, client)
        answer = client.post(URL, NOTE, headers=self.KEY)
        assert (answer.status_code, answer.json()["code"]) == (409, "request_in_progress")
        assert answer["Retry-After"] == "2"

    def test_the_claim_of_a_dead_worker_frees_itself(self, operator: Any, client: APIClient) -> None:
        self.claimed(operator, client, claimed_until=timezone.now() - timedelta(seconds=1))
        assert client.post(URL, NOTE, headers=self.KEY).status_code == 201
        assert self.entries(operator) == 2

    def test_a_crash_before_the_answer_is_kept_undoes_the_effect(
        self, operator: Any, client: APIClient, monkeypatch: Any
    ) -> None:
        def crash(*_: Any) -> None:
            raise SystemExit

        with monkeypatch.context() as patch:
            # Stands in for a kill between the two writes, which no test can time.
            patch.setattr("fleet.web.idempotency.keep", crash)
            with pytest.raises(SystemExit):
                client.post(URL, NOTE, headers=self.KEY)
        assert self.entries(operator) == 0
        assert client.post(URL, NOTE, headers=self.KEY).status_code == 201

    def test_an_answer_past_its_time_is_forgotten(self, operator: Any, client: APIClient) -> None:
        client.post(URL, NOTE, headers=self.KEY)
        KeptAnswer.objects.of(operator).update(expires_at=LONG_AGO)
        assert client.post(URL, {**NOTE, "text": "wet"}, headers=self.KEY).status_code == 201
        KeptAnswer.objects.of(operator).update(expires_at=LONG_AGO)
        assert forget_expired_answers(now=timezone.now()) == 1

    @pytest.mark.parametrize("key", ["", "a b", "x" * 256])
    def test_what_is_no_key_is_refused(self, client: APIClient, key: str) -> None:
        answer = client.post(URL, NOTE, headers={"Idempotency-Key": key})
        assert (answer.status_code, answer.json()["errors"][0]["field"]) == (400, "Idempotency-Key")


def test_owned_rows_refuse_a_query_that_forgets_its_operator() -> None:
    an_operator()
    with pytest.raises(RuntimeError, match="name the operator"), transaction.atomic():
        list(Person.objects.all())


@pytest.mark.django_db(transaction=True)
def test_requests_sent_at_once_with_one_key_act_once(operator: Any) -> None:
    _, secret = a_token(a_person(operator))
    gate, answers = threading.Barrier(5), []

    def send() -> None:
        gate.wait()
        try:
            answer = bearer(secret).post(URL, {**NOTE, "then": "wait"}, headers={"Idempotency-Key": "one"})
            answers.append((answer.status_code, answer.content))
        finally:
            connection.close()

    threads = [threading.Thread(target=send) for _ in range(5)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert AuditEntry.objects.of(operator).count() == 1
    assert len({content for status, content in answers if status == 201}) == 1
    # SQLite in memory answers a second writer at once that it is locked.
    assert {status for status, _ in answers} <= {201, 409, 503}
