"""A real worker on a real broker: from a change of finding to a mail, also when the worker is killed."""

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from django.conf import settings

from tests.installations import Installation
from tests.installations import _migrated as _migrated
from tests.installations import installation as installation
from tests.servicing.outbox.sink import Sink, free_port, running

CHANGE = """
import deploy.celery
from servicing.nudge import nudge
from tests.builders.alerts import a_change
from tests.builders.readings import a_stand
a_change(a_stand())
nudge("handle_waiting_changes")
print(json.dumps("done"))
"""
# What the schedule sends every minute.
NUDGE = """
import deploy.celery
from servicing.nudge import nudge
nudge("handle_waiting_changes")
"""
# Stops dead inside the task, after its message was taken from the broker and before anything was written.
HANG = """
import os
import pathlib
import time
from servicing.alerts import handling
from servicing import tasks
def hang(**_):
    pathlib.Path(os.environ["UNDERCART_DATA_DIR"], "began").touch()
    time.sleep(300)
handling.handle_waiting_changes = hang
from deploy.celery import app
app.worker_main(["worker", "--pool=solo", "--loglevel=error", "--without-mingle", "--without-gossip"])
"""


@pytest.fixture
def broker() -> dict[str, str]:
    """Return the variables of this run's broker: Redis where the run has one, else the folder."""
    url = os.environ.get("UNDERCART_BROKER_URL", "")
    return {"UNDERCART_BROKER_URL": url if url.startswith("redis") else ""}


@contextmanager
def worker(installation: Installation, **more: str) -> Iterator[subprocess.Popen[str]]:
    """Run a worker as the service runs it."""
    log = (installation.folder / "worker.log").open("w")
    process = subprocess.Popen(
        [sys.executable, "-m", "celery", "--app=deploy.celery", "worker", "--pool=solo", "--loglevel=error"],
        cwd=settings.BASE_DIR,
        env=installation.environment(**more),
        stdout=log,
        stderr=subprocess.STDOUT,
        text=True,
    )
    try:
        yield process
    finally:
        process.kill()
        process.wait(timeout=30)
        log.close()


def arrived(sink: Sink, count: int, seconds: float = 60.0) -> bool:
    """Wait until so many mails are in."""
    end = time.monotonic() + seconds
    while len(sink.messages) < count and time.monotonic() < end:
        time.sleep(0.1)
    return len(sink.messages) == count


def begun(installation: Installation, seconds: float = 60.0) -> bool:
    """Wait until the worker is inside its task."""
    end = time.monotonic() + seconds
    while not (installation.folder / "began").exists() and time.monotonic() < end:
        time.sleep(0.1)
    return (installation.folder / "began").exists()


def test_a_nudge_makes_a_worker_open_the_alert_and_send_the_mail(
    installation: Installation, broker: dict[str, str]
) -> None:
    port = free_port()
    variables = {**broker, "UNDERCART_MAIL": f"smtp://127.0.0.1:{port}"}
    with running(Sink(), port) as sink, worker(installation, **variables):
        installation.run(CHANGE, **variables)

        assert arrived(sink, 1)
        assert "losing charge (caution)" in sink.messages[0]["Subject"]


def test_a_worker_killed_inside_the_task_loses_nothing_because_the_row_waits(
    installation: Installation, broker: dict[str, str]
) -> None:
    port = free_port()
    variables = {**broker, "UNDERCART_MAIL": f"smtp://127.0.0.1:{port}"}
    with running(Sink(), port) as sink:
        doomed = installation.start(HANG, **variables)
        installation.run(CHANGE, **variables)
        try:
            assert begun(installation)
        finally:
            doomed.kill()
            doomed.communicate(timeout=30)
        assert sink.messages == []

        with worker(installation, **variables):
            installation.run(NUDGE, **variables)
            assert arrived(sink, 1)
            time.sleep(2)
        assert len(sink.messages) == 1
