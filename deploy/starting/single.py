"""One copy at a time on one folder of data."""

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from deploy.starting.faults import CannotStart


@contextmanager
def only_copy(data: Path) -> Iterator[Path]:
    """Hold the folder of data for this process; the kernel lets go of it however the process ends."""
    data.mkdir(parents=True, exist_ok=True)
    path = data / "running"
    with path.open("a+") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            file.seek(0)
            process, _, address = file.read().strip().partition(" ")
            raise CannotStart(
                f"it is already running at {address or 'its address'} (process {process or 'unknown'}); "
                f"use that one, or end it with: kill {process}"
            ) from None
        yield path


def announce(path: Path, address: str) -> None:
    """Note for a second copy who runs here and where."""
    path.write_text(f"{os.getpid()} {address}\n")
