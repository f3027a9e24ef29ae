"""What happens at the same time: two workers, news during an assessment, and a worker that dies between."""

import threading
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection, connections

from servicing.drift import actions
from servicing.drift.actions import assess_struts, sweep
from servicing.drift.models import FindingChange, StrutStanding
from servicing.drift.standings import write_standings
from servicing.news.models import PartNews
from servicing.readings.actions import add_strut_readings
from tests.builders.drift import a_leak, lengths_over_time, read_strut
from tests.builders.fleet import NOW
from tests.builders.readings import Stand, a_stand

LOSING = a_leak(steady=30, losing=14, loss_in=0.03)


def waiting(stand: Stand) -> bool:
    row = PartNews.objects.of(stand.operator).get(strut=stand.strut)
    return row.arrived > row.assessed


class Between:
    """Does something once, just after an assessment was computed and before it is written."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, event: Any) -> None:
        self._event, self._todo = event, True
        monkeypatch.setattr(actions, "write_standings", self)

    def __call__(self, *args: Any, **named: Any) -> int:
        if self._todo:
            self._todo = False
            self._event()
        return write_standings(*args, **named)


@pytest.mark.django_db
def test_news_that_arrives_during_an_assessment_is_not_lost(monkeypatch: pytest.MonkeyPatch) -> None:
    stand = a_stand()
    entries = lengths_over_time(stand.leg, LOSING)
    add_strut_readings(actor=stand.actor, now=NOW, entries=entries[:-10])

    def arrive() -> None:
        add_strut_readings(actor=stand.actor, now=NOW, entries=entries[-10:])

    Between(monkeypatch, arrive)
    sweep(now=NOW)

    assert waiting(stand)
    sweep(now=NOW)
    assert not waiting(stand)
    assert StrutStanding.objects.of(stand.operator).get().evidence["readings_used"] == len(LOSING)


@pytest.mark.django_db
def test_an_assessment_that_was_overtaken_writes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    stand = a_stand()
    entries = lengths_over_time(stand.leg, LOSING)
    add_strut_readings(actor=stand.actor, now=NOW, entries=entries[:-10])

    def overtake() -> None:
        add_strut_readings(actor=stand.actor, now=NOW, entries=entries[-10:])
        assess_struts(stand.operator.id, [stand.strut.id], now=NOW + timedelta(minutes=1))

    Between(monkeypatch, overtake)
    assess_struts(stand.operator.id, [stand.strut.id], now=NOW)

    row = StrutStanding.objects.of(stand.operator).get()
    assert (row.evidence["readings_used"], row.assessed_at) == (len(LOSING), NOW + timedelta(minutes=1))
    assert FindingChange.objects.of(stand.operator).count() == 1


@pytest.mark.django_db
def test_a_worker_killed_before_writing_leaves_the_news_for_the_next(monkeypatch: pytest.MonkeyPatch) -> None:
    stand = a_stand()
    read_strut(stand, LOSING)

    def die() -> None:
        raise SystemExit("killed")

    Between(monkeypatch, die)
    with pytest.raises(SystemExit):
        sweep(now=NOW)

    assert waiting(stand)
    assert StrutStanding.objects.of(stand.operator).count() == 0
    sweep(now=NOW)
    assert FindingChange.objects.of(stand.operator).count() == 1


@pytest.mark.django_db
def test_a_worker_killed_while_writing_leaves_all_or_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    stand = a_stand()
    read_strut(stand, LOSING)

    def die(*args: Any) -> None:
        raise SystemExit("killed")

    with monkeypatch.context() as patched:
        patched.setattr("servicing.drift.standings._mark_assessed", die)
        with pytest.raises(SystemExit):
            sweep(now=NOW)

    assert (StrutStanding.objects.of(stand.operator).count(), FindingChange.objects.of(stand.operator).count()) == (
        0,
        0,
    )
    assert sweep(now=NOW).changes == 1


@pytest.mark.skipif(
    connection.vendor == "sqlite", reason="the in-memory test database locks whole tables; the real file in WAL waits"
)
@pytest.mark.django_db(transaction=True)
def test_two_workers_at_once_write_one_truth() -> None:
    stand = a_stand()
    read_strut(stand, LOSING)
    start, faults = threading.Barrier(3), []

    def work() -> None:
        try:
            start.wait()
            assess_struts(stand.operator.id, [stand.strut.id], now=NOW)
        except Exception as fault:
            faults.append(fault)
        finally:
            connections.close_all()

    workers = [threading.Thread(target=work) for _ in range(3)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()

    assert faults == []
    assert StrutStanding.objects.of(stand.operator).count() == 1
    assert FindingChange.objects.of(stand.operator).count() == 1
    assert not waiting(stand)
