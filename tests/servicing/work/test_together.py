"""Several people and processes on one strut at the same moment: a real database, one truth."""

from typing import Any

import pytest

from tests.installations import Installation
from tests.installations import _migrated as _migrated
from tests.installations import installation as installation

BEGIN = "from tests.servicing.work.together import *\nscene = Scene()\n"
SAME_DOSE = """
address, tag = scene.started()
dose = length("3.6 in", 5, amount=4, id=DOSE_ID)
print(json.dumps([at_once([(client, address + "/doses", dose, {"HTTP_IF_MATCH": tag}) for client in scene.clients]),
    state()]))
"""
SAME_KEY = """
address, tag = scene.started()
dose, key = length("3.6 in", 5, amount=4), {"HTTP_IDEMPOTENCY_KEY": "one-dose"}
answers = at_once([(scene.clients[0], address + "/doses", dose, key)] * 5)
print(json.dumps([answers, scene.clients[0].post(address + "/doses", dose, **key).status_code, state()]))
"""
SAME_PLAN = """
address, tag = scene.started()
doses = [length("3.6 in", 5, amount=4), length("3.7 in", 6, amount=5)]
print(json.dumps([at_once([(client, address + "/doses", dose, {"HTTP_IF_MATCH": tag})
    for client, dose in zip(scene.clients, doses)]), state()]))
"""
NO_PLAN = """
address, tag = scene.started()
doses = [length("3.6 in", 5, amount=4), length("3.9 in", 6, amount=1)]
print(json.dumps([at_once([(client, address + "/doses", dose, {}) for client, dose in zip(scene.clients, doses)]),
    state()]))
"""
SAME_STRUT = """
print(json.dumps([at_once([(client, ADDRESS, scene.start_body(), {}) for client in scene.clients]), state()]))
"""
SAME_END = """
address, tag = scene.started()
tag = scene.clients[0].post(address + "/doses", length("4.4 in", 5, amount=8))["ETag"]
print(json.dumps([at_once([(client, address + "/finish", {}, {"HTTP_IF_MATCH": tag}) for client in scene.clients]),
    state()]))
"""
SAME_CORRECTION = """
address, step = scene.dosed()
body = {"id": DOSE_ID, "reason": "miscounted", "step": length("3.6 in", 5, amount=2)}
print(json.dumps([at_once([(client, step, body, {}) for client in scene.clients]), state()]))
"""
TWO_CORRECTIONS = """
address, step = scene.dosed()
bodies = [{"reason": "miscounted", "step": length("3.6 in", 5, amount=amount)} for amount in (2, 3)]
print(json.dumps([at_once([(client, step, body, {}) for client, body in zip(scene.clients, bodies)]), state()]))
"""
CORRECTED_WHILE = """
address, step = scene.dosed()
body = {"reason": "miscounted", "step": length("3.6 in", 5, amount=2)}
calls = [(scene.clients[0], step, body, {}),
    (scene.clients[1], address + "/{deed}", {body}, {"HTTP_IF_MATCH": "*"})]
print(json.dumps([at_once(calls), state()]))
"""
DIE = """
import time
from servicing.work import top_up_api
address, tag = scene.started()
plan_of = top_up_api.plan_of
def hang(top_up):
    print(json.dumps([address, scene.clients[0]._credentials["HTTP_AUTHORIZATION"]]), flush=True)
    time.sleep(600)
top_up_api.plan_of = hang
scene.clients[0].post(address + "/doses", length("3.6 in", 5, amount=4, id=DOSE_ID), **{headers})
"""
SEND_AGAIN = """
from tests.servicing.work.together import *
client = APIClient()
client.credentials(HTTP_AUTHORIZATION={token!r})
before = state()
dose = length("3.6 in", 5, amount=4, id=DOSE_ID)
answers = [client.post({address!r} + "/doses", dose, **headers) for headers in {tries}]
print(json.dumps([before, [[answer.status_code, answer.json()] for answer in answers], state()]))
"""


def statuses(answers: list[list[Any]]) -> list[int]:
    return sorted(status for status, _ in answers)


def test_five_people_who_send_the_same_dose_at_once_make_one_dose(installation: Installation) -> None:
    answers, state = installation.run(BEGIN + SAME_DOSE)

    assert statuses(answers) == [200, 200, 200, 200, 201]
    assert {answer["version"] for _, answer in answers} == {2}
    assert state["amounts"] == [0, 4]


