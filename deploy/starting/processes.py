"""Child processes that never outlive this one."""

import ctypes
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from types import FrameType
from typing import IO, Any

from deploy.starting.places import ROOT, child_environment

STOPPING_SIGNALS = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
PR_SET_PDEATHSIG = 1  # linux/prctl.h
GRACE_S = 8.0
LOOK_EVERY_S = 0.02


class StopAsked(BaseException):
    """Someone pressed Ctrl-C, sent TERM or closed the terminal."""


def raise_stop(number: int, frame: FrameType | None) -> None:
    """Leave whatever runs, through its ``finally`` blocks."""
    for other in STOPPING_SIGNALS:
        signal.signal(other, signal.SIG_IGN)
    raise StopAsked(number)


def watch_for_stop() -> None:
    """Turn the stopping signals into `StopAsked`; a hang-up ignored by nohup stays ignored."""
    for number in STOPPING_SIGNALS:
        if number != signal.SIGHUP or signal.getsignal(number) != signal.SIG_IGN:
            signal.signal(number, raise_stop)


def child_preparation() -> Callable[[], None]:
    """Return what a child does before its program starts.

    The kernel sends TERM to the child when this process dies, even by kill -9.
    """
    parent = os.getpid()
    prctl = ctypes.CDLL(None).prctl if sys.platform == "linux" else None

    def prepare() -> None:
        for number in STOPPING_SIGNALS:
            signal.signal(number, signal.SIG_DFL)
        if prctl is not None:
            prctl(PR_SET_PDEATHSIG, signal.SIGTERM)
            if os.getppid() != parent:
                os._exit(1)

    return prepare


def start(
    command: Sequence[str | Path],
    *,
    environment: Mapping[str, str] | None = None,
    output: int | IO[Any] | None = None,
    errors: int | IO[Any] | None = None,
    user: str | None = None,
    folder: Path = ROOT,
) -> subprocess.Popen[str]:
    """Start a program as the leader of its own process group."""
    return subprocess.Popen(
        [str(part) for part in command],
        cwd=folder,
        env=dict(child_environment() if environment is None else environment),
        stdin=subprocess.DEVNULL,
        stdout=output,
        stderr=errors,
        text=True,
        errors="replace",
        user=user,
        group=user,
        extra_groups=None if user is None else [],
        start_new_session=True,
        preexec_fn=child_preparation(),
    )


def has_ended(process: subprocess.Popen[str]) -> bool:
    """Tell whether a program has ended, without giving its number free.

    Once `Popen.poll` has seen the end, the kernel may give the number to another program, and a signal
    meant for what this one left behind would hit that.
    """
    if process.returncode is not None:
        return True
    try:
        return os.waitid(os.P_PID, process.pid, os.WEXITED | os.WNOWAIT | os.WNOHANG) is not None
    except ChildProcessError:
        return True


def wait_for_end(process: subprocess.Popen[str]) -> None:
    """Wait until a program has ended, without giving its number free."""
    os.waitid(os.P_PID, process.pid, os.WEXITED | os.WNOWAIT)


def signal_group(process: subprocess.Popen[str], number: signal.Signals) -> None:
    """Send a signal to all that the program started."""
    if process.returncode is None:
        with suppress(ProcessLookupError, PermissionError):
            os.killpg(process.pid, number)


def end(processes: Sequence[subprocess.Popen[str]], grace_s: float = GRACE_S) -> None:
    """End programs with all that they started: first asked, after the grace time forced."""
    for process in processes:
        signal_group(process, signal.SIGTERM)
    deadline = time.monotonic() + grace_s
    while not all(has_ended(process) for process in processes) and time.monotonic() < deadline:
        time.sleep(LOOK_EVERY_S)
    # Also where the leader went in good order: what it started may have stayed behind.
    for process in processes:
        signal_group(process, signal.SIGKILL)
        process.wait()


@contextmanager
def running(process: subprocess.Popen[str]) -> Iterator[subprocess.Popen[str]]:
    """Keep a program for the length of a block; it is ended if the block is left early."""
    try:
        yield process
    finally:
        end([process])
        if process.stdout is not None:
            process.stdout.close()


def run(command: Sequence[str | Path], **options: Any) -> int:
    """Run a program to its end and return its exit code."""
    with running(start(command, **options)) as process:
        wait_for_end(process)
    return process.returncode
