"""CSV files for tests."""

from collections.abc import Iterable
from typing import Any

from fleet.people.actor import Actor
from servicing.exchange.actions import run_import, start_import
from servicing.exchange.models import Import
from tests.builders.fleet import NOW

READINGS_HEADER = "aircraft,leg,taken_at,extension [in],temperature [degF],fuel [lb],exercised"


def a_file(header: str, rows: Iterable[str]) -> bytes:
    """Return the bytes of a file."""
    return "\n".join([header, *rows, ""]).encode()


def imported(actor: Actor, kind: str, content: bytes, **settings: Any) -> Import:
    """Take a file in by the actions themselves and return what became of it."""
    started = start_import(actor=actor, now=NOW, kind=kind, content=content, **settings)
    assert run_import(import_id=started.id, clock=lambda: NOW)
    return Import.objects.of(actor.operator_id).get(pk=started.id)


def faults_of(done: Import) -> list[tuple[int, str, str]]:
    """Return the faults of an import, short."""
    return [(fault["row"], fault["field"], fault["code"]) for fault in done.faults]