def test_the_same_key_five_times_at_once_makes_one_dose(installation: Installation) -> None:
    answers, last, state = installation.run(BEGIN + SAME_KEY)

    # Whoever comes while the first is running is asked to wait; everyone else gets its answer.
    assert set(statuses(answers)) <= {201, 409}
    assert 201 in statuses(answers)
    assert (last, state["amounts"]) == (201, [0, 4])


def test_of_two_people_who_follow_the_same_plan_one_is_told_to_look_again(installation: Installation) -> None:
    answers, state = installation.run(BEGIN + SAME_PLAN)

    assert statuses(answers) == [201, 412]
    assert len(state["amounts"]) == 2


def test_doses_of_two_people_without_a_plan_are_both_kept_in_a_row(installation: Installation) -> None:
    answers, state = installation.run(BEGIN + NO_PLAN)

    assert statuses(answers) == [201, 201]
    assert (sorted(state["amounts"]), state["sequences"]) == ([0, 1, 4], [1, 2, 3])


def test_five_people_who_start_on_one_strut_start_one_top_up(installation: Installation) -> None:
    answers, state = installation.run(BEGIN + SAME_STRUT)

    assert statuses(answers) == [201, 409, 409, 409, 409]
    assert (state["top_ups"], state["amounts"]) == (1, [0])


def test_five_people_who_finish_at_once_leave_one_servicing(installation: Installation) -> None:
    answers, state = installation.run(BEGIN + SAME_END)

    assert set(statuses(answers)) <= {200, 409, 412}
    assert 200 in statuses(answers)
    assert state["servicings"] == 1


def test_five_people_who_send_the_same_correction_at_once_make_one(installation: Installation) -> None:
    answers, state = installation.run(BEGIN + SAME_CORRECTION)

    assert statuses(answers) == [200, 200, 200, 200, 201]
    assert (sorted(state["amounts"]), sorted(state["live"])) == ([0, 2, 4], [0, 2])


def test_of_two_people_who_correct_the_same_dose_one_is_told(installation: Installation) -> None:
    answers, state = installation.run(BEGIN + TWO_CORRECTIONS)

    assert statuses(answers) == [201, 409]
    assert len(state["live"]) == 2


@pytest.mark.parametrize(("deed", "body"), [("finish", '{"note": "more tomorrow"}'), ("pause", "{}")])
def test_a_correction_that_meets_the_end_or_a_pause_is_in_the_history_or_refused(
    installation: Installation, deed: str, body: str
) -> None:
    source = CORRECTED_WHILE.replace("{deed}", deed).replace("{body}", body)
    ((corrected, _), (ended, _)), state = installation.run(BEGIN + source)

    # Of the two, whoever comes second may be told to read again; nothing is lost or written down twice.
    assert (corrected, ended) in [(201, 200), (201, 412), (409, 200)]
    assert sorted(state["live"]) == ([0, 2] if corrected == 201 else [0, 4])
    assert state["strokes"] == ([] if ended == 412 else [max(state["live"])])


def killed(installation: Installation, headers: dict[str, str]) -> tuple[str, str]:
    """Kill a process after the dose went in and before the plan; return address and token."""
    import json

    dying = installation.start(BEGIN + DIE.replace("{headers}", repr(headers)))
    assert dying.stdout is not None
    address, token = json.loads(dying.stdout.readline())
    dying.kill()
    dying.communicate(timeout=30)
    return address, token


def test_a_process_killed_between_dose_and_plan_loses_nothing_and_doubles_nothing(installation: Installation) -> None:
    address, token = killed(installation, {})

    before, answers, after = installation.run(SEND_AGAIN.format(address=address, token=token, tries=[{}]))

    assert before["amounts"] == after["amounts"] == [0, 4]
    status, again = answers[0]
    assert (status, again["plan"]["next"]) == (200, "give gas")


def test_a_process_killed_with_a_key_in_hand_did_nothing_and_the_dose_is_taken_once(
    installation: Installation,
) -> None:
    key = {"HTTP_IDEMPOTENCY_KEY": "lost"}
    address, token = killed(installation, key)

    tries = [key, {}, {}]
    before, answers, after = installation.run(SEND_AGAIN.format(address=address, token=token, tries=tries))

    assert before["amounts"] == [0]
    # The key is held until its claim lapses; without it the dose is taken at once, and once.
    assert [status for status, _ in answers] == [409, 201, 200]
    assert after["amounts"] == [0, 4]
