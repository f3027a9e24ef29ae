"""Taking a file in. The row is the truth: whoever claims it reads the file from the start, and stores all at once.

A worker that dies leaves a claim that runs out; the next one begins again, and since everything is stored in
the transaction that ends the import, nothing is ever stored twice or by half. A file on which several workers
died is given up.
"""

from __future__ import annotations

import hashlib
import uuid
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any, Final

from django.db import IntegrityError, transaction
from django.db.models import F, Q

from calculations.errors import CalculationError
from fleet.audit.actions import record_change
from fleet.people.actor import Actor
from fleet.people.models import Role, Scope
from fleet.refusals import FieldFault, Refused
from servicing.exchange.cells import read_rows
from servicing.exchange.csv_file import open_file
from servicing.exchange.fleet_rows import FleetRows
from servicing.exchange.importing import Importer, RowFault
from servicing.exchange.models import Import, ImportKind, ImportState
from servicing.exchange.reading_rows import StrutReadingRows, TyreReadingRows
from servicing.exchange.work_rows import ServicingRows, UsageRows
from servicing.nudge import nudge

Clock = Callable[[], datetime]

IMPORTERS: Final[dict[str, type[Importer]]] = {
    ImportKind.READINGS: StrutReadingRows,
    ImportKind.TYRE_READINGS: TyreReadingRows,
    ImportKind.SERVICINGS: ServicingRows,
    ImportKind.USAGE: UsageRows,
    ImportKind.TYPE_SHEETS: FleetRows,
}
LONG_FILE_ROWS: Final = 2000  # more than that a worker takes, with its progress to be seen
MOST_ROWS: Final = 250_000
KEPT_FAULTS: Final = 1000
CLAIM_LASTS: Final = timedelta(seconds=90)
MOST_ATTEMPTS: Final = 3
_ROWS_BETWEEN_SIGNS_OF_LIFE: Final = 5000


class ClaimLostError(RuntimeError):
    """Another worker has taken the import over; this one's work must not stay."""


def start_import(
    *,
    actor: Actor,
    now: datetime,
    kind: str,
    content: bytes,
    file_name: str = "",
    dry_run: bool = False,
    keep_good_rows: bool = False,
) -> Import:
    """Keep a file whose header is right for its kind, to be read by `run_import`; a long one by a worker."""
    importer = IMPORTERS[kind]
    actor.require(importer.role, importer.scope)
    file = open_file(content, importer.columns)
    rows = file.count_rows()
    if rows > MOST_ROWS:
        message = f"about {rows} rows; at most {MOST_ROWS}: send the file in parts"
        raise Refused(message, code="bad_file", faults=[FieldFault("file", "too_many_rows", message)])
    with transaction.atomic():
        started = Import.objects.create(
            operator_id=actor.operator_id,
            kind=kind,
            file_name=file_name[:200],
            digest=hashlib.sha256(content).hexdigest(),
            content=content,
            dry_run=dry_run,
            keep_good_rows=keep_good_rows,
            person_id=actor.person_id,
            created_at=now,
            rows_total=rows,
        )
        if is_long(started):
            nudge("run_import", str(started.id))
    return started


def is_long(started: Import) -> bool:
    """Say whether an import is a worker's."""
    return started.rows_total > LONG_FILE_ROWS


def run_import(*, import_id: uuid.UUID, operator_id: uuid.UUID | None = None, clock: Clock) -> bool:
    """Read, check and store one waiting file; False when it is done or someone else has it."""
    claim = _claim(import_id, operator_id, clock)
    if claim is None:
        return False
    importer = IMPORTERS[claim.row.kind](claim.row.operator_id, clock())
    rows = 0
    for row in read_rows(open_file(bytes(claim.row.content or b""), importer.columns)):
        importer.take(row)
        rows += 1
        if rows % _ROWS_BETWEEN_SIGNS_OF_LIFE == 0:
            claim.show_life(rows)
    claim.show_life(rows)
    importer.check()
    try:
        with transaction.atomic():
            claim.end(importer, rows)
    except (Refused, CalculationError, IntegrityError) as error:
        # Something changed between the look and the deed, such as a part taken off meanwhile.
        importer.fault(1, "file", "changed_meanwhile", f"could not be stored: {error}; send the file again")
        with transaction.atomic():
            claim.end(importer, rows, stored=False)
    return True


