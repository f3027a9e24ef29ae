"""Where the bootstrap finds and keeps things."""

import os
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LOCKS = ROOT / "deploy" / "locks"
VAR = ROOT / "var"
DEMO_DATA = VAR / "demo"

FOREIGN_TO_CHILDREN = {
    "PYTHONHOME",
    "PYTHONPATH",
    "PYTHONSAFEPATH",
    "PYTHONDONTWRITEBYTECODE",
    "VIRTUAL_ENV",
}
"""Variables of the caller's shell that would bend the project's own environment (or make each start compile anew)."""


def environment_folder() -> Path:
    """Return the folder of the virtual environment."""
    return Path(os.environ.get("UNDERCART_VENV") or ROOT / ".venv").absolute()


def environment_program(name: str) -> Path:
    """Return the path of a program of the virtual environment."""
    return environment_folder() / "bin" / name


def child_environment() -> dict[str, str]:
    """Return the caller's environment variables, less those that would mislead a child process."""
    kept = {name: value for name, value in os.environ.items() if name not in FOREIGN_TO_CHILDREN}
    return kept | {"PYTHONUNBUFFERED": "1", "PYTHONUTF8": "1"}


def demo_environment(port: int) -> dict[str, str]:
    """Return the variables of the demo, which must never reach the data of a real installation."""
    kept = {
        name: value
        for name, value in child_environment().items()
        if name != "DATABASE_URL" and not name.startswith("UNDERCART_")
    }
    return kept | {
        "DJANGO_SETTINGS_MODULE": "deploy.settings",
        "UNDERCART_DATA_DIR": str(DEMO_DATA),
        "UNDERCART_PUBLIC_URL": f"http://127.0.0.1:{port}",
    }
