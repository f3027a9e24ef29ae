"""Letting the database work on connections of its own while this thread does something else."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from typing import TypeVar

from django.db import connection

Result = TypeVar("Result")


@contextmanager
def beside(works: Sequence[Callable[[], Result]], connections: int) -> Iterator[Callable[[], list[Result]]]:
    """Start works on so many more connections; what is yielded waits for them and returns what they do.

    Without more connections, in a transaction (another connection would not see its rows), and on SQLite they are
    done when they are asked for. A fault is told after all are done. Connections come from a pool: take them for a
    sweep, not for what many do at once.
    """
    if not connections or connection.vendor != "postgresql" or connection.in_atomic_block:
        yield lambda: [work() for work in works]
        return
    with ThreadPoolExecutor(connections) as threads:
        started = [threads.submit(_on_own_connection, work) for work in works]
        yield lambda: [one.result() for one in started]


def _on_own_connection(work: Callable[[], Result]) -> Result:
    """Do work in a thread of its own, and give back the connection that it took."""
    try:
        return work()
    finally:
        connection.close()
