"""Several workers on the same changes at the same time: real processes on a real database."""

import time

from tests.installations import Installation, finish
from tests.installations import _migrated as _migrated
from tests.installations import installation as installation

PREPARE = """
from tests.builders.alerts import a_change
from tests.builders.fleet import later
from tests.builders.readings import a_stand
stand = a_stand()
life = [("losing_charge", "caution"), ("losing_charge", "warning"), ("steady", "none")]
print(json.dumps([str(a_change(stand, *found, at=later(minutes=number)).id) for number, found in enumerate(life)]))
"""
WORK = """
import sys, time
from servicing.alerts.handling import handle_change
from tests.builders.fleet import later
time.sleep(max(0.0, {start} - time.time()))
for change_id in {changes}:
    handle_change(change_id=change_id, now=later(hours=1))
"""
# Is overtaken while it draws: after it has read what waits, before its transaction begins.
SLOW = """
import os, pathlib, time
from PIL import Image
save, folder = Image.Image.save, pathlib.Path(os.environ["UNDERCART_DATA_DIR"])
def save_late(*arguments, **options):
    (folder / "drawing").touch()
    while not (folder / "overtaken").exists():
        time.sleep(0.05)
    return save(*arguments, **options)
Image.Image.save = save_late
"""
RESULT = """
from servicing.alerts.models import AlertEvent
from servicing.outbox.models import OutgoingMail
from servicing.reinspection.models import Reinspection
events = AlertEvent.objects.across_operators().order_by("at")
print(json.dumps([
    list(events.values_list("step", flat=True)),
    OutgoingMail.objects.across_operators().count(),
    Reinspection.objects.across_operators().filter(done_at__isnull=True).count(),
]))
"""


def test_workers_that_meet_on_a_part_open_one_alert_and_write_each_mail_once(installation: Installation) -> None:
    changes = installation.run(PREPARE)
    start = time.time() + 4

    workers = [
        installation.start(WORK.format(start=start, changes=order))
        for order in (changes, changes[::-1], changes[2:], changes[:1], changes)
    ]
    for worker in workers:
        finish(worker)

    assert installation.run(RESULT) == [["opened", "raised", "closed"], 3, 0]


def test_a_worker_that_was_overtaken_while_it_drew_changes_nothing(installation: Installation) -> None:
    changes = installation.run(PREPARE)
    slow = installation.start(SLOW + WORK.format(start=0, changes=changes))
    while not (installation.folder / "drawing").exists():
        assert slow.poll() is None
        time.sleep(0.05)

    finish(installation.start(WORK.format(start=0, changes=changes)))
    (installation.folder / "overtaken").touch()
    finish(slow)

    assert installation.run(RESULT) == [["opened", "raised", "closed"], 3, 0]
