"""What workers run, when, and how they are told."""

import socket
import time
import uuid
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from celery import Celery
from celery.schedules import crontab
from django.db import transaction
from django.utils import timezone

from deploy.celery import app
from fleet.gear.installing import move_part
from fleet.gear.kinds import STRUT
from fleet.web.models import KeptAnswer
from servicing import nudge as nudging
from servicing import tasks
from servicing.alerts.models import Alert
from servicing.nudge import nudge
from servicing.outbox.models import OutgoingMail
from servicing.reinspection.models import Reinspection
from servicing.schedule import SCHEDULE
from servicing.usage.actions import add_usages, correct_usage
from servicing.usage.rows import UsageRow
from servicing.work.actions import add_servicings
from tests.builders.alerts import a_change, an_alert
from tests.builders.fleet import NOW, a_leg, a_person, a_token, next_id
from tests.builders.readings import a_stand
from tests.builders.work import servicing_row


@pytest.fixture(autouse=True)
def _broker_back() -> Iterator[None]:
    yield
    nudging._away_until = 0.0


def names() -> set[str]:
    app.loader.import_default_modules()
    return {name for name in app.tasks if name.startswith("servicing.")}


def test_every_time_in_the_schedule_has_its_task() -> None:
    assert {entry["task"] for entry in SCHEDULE.values()} <= names()
    assert app.conf.beat_schedule == SCHEDULE


def test_every_task_has_a_limit_below_the_broker_s_patience() -> None:
    for name in names():
        task = app.tasks[name]
        assert task.soft_time_limit < task.time_limit <= 600
        assert task.ignore_result


def test_what_the_code_nudges_exists() -> None:
    assert {"servicing.assess_parts", "servicing.handle_waiting_changes", "servicing.send_waiting_mail"} <= names()


def test_messages_that_repeat_do_not_pile_up_while_the_worker_is_away() -> None:
    for entry in SCHEDULE.values():
        if not isinstance(entry["schedule"], crontab):
            assert entry["options"]["expires"] == entry["schedule"]


@pytest.mark.django_db
def test_work_that_arrived_is_assessed_and_asks_for_its_look() -> None:
    stand, yesterday = a_stand(), timezone.now() - timedelta(days=1)
    add_servicings(actor=stand.actor, now=timezone.now(), rows=[servicing_row(stand.leg, done_at=yesterday)])

    for _ in range(2):
        tasks.assess_parts([str(stand.strut.id)], [str(stand.tyre.id)])

    assert Reinspection.objects.of(stand.operator).count() == 1


@pytest.mark.django_db
def test_a_part_that_nobody_knows_does_no_harm() -> None:
    tasks.assess_parts([str(uuid.uuid4())], [str(uuid.uuid4())])


@pytest.mark.django_db
def test_changes_become_alerts_and_mail_goes_out(settings: Any, tmp_path: Any) -> None:
    settings.EMAIL_BACKEND, settings.EMAIL_FILE_PATH = "servicing.outbox.folder.MessageFolder", str(tmp_path)
    stand = a_stand()
    a_change(stand)

    for _ in range(2):
        tasks.handle_waiting_changes()
        tasks.send_waiting_mail()

    assert Alert.objects.of(stand.operator).count() == 1
    assert len(list(tmp_path.glob("*.eml"))) == 1
    assert OutgoingMail.objects.of(stand.operator).get().sent_at is not None


@pytest.mark.django_db
def test_sweeps_and_reviews_may_run_at_any_time() -> None:
    an_alert(a_stand())

    for task in (tasks.assess_waiting, tasks.nightly_sweep, tasks.review_reinspections):
        task()


@pytest.mark.django_db
def test_expired_answers_are_forgotten() -> None:
    stand = a_stand()
    token, _ = a_token(a_person(stand.operator))
    for number, expires_at in enumerate((NOW, NOW + timedelta(days=36500))):
        KeptAnswer.objects.create(
            id=next_id(),
            operator=stand.operator,
            token=token,
            key=str(number),
            method="POST",
            path="/x",
            body_digest="0",
            claimed_until=NOW,
            expires_at=expires_at,
        )

    tasks.forget_expired_answers()

    assert KeptAnswer.objects.of(stand.operator).count() == 1


