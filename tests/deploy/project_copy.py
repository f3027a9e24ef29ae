"""A copy of the project in which the bootstrap may do as it likes."""

import shutil
import subprocess
import sys
import zipfile
from base64 import urlsafe_b64encode
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from deploy.starting import stamp
from deploy.starting.places import ROOT, child_environment

COPIED = ("calculations", "deploy", "fleet", "servicing", "manage.py", "pyproject.toml")
NO_CACHES = shutil.ignore_patterns("__pycache__")


@dataclass(frozen=True)
class ProjectCopy:
    """Where the copy lies, and how to start it."""

    folder: Path
    environment: dict[str, str]

    def command(self, *words: str) -> list[str]:
        """Return the command line of a bootstrap command."""
        return [sys.executable, str(self.folder / "deploy" / "bootstrap.py"), *words]

    def run(self, *words: str, before: tuple[str, ...] = (), **variables: str) -> subprocess.CompletedProcess[str]:
        """Run a bootstrap command to its end."""
        return subprocess.run(
            [*before, *self.command(*words)],
            env=self.environment | variables,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            timeout=300,
            check=False,
        )

    def start(self, *words: str) -> subprocess.Popen[str]:
        """Start a bootstrap command that goes on."""
        return subprocess.Popen(
            self.command(*words),
            env=self.environment,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )


def copy_project(folder: Path) -> ProjectCopy:
    """Copy the project, without any environment."""
    for name in COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, folder / name, ignore=NO_CACHES)
        else:
            shutil.copy(source, folder / name)
    kept = {name: value for name, value in child_environment().items() if not name.startswith("UNDERCART_")}
    return ProjectCopy(folder, kept | {"HOME": str(folder)})


def lend_environment(project: ProjectCopy) -> None:
    """Give the copy the environment that runs these tests, as one that its bootstrap finished."""
    folder = project.folder / ".venv"
    folder.mkdir()
    for name in ("bin", "lib", "pyvenv.cfg"):
        (folder / name).symlink_to(Path(sys.prefix) / name)
    stamp.write(folder, {lock: stamp.lock_digest(lock) for lock in ("run", "test")}, ready=True)


def write_lock(project: ProjectCopy, *, digest: str | None = None) -> None:
    """Replace the copy's locks by one small package that lies beside them, so that no index is needed."""
    wheel = project.folder / "small-1-py3-none-any.whl"
    files = {
        "small.py": "SIZE = 1\n",
        "small-1.dist-info/METADATA": "Metadata-Version: 2.1\nName: small\nVersion: 1\n",
        "small-1.dist-info/WHEEL": "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
    }
    record = [
        f"{name},sha256={urlsafe_b64encode(sha256(text.encode()).digest()).rstrip(b'=').decode()},{len(text)}"
        for name, text in files.items()
    ]
    with zipfile.ZipFile(wheel, "w") as archive:
        for name, text in files.items():
            archive.writestr(name, text)
        archive.writestr("small-1.dist-info/RECORD", "\n".join([*record, "small-1.dist-info/RECORD,,"]))
    digest = digest or sha256(wheel.read_bytes()).hexdigest()
    line = f"small @ {wheel.as_uri()} --hash=sha256:{digest}\n"
    for lock in ("run", "test"):
        (project.folder / "deploy" / "locks" / f"{lock}.lock").write_text(line)


def processes_of(folder: Path) -> list[str]:
    """Return the command lines of processes that have to do with the folder."""
    found = []
    for path in Path("/proc").glob("[0-9]*"):
        try:
            command = (path / "cmdline").read_bytes().replace(b"\0", b" ").decode()
            environment = (path / "environ").read_bytes().decode(errors="replace")
        except OSError:
            continue
        if command and (str(folder) in command or f"={folder}" in environment):
            found.append(command)
    return found
