"""Telling a worker that rows wait. Only a nudge: the rows are the truth, and the schedule finds them anyway."""

import logging
import time
import uuid
from collections.abc import Collection
from functools import partial
from typing import Final

from celery import current_app
from django.db import transaction
from kombu.exceptions import KombuError

log = logging.getLogger(__name__)

# After a failure nobody waits for the broker again for this long, so that a broker that is away costs the
# installation one short wait, not one for each request.
REST_SECONDS: Final = 30.0
_away_until = 0.0


def nudge(task: str, *arguments: str | Collection[uuid.UUID]) -> None:
    """Send ``servicing.<task>`` once the transaction is committed; never fails and never waits for long."""
    plain = [value if isinstance(value, str) else [str(part_id) for part_id in value] for value in arguments]
    transaction.on_commit(partial(_send, f"servicing.{task}", plain), robust=True)


def _send(name: str, arguments: list[str | list[str]]) -> None:
    global _away_until  # one broker per process, so one memory of it
    if time.monotonic() < _away_until:
        return
    try:
        current_app.send_task(name, args=arguments, ignore_result=True, retry=False)
    except (KombuError, OSError) as error:
        _away_until = time.monotonic() + REST_SECONDS
        log.warning("nudge not sent", extra={"task": name, "error": type(error).__name__})
