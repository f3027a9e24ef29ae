"""Keeps web server, worker and schedule running together, and ends them together."""

import subprocess
import time
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import NoReturn

from deploy.starting.faults import last_line
from deploy.starting.processes import end, has_ended, running, start
from deploy.starting.voice import say

FIRST_PAUSE_S = 1.0
LONGEST_PAUSE_S = 30.0
HEALTHY_AFTER_S = 60.0
LOOK_EVERY_S = 0.2
LOG_TAIL_BYTES = 4000


@dataclass(frozen=True)
class Service:
    """One program that must always run."""

    name: str
    command: tuple[str | Path, ...]


@dataclass
class Child:
    """The running program of a service and how it fared."""

    service: Service
    process: subprocess.Popen[str]
    started_at: float
    pause_s: float = FIRST_PAUSE_S
    due_at: float | None = None


@dataclass
class Supervisor:
    """Starts services, restarts those that stop, and leaves none behind."""

    environment: Mapping[str, str]
    log_folder: Path
    children: dict[str, Child] = field(default_factory=dict)

    def __enter__(self) -> "Supervisor":
        self.log_folder.mkdir(parents=True, exist_ok=True)
        return self

    def __exit__(self, *fault: object) -> None:
        end([child.process for child in self.children.values()])

    def start(self, services: Iterable[Service]) -> None:
        """Start services."""
        for service in services:
            keep_one_old(self.log_file(service.name))
            self.children[service.name] = Child(service, self.launch(service), time.monotonic())

    def launch(self, service: Service) -> subprocess.Popen[str]:
        """Start one program; what it says goes to its log."""
        with self.log_file(service.name).open("a") as log:
            return start(service.command, environment=self.environment, output=log, errors=subprocess.STDOUT)

    def log_file(self, name: str) -> Path:
        """Return where a program's output goes."""
        return self.log_folder / f"{name}.log"

    def look(self) -> None:
        """Restart what stopped, each time after a longer pause."""
        now = time.monotonic()
        for child in self.children.values():
            if child.due_at is not None:
                if now >= child.due_at:
                    child.process, child.started_at, child.due_at = self.launch(child.service), now, None
            elif has_ended(child.process):
                # What the leader left behind would hold its port or its files.
                end([child.process], grace_s=1.0)
                if now - child.started_at > HEALTHY_AFTER_S:
                    child.pause_s = FIRST_PAUSE_S
                child.due_at = now + child.pause_s
                say(
                    f"{child.service.name} stopped ({self.reason(child)}); starting it again in {child.pause_s:.0f} s"
                )
                child.pause_s = min(2 * child.pause_s, LONGEST_PAUSE_S)

    def reason(self, child: Child) -> str:
        """Return how a program ended and the last that it said."""
        return f"exit code {child.process.returncode}: {last_line(tail(self.log_file(child.service.name)))}"

    def watch(self) -> NoReturn:
        """Look after the services until someone asks to stop."""
        while True:
            self.look()
            time.sleep(LOOK_EVERY_S)

    def run_beside(self, command: Iterable[str | Path], name: str) -> int:
        """Run a command to its end while the services go on; it speaks to the terminal, its faults go to a log."""
        with (
            self.log_file(name).open("w") as log,
            running(start(tuple(command), environment=self.environment, errors=log)) as process,
        ):
            while not has_ended(process):
                self.look()
                time.sleep(LOOK_EVERY_S / 4)
        return process.returncode


def keep_one_old(log: Path) -> None:
    """Set the log of the last start aside, so that logs do not grow for ever."""
    if log.exists():
        log.replace(log.with_suffix(".old.log"))


def tail(log: Path) -> str:
    """Return the end of a log."""
    with log.open("rb") as file:
        file.seek(max(0, log.stat().st_size - LOG_TAIL_BYTES))
        return file.read().decode(errors="replace")
