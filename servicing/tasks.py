"""What workers do. A task takes ids, may run twice, has a time limit, and leaves everything else to an action."""

import uuid
from collections.abc import Callable, Sequence
from typing import Final, ParamSpec, cast

from celery import shared_task
from django.utils import timezone

from fleet.web.idempotency import forget_expired_answers as forget_answers
from servicing.alerts import following, handling
from servicing.drift import actions as drift
from servicing.exchange import actions as exchange
from servicing.outbox import sending
from servicing.readings import recorrecting
from servicing.reinspection import reviewing
from servicing.work import forgotten

# Below the time after which a broker takes a task for lost and hands it to another worker (deploy.broker).
LONGEST_SECONDS: Final = 600
_Arguments = ParamSpec("_Arguments")


def _task(work: Callable[_Arguments, None]) -> Callable[_Arguments, None]:
    """Make ``servicing.<name>`` of a function."""
    as_task = shared_task(
        name=f"servicing.{work.__name__}",
        time_limit=LONGEST_SECONDS,
        soft_time_limit=LONGEST_SECONDS - 30,
        ignore_result=True,
    )
    return cast("Callable[_Arguments, None]", as_task(work))


@_task
def assess_parts(strut_ids: Sequence[str], tyre_ids: Sequence[str]) -> None:
    """Assess parts that have news, then bring their alerts and looks in line."""
    struts, tyres = [uuid.UUID(part_id) for part_id in strut_ids], [uuid.UUID(part_id) for part_id in tyre_ids]
    now = timezone.now()
    drift.assess_waiting_parts(struts, tyres, now=now)
    following.follow_parts()
    reviewing.review_named_parts(strut_ids=struts, tyre_ids=tyres, now=now)


@_task
def assess_waiting() -> None:
    """Assess whatever has news."""
    drift.sweep(now=timezone.now())


@_task
def nightly_sweep() -> None:
    """Learn, assess whatever has news, then bring every alert and look in line and find overdue readings."""
    now = timezone.now()
    drift.sweep_night(now=now)
    following.follow_parts()
    reviewing.review_all(now=now)


@_task
def review_reinspections() -> None:
    """Bring every look in line and find overdue readings."""
    reviewing.review_all(now=timezone.now())


@_task
def put_aside_forgotten_top_ups() -> None:
    """Write what was done in top-ups that nobody went on with into the history."""
    forgotten.put_aside_forgotten(now=timezone.now())


@_task
def handle_waiting_changes() -> None:
    """Turn changes of finding into alerts, looks and mail."""
    handling.handle_waiting_changes(now=timezone.now())


@_task
def send_waiting_mail() -> None:
    """Send the mail that is due."""
    sending.send_waiting(clock=timezone.now)


@_task
def forget_expired_answers() -> None:
    """Delete answers that no repeated request can ask for any more."""
    forget_answers(now=timezone.now())


@_task
def run_import(import_id: str) -> None:
    """Read and store one file."""
    exchange.run_import(import_id=uuid.UUID(import_id), clock=timezone.now)


@_task
def run_waiting_imports() -> None:
    """Read and store the files that nobody has taken, or whose worker died."""
    exchange.run_waiting_imports(clock=timezone.now)


@_task
def renew_outdated_readings() -> None:
    """Join and correct anew what a change of sheets, installations or homes has outdated."""
    recorrecting.renew_outdated()


@_task
def recorrect_stale_readings() -> None:
    """Look through everything for readings that were corrected with an older sheet."""
    recorrecting.recorrect_all_stale()
