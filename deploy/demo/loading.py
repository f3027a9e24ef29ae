"""Sends the club's files in over HTTP, the way any club would, and waits until the workers have done their part."""

from __future__ import annotations

import json
import time
import urllib.error
import urllib.request
from collections.abc import Callable
from datetime import timedelta
from typing import Any, Final

from django.db.models import F

from servicing.alerts.models import AlertEvent
from servicing.drift.models import FindingChange
from servicing.news.models import PartNews
from servicing.outbox.models import OutgoingMail

# Work goes before readings, so that no assessment sees a top-up's step without the top-up.
ORDER: Final = ("type-sheets", "servicings", "readings", "tyre-readings")
PATIENCE: Final = timedelta(minutes=5)
Say = Callable[[str], None]


class DemoFailedError(RuntimeError):
    """The demo could not be prepared; the message says what to do."""


def send_files(files: dict[str, str], *, address: str, token: str, say: Say) -> None:
    """Import each file, telling how far it is."""
    for kind in ORDER:
        answer = _ask(f"{address}/api/v1/imports?kind={kind}&file_name={kind}.csv", token, files[kind].encode())
        shown = -1
        deadline = time.monotonic() + PATIENCE.total_seconds()
        while answer["state"] in {"waiting", "running"}:
            if time.monotonic() > deadline:
                raise DemoFailedError(f"the import of {kind} did not end in {PATIENCE}; is the worker running?")
            if answer["rows_checked"] != shown:
                shown = answer["rows_checked"]
                say(f"  {kind}: {shown} of {answer['rows_total'] or '?'} rows")
            time.sleep(0.5)
            answer = _ask(f"{address}/api/v1/imports/{answer['id']}", token)
        if answer["state"] != "done":
            raise DemoFailedError(f"the import of {kind} was refused: {answer['faults'][:3]}")
        say(f"  {kind}: {answer['rows_saved']} rows in")


def wait_for_workers(say: Say) -> None:
    """Wait until every part with news is assessed, every change handled and every mail sent."""
    deadline = time.monotonic() + PATIENCE.total_seconds()
    told = ""
    while True:
        waiting = {
            "parts to assess": PartNews.objects.across_operators().filter(arrived__gt=F("assessed")).count(),
            "findings to handle": FindingChange.objects.across_operators().filter(handled_at__isnull=True).count(),
            "letters to send": OutgoingMail.objects.across_operators()
            .filter(sent_at__isnull=True, given_up_at__isnull=True)
            .count(),
        }
        left = ", ".join(f"{count} {what}" for what, count in waiting.items() if count)
        if not left:
            break
        if time.monotonic() > deadline:
            raise DemoFailedError(f"still waiting for {left} after {PATIENCE}; see the worker's log")
        if left != told:
            told = left
            say(f"  the worker has {left}")
        time.sleep(0.3)
    letters = OutgoingMail.objects.across_operators().filter(sent_at__isnull=False).count()
    events = AlertEvent.objects.across_operators().count()
    say(f"  all parts assessed, {events} alert events, {letters} letters sent")


def _ask(address: str, token: str, body: bytes | None = None) -> dict[str, Any]:
    request = urllib.request.Request(  # noqa: S310  # our own service on this machine
        address, data=body, headers={"Authorization": f"Bearer {token}", "Content-Type": "text/csv"}
    )
    try:
        with urllib.request.urlopen(request, timeout=120) as answer:  # noqa: S310
            found: dict[str, Any] = json.load(answer)
            return found
    except urllib.error.HTTPError as error:
        raise DemoFailedError(f"{address} answered {error.code}: {error.read()[:600].decode()}") from error
    except OSError as error:
        raise DemoFailedError(f"{address} does not answer ({error}); is the web server running?") from error
