"""Makes the project's virtual environment, once, and notices when it is not whole."""

import fcntl
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from deploy.starting import stamp
from deploy.starting.faults import NO_NETWORK_WORDS, CannotStart, explain_output, last_line
from deploy.starting.folders import empty
from deploy.starting.installer import installer
from deploy.starting.places import ROOT, VAR, environment_folder
from deploy.starting.processes import running, start, wait_for_end
from deploy.starting.voice import VOICE, say

ROOM_NEEDED_MB = {"run": 400, "test": 1200, "servers": 100}


def ensure_environment(lock: str) -> None:
    """Make the environment hold what the lock says; nothing is done where it already does."""
    folder = environment_folder()
    if is_ready(folder, lock):
        return
    with sole_maker():
        # Another start may just have finished it.
        if is_ready(folder, lock):
            return
        note = stamp.read(folder)
        if not stamp.is_whole(folder, note) and not made_by_hand(folder):
            make(folder)
            note = None
        install(folder, lock, dict(note["locks"]) if note else {})


def is_ready(folder: Path, lock: str) -> bool:
    """Tell whether the environment is whole and has what the lock asks for."""
    note = stamp.read(folder)
    return stamp.is_whole(folder, note) and stamp.is_current(note, lock)


@contextmanager
def sole_maker() -> Iterator[None]:
    """Let one process at a time work on the environment."""
    VAR.mkdir(exist_ok=True)
    with (VAR / "environment.lock").open("w") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            say("Another start is making the environment; waiting for it")
            fcntl.flock(file, fcntl.LOCK_EX)
        yield


def made_by_hand(folder: Path) -> bool:
    """Tell whether someone's own working environment is there, for this Python: it is completed, never removed."""
    python = folder / "bin" / "python"
    if stamp.read(folder) is not None or not (folder / "pyvenv.cfg").exists() or not python.exists():
        return False
    answer = subprocess.run(
        [python, "-c", "import sys; print(sys.version)"], capture_output=True, text=True, check=False
    )
    return answer.stdout.strip() == sys.version.strip()


def make(folder: Path) -> None:
    """Make an empty environment, in place of one that is half made or for another Python."""
    if folder.is_symlink() or folder.is_file():
        folder.unlink()
    if folder.exists():
        ours = folder == ROOT / ".venv" or (folder / "pyvenv.cfg").exists() or stamp.read(folder) is not None
        if any(folder.iterdir()):
            if not ours:
                raise CannotStart(f"{folder} (UNDERCART_VENV) is not a virtual environment; name another folder")
            say(f"The environment in {folder} is incomplete or for another Python: making it anew")
        empty(folder)
    folder.mkdir(parents=True, exist_ok=True)
    check_room(folder, "run")
    stamp.write(folder, {}, ready=False)
    # The Python behind it, should this one be the environment's own.
    base = getattr(sys, "_base_executable", None) or sys.executable
    answer = subprocess.run(
        [base, "-m", "venv", "--without-pip", folder], capture_output=True, text=True, check=False
    )
    if answer.returncode != 0:
        output = answer.stdout + answer.stderr
        raise CannotStart(explain_output(output, folder) or f"Python could not make {folder}: {last_line(output)}")


def install(folder: Path, lock: str, locks: dict[str, str]) -> None:
    """Install a lock file and note that it was finished."""
    check_room(folder, lock)
    command = [*installer(folder / "bin" / "python"), stamp.lock_file(lock)]
    # One package starts a line; its hashes follow indented.
    total = sum(line[:1].isalnum() for line in stamp.lock_file(lock).read_text().splitlines())
    say(f"Installing {total} packages into {folder}")
    # From here until it is finished the environment counts as half made.
    stamp.write(folder, locks, ready=False)
    with running(start(command, output=subprocess.PIPE, errors=subprocess.STDOUT)) as process:
        output = follow(process, total)
        wait_for_end(process)
    log = VAR / "install.log"
    log.write_text(output)
    if process.returncode != 0:
        raise CannotStart(explain_failure(output, folder, log))
    stamp.write(folder, locks | {name: stamp.lock_digest(name) for name in stamp.SATISFIES[lock]}, ready=True)
    say(f"Environment ready after {VOICE.seconds():.0f} s")


def follow(process: subprocess.Popen[str], total: int) -> str:
    """Show the installer's progress and return all that it said."""
    lines = []
    done = 0
    for line in process.stdout or ():
        lines.append(line)
        first, _, rest = line.strip().partition(" ")
        if first == "Ignoring":
            total -= 1
        elif first in {"Collecting", "Processing", "Requirement"}:
            done += 1
            # A name with its version, or the path of a file that lies on this machine.
            VOICE.count(done, total, rest.split()[0].partition("==")[0].rpartition("/")[2])
        elif first == "Installing":
            say("  unpacking them")
    return "".join(lines)


def check_room(folder: Path, lock: str) -> None:
    """Refuse early where the disk cannot hold the packages."""
    free_mb = shutil.disk_usage(folder).free // 2**20
    if free_mb < ROOM_NEEDED_MB[lock]:
        raise CannotStart(
            f"the disk that holds {folder} is nearly full: {free_mb} MB free, {ROOM_NEEDED_MB[lock]} MB needed; "
            "free some space and start again"
        )


def explain_failure(output: str, folder: Path, log: Path) -> str:
    """Return one line about an installation that failed."""
    full = explain_output(output, folder)
    if full is not None:
        return full
    if any(words in output for words in NO_NETWORK_WORDS):
        return (
            "the package index could not be reached; check the network, or the proxy and index that pip is set up "
            f"for, and start again (details: {log})"
        )
    return f"installing the packages failed: {last_line(output)} (details: {log})"
