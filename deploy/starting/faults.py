"""Faults of the machine, each told in one line that says what to do."""

import errno
import shutil
from pathlib import Path

from deploy.starting.places import ROOT

DISK_FULL_WORDS = ("No space left on device", "database or disk is full", "Disk quota exceeded")
LEAST_ROOM = 2**20
NO_NETWORK_WORDS = (
    "NewConnectionError",
    "Name or service not known",
    "Temporary failure in name resolution",
    "Network is unreachable",
    "ConnectTimeoutError",
    "ProxyError",
    "No matching distribution found",
    "error sending request",
    "dns error",
)


class CannotStart(Exception):  # noqa: N818 - raised as a sentence: "cannot start"
    """Something that the person at the keyboard can put right; the message says how."""


def explain(fault: OSError) -> str:
    """Return one line about a fault of files or sockets."""
    where = Path(str(fault.filename)) if fault.filename else ROOT
    match fault.errno:
        case errno.ENOSPC | errno.EDQUOT:
            return disk_full(where)
        case errno.EACCES | errno.EPERM | errno.EROFS:
            return f"may not write {where}; give this user the right to write there, or copy the project elsewhere"
        case errno.ENOENT:
            return f"{where} is missing; get a complete copy of the project"
    return f"{fault.strerror or fault} ({where})"


def disk_full(where: Path) -> str:
    """Return the line for a disk without room."""
    return f"the disk that holds {where} is full; free some space there and start again"


def explain_output(output: str, where: Path) -> str | None:
    """Return one line when a program failed for want of room on the disk, else None."""
    if any(words in output for words in DISK_FULL_WORDS) or room_left(where) < LEAST_ROOM:
        return disk_full(where)
    return None


def room_left(where: Path) -> int:
    """Return the free bytes: on a full disk the program could not even log what was wrong."""
    try:
        return shutil.disk_usage(where).free
    except OSError:
        return LEAST_ROOM


def last_line(output: str) -> str:
    """Return the last line that says something, which for Python programs names the fault."""
    lines = [line.strip() for line in output.splitlines() if line.strip()]
    return lines[-1][:300] if lines else "no output"
