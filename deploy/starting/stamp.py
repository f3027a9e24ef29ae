"""The note inside a virtual environment that says whether it is whole, and for which locks."""

import hashlib
import json
import sys
from pathlib import Path
from typing import Any

from deploy.starting.places import LOCKS

SATISFIES = {"run": ("run",), "test": ("run", "test"), "servers": ("servers",)}
"""The test lock holds all of the run lock, in the same versions."""


def lock_file(lock: str) -> Path:
    """Return the path of a lock file."""
    return LOCKS / f"{lock}.lock"


def lock_digest(lock: str) -> str:
    """Return what changes when the lock file changes."""
    return hashlib.sha256(lock_file(lock).read_bytes()).hexdigest()


def read(environment: Path) -> dict[str, Any] | None:
    """Return the note, or None where there is none that can be read."""
    try:
        note = json.loads((environment / "undercart.json").read_text())
    except (OSError, ValueError):
        return None
    return note if isinstance(note, dict) else None


def write(environment: Path, locks: dict[str, str], *, ready: bool) -> None:
    """Write the note in one step, so that a kill leaves the old one or the new one."""
    note = {
        "ready": ready,
        "python": sys.version,
        "folder": str(environment),
        "locks": locks,
        "contents": contents(environment) if ready else [],
    }
    draft = environment / "undercart.json.new"
    draft.write_text(json.dumps(note, indent=1))
    draft.replace(environment / "undercart.json")


def contents(environment: Path) -> list[str]:
    """Return the names in the folder of installed packages."""
    return sorted(
        path.name
        for folder in environment.glob("lib/python*/site-packages")
        for path in folder.iterdir()
        if path.name != "__pycache__"
    )


def is_whole(environment: Path, note: dict[str, Any] | None) -> bool:
    """Tell whether the environment was finished, by this Python, here, and still has all its packages."""
    return (
        note is not None
        and note.get("ready") is True
        and note.get("python") == sys.version
        and note.get("folder") == str(environment)
        and set(note.get("contents", ["?"])) <= set(contents(environment))
        and (environment / "bin" / "python").exists()
    )


def is_current(note: dict[str, Any] | None, lock: str) -> bool:
    """Tell whether what the lock asks for is installed."""
    return note is not None and note.get("locks", {}).get(lock) == lock_digest(lock)
