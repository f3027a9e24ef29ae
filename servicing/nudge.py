"""Telling a worker that rows wait. Only a nudge: the rows are the truth, and the schedule finds them anyway."""

import logging
import time
import uuid
from collections.abc import Collection
from functools import partial
from typing import Any, Final

from celery import current_app
from django.db import transaction
from kombu.exceptions import KombuError
from kombu.pools import producers

log = logging.getLogger(__name__)

# After a failure nobody waits for the broker again for this long, so that a broker that is away costs the
# installation one short wait, not one for each request.
REST_SECONDS: Final = 30.0
LONGEST_WAIT_SECONDS: Final = 2.0
# The library tries again for seconds by itself; workers keep to that patience, a request must not.
_ONE_QUICK_TRY: Final = {"max_retries": 1, "interval_start": 0, "interval_step": 0, "interval_max": 0}
# Also a broker that takes the connection and then says nothing must not hold a request up.
_WAITS: Final = {
    "redis": ("socket_connect_timeout", "socket_timeout"),
    "amqp": ("read_timeout", "write_timeout"),
}
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
        with producers[_connection()].acquire(block=True, timeout=LONGEST_WAIT_SECONDS) as producer:
            current_app.send_task(name, args=arguments, producer=producer, ignore_result=True, retry=False)
    except (KombuError, OSError) as error:
        _away_until = time.monotonic() + REST_SECONDS
        log.warning("nudge not sent", extra={"task": name, "error": type(error).__name__})


def _connection() -> Any:
    kind = str(current_app.conf.broker_url or "").partition("://")[0]
    waits = dict.fromkeys(_WAITS.get(kind, ()), LONGEST_WAIT_SECONDS)
    options: dict[str, Any] = {**_ONE_QUICK_TRY, **waits}
    return current_app.connection_for_write(connect_timeout=LONGEST_WAIT_SECONDS, transport_options=options)
