"""Which program installs packages here: a bare machine may have any of them, or none."""

import importlib.util
import os
import shutil
import subprocess
import sys
import sysconfig
from pathlib import Path

from deploy.starting.faults import CannotStart
from deploy.starting.processes import run
from deploy.starting.voice import say

PIP_OPTIONS = (
    "install",
    "--disable-pip-version-check",
    "--no-input",
    # Compiling what is never imported doubles the time; Python compiles the rest on first use.
    "--no-compile",
    "--progress-bar=off",
    "--require-hashes",
    "-r",
)


def bundled_pip() -> Path | None:
    """Return the pip that comes with Python for making environments; it runs from its own archive."""
    folders = []
    found = importlib.util.find_spec("ensurepip")
    if found is not None and found.origin is not None:
        folders.append(Path(found.origin).parent / "_bundled")
    shared = sysconfig.get_config_var("WHEEL_PKG_DIR")
    if shared:
        folders.append(Path(shared))
    archives = [archive for folder in folders for archive in sorted(folder.glob("pip-*.whl"))]
    return archives[0] / "pip" if archives else None


def installed_pip() -> bool:
    """Tell whether this Python has a pip that can install into another environment."""
    answer = subprocess.run(
        [sys.executable, "-m", "pip", "install", "--python", sys.executable, "--help"],
        capture_output=True,
        check=False,
    )
    return answer.returncode == 0


def find_installer(python: Path) -> list[str | Path] | None:
    """Return the command that takes a lock file as its next argument, or None."""
    pip = bundled_pip()
    if pip is not None:
        return [python, pip, *PIP_OPTIONS]
    uv = shutil.which("uv")
    if uv is not None:
        return [uv, "pip", "install", "--python", python, "--require-hashes", "-r"]
    if installed_pip():
        return [sys.executable, "-m", "pip", "--python", python, *PIP_OPTIONS]
    return None


def installer(python: Path) -> list[str | Path]:
    """Return the command that installs a lock file, getting one from Debian's packages as root."""
    found = find_installer(python)
    package = f"python3.{sys.version_info.minor}-venv"
    if found is None and os.geteuid() == 0 and shutil.which("apt-get"):
        say(f"This Python lacks pip; installing Debian's {package}")
        environment = dict(os.environ) | {"DEBIAN_FRONTEND": "noninteractive"}
        quiet = {"environment": environment, "output": subprocess.DEVNULL, "errors": subprocess.DEVNULL}
        run(["apt-get", "update"], **quiet)
        run(["apt-get", "install", "-y", "--no-install-recommends", package], **quiet)
        found = find_installer(python)
    if found is None:
        raise CannotStart(
            f"this Python has no pip to install with; install it (Debian, Ubuntu: apt install {package}) "
            "or put uv on the PATH, then start again"
        )
    return found