def run_waiting_imports(*, clock: Clock, limit: int = 20) -> int:
    """Run whatever waits or was left by a dead worker; for the schedule, because a nudge may be lost."""
    waiting = _claimable(Import.objects.across_operators(), clock()).order_by("created_at")
    return sum(
        run_import(import_id=import_id, clock=clock) for import_id in waiting.values_list("id", flat=True)[:limit]
    )


def _claimable(rows: Any, now: datetime) -> Any:
    free = Q(claimed_until__isnull=True) | Q(claimed_until__lt=now)
    return rows.filter(free, state__in=(ImportState.WAITING, ImportState.RUNNING))


def _claim(import_id: uuid.UUID, operator_id: uuid.UUID | None, clock: Clock) -> _Claim | None:
    now = clock()
    until = now + CLAIM_LASTS
    rows = Import.objects.of(operator_id) if operator_id else Import.objects.across_operators()
    free = _claimable(rows.filter(pk=import_id), now)
    free.filter(attempts__gte=MOST_ATTEMPTS).update(**_given_up(now))
    if not free.update(state=ImportState.RUNNING, claimed_until=until, rows_checked=0, attempts=F("attempts") + 1):
        return None
    return _Claim(rows.get(pk=import_id), until, clock)


def _given_up(now: datetime) -> dict[str, Any]:
    message = (
        f"reading this file failed {MOST_ATTEMPTS} times by a fault of the service, which is in its log; nothing was "
        "stored. Send it in smaller parts, and tell whoever runs the service"
    )
    fault = _as_json((1, FieldFault("file", "import_failed", message)))
    return {
        "state": ImportState.FAILED,
        "finished_at": now,
        "claimed_until": None,
        "content": None,
        "faults_total": 1,
        "faults": [fault],
    }


class _Claim:
    """One worker's hold on an import, renewed by compare-and-set."""

    def __init__(self, row: Import, until: datetime, clock: Clock) -> None:
        self.row = row
        self._until = until
        self._clock = clock

    def show_life(self, rows_checked: int) -> None:
        """Say how far the reading is and hold the claim for longer."""
        until = self._clock() + CLAIM_LASTS
        self._update(claimed_until=until, rows_checked=rows_checked)
        self._until = until

    def end(self, importer: Importer, rows: int, *, stored: bool = True) -> None:
        """Store what may be stored and close the import, in one transaction; or close it as refused."""
        faults = sorted(importer.faults, key=lambda fault: fault[0])
        dry_run = self.row.dry_run
        refused = not stored or (bool(faults) and not self.row.keep_good_rows and not dry_run)
        # First the row, so that of two workers only one gets to store anything.
        self._update(
            state=ImportState.REFUSED if refused else ImportState.DONE,
            finished_at=self._clock(),
            claimed_until=None,
            content=None,
            rows_total=rows,
            rows_checked=rows,
            faults_total=len(faults),
            faults=[_as_json(fault) for fault in faults[:KEPT_FAULTS]],
            notes=importer.notes,
        )
        if refused:
            return
        counted = importer.count() if dry_run else importer.save(self._actor())
        self._rows().update(rows_saved=0 if dry_run else counted.saved, rows_known=counted.known)
        if not dry_run:
            self._note(counted.saved, counted.known)

    def _actor(self) -> Actor:
        # The person's right was looked at when the file came in.
        return Actor(self.row.operator_id, self.row.person_id, None, Role.COORDINATOR, frozenset(Scope.values))

    def _note(self, saved: int, known: int) -> None:
        record_change(
            actor=self._actor(),
            action=f"{self.row.kind} imported",
            subject_kind="import",
            subject_id=self.row.id,
            now=self._clock(),
            after={"file": self.row.file_name, "sha256": self.row.digest, "saved": saved, "known": known},
        )

    def _rows(self) -> Any:
        return Import.objects.of(self.row.operator_id).filter(pk=self.row.pk)

    def _update(self, **values: Any) -> None:
        if not self._rows().filter(state=ImportState.RUNNING, claimed_until=self._until).update(**values):
            raise ClaimLostError(f"import {self.row.pk}")


def _as_json(fault: RowFault) -> dict[str, Any]:
    number, found = fault
    return {"row": number, "field": found.field, "code": found.code, "message": found.message}
