"""Loads what the first correction of a process needs, so that no person waits for it at the aircraft."""

import gc
from threading import Thread
from typing import Any

from celery.signals import worker_init

from calculations.gas import Gas, table_of


def warm_up() -> None:
    """Tabulate the gases; the property library takes seconds to load."""
    for gas in (Gas.NITROGEN, Gas.AIR):
        table_of(gas)
    # What is loaded by now stays: looking through it for garbage again and again would be a sixth of a sweep.
    gc.freeze()


def warm_up_beside() -> None:
    """Warm up while the process already answers."""
    Thread(target=warm_up, name="warming", daemon=True).start()


@worker_init.connect  # type: ignore[untyped-decorator]  # celery ships no types
def warm_up_worker(**_: Any) -> None:
    """Warm a worker before it takes its first task."""
    warm_up()