@pytest.mark.django_db(transaction=True)
def test_a_nudge_is_sent_after_the_commit_and_never_for_what_was_rolled_back(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    sent: list[tuple[str, list[Any]]] = []
    app.set_current()
    app.conf.broker_url = "memory://"
    monkeypatch.setattr(app, "send_task", lambda name, args, **_: sent.append((name, args)))
    part_id = uuid.uuid4()

    with transaction.atomic():
        nudge("assess_parts", [part_id], ())
        assert sent == []
    with transaction.atomic():
        nudge("assess_parts", [uuid.uuid4()], ())
        transaction.set_rollback(True)

    assert sent == [("servicing.assess_parts", [[str(part_id)], []])]


@pytest.mark.django_db(transaction=True)
def test_a_part_that_moved_takes_its_look_along_within_minutes(monkeypatch: pytest.MonkeyPatch) -> None:
    sent: list[list[Any]] = []
    app.set_current()
    app.conf.broker_url = "memory://"
    monkeypatch.setattr(app, "send_task", lambda name, args, **_: sent.append(args))
    stand, now = a_stand(), timezone.now()
    nose = a_leg(stand.operator, "nose", aircraft=stand.aircraft)
    sealed = servicing_row(stand.leg, "seals replaced", done_at=now - timedelta(days=1))
    add_servicings(actor=stand.actor, now=now, rows=[sealed])
    tasks.assess_parts([str(stand.strut.id)], [])
    sent.clear()

    move_part(actor=stand.actor, now=now, kind=STRUT, part_id=stand.strut.id, leg_id=nose.id, moved_at=now, reason="")
    tasks.renew_outdated_readings()
    moved = sent.copy()
    for struts, tyres in moved:
        tasks.assess_parts(struts, tyres)

    assert Reinspection.objects.of(stand.operator).get().leg_id == nose.id


@pytest.mark.django_db(transaction=True)
def test_landings_put_right_are_counted_against_a_look_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    sent: list[list[Any]] = []
    app.set_current()
    app.conf.broker_url = "memory://"
    monkeypatch.setattr(app, "send_task", lambda name, args, **_: sent.append(args))
    stand, now = a_stand(), timezone.now()
    flown = UsageRow(aircraft_id=stand.aircraft.id, ended_at=now - timedelta(days=2), landings=30, hours=1.0)
    usage = add_usages(actor=stand.actor, now=now, rows=[flown]).rows[0]
    sealed = servicing_row(stand.leg, "seals replaced", done_at=now - timedelta(days=1))
    add_servicings(actor=stand.actor, now=now, rows=[sealed])
    tasks.assess_parts([str(stand.strut.id)], [])
    look = Reinspection.objects.of(stand.operator).get()
    assert look.due_landings == 35
    sent.clear()

    right = replace(flown, landings=3)
    correct_usage(actor=stand.actor, now=now, usage_id=usage.id, row=right, reason="3 landings, not 30")
    for struts, tyres in sent.copy():
        tasks.assess_parts(struts, tyres)

    look.refresh_from_db()
    assert look.due_landings == 8


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("address", ["redis://127.0.0.1:{port}/0", "amqp://127.0.0.1:{port}//"])
def test_a_broker_that_says_nothing_costs_one_short_wait_for_many_requests(address: str) -> None:
    with socket.socket() as silent:
        silent.bind(("127.0.0.1", 0))
        silent.listen()
        mute = Celery("mute", broker=address.format(port=silent.getsockname()[1]), set_as_current=False)
        mute.set_current()
        try:
            start = time.monotonic()
            for _ in range(5):
                nudge("send_waiting_mail")
            # Two tries of two seconds each for the first; the other four do not wait.
            assert time.monotonic() - start < 7
        finally:
            app.set_current()


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("address", ["redis://127.0.0.1:1/0", "amqp://127.0.0.1:1//"])
def test_a_broker_that_is_away_fails_nobody_and_costs_one_short_wait(address: str) -> None:
    away = Celery("away", broker=address, set_as_current=False)
    away.set_current()
    try:
        start = time.monotonic()
        for _ in range(20):
            nudge("send_waiting_mail")
        assert time.monotonic() - start < 3
    finally:
        app.set_current()
