"""Installations of their own for tests that need several processes: a data folder and a migrated database."""

import json
import os
import shutil
import subprocess
import sys
import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings

_MIGRATE = "from django.core.management import call_command\ncall_command('migrate', verbosity=0)\n"
_BEGIN = "import json\nimport django\ndjango.setup()\n"


class Installation:
    """One installation, whose processes the test starts itself."""

    def __init__(self, folder: Path, database_url: str) -> None:
        self.folder = folder
        self.database_url = database_url

    def environment(self, **more: str) -> dict[str, str]:
        """Return the variables that make a process part of this installation."""
        return {
            **{name: value for name, value in os.environ.items() if not name.startswith("UNDERCART_")},
            "DJANGO_SETTINGS_MODULE": "deploy.settings",
            "UNDERCART_DATA_DIR": str(self.folder),
            "UNDERCART_BROKER_URL": "memory://",
            "DATABASE_URL": self.database_url,
            **more,
        }

    def start(self, source: str, **more: str) -> subprocess.Popen[str]:
        """Start a process that runs ``source`` after Django is ready."""
        return subprocess.Popen(
            [sys.executable, "-c", _BEGIN + source],
            cwd=settings.BASE_DIR,
            env=self.environment(**more),
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    def run(self, source: str, **more: str) -> Any:
        """Run ``source`` to its end and return what it printed last, read as JSON."""
        return finish(self.start(source, **more))


def finish(process: subprocess.Popen[str]) -> Any:
    """Wait for a process and return what it printed last, read as JSON."""
    out, err = process.communicate(timeout=120)
    assert process.returncode == 0, err
    return json.loads(out.splitlines()[-1]) if out.strip() else None


@pytest.fixture(scope="session")
def _migrated(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Yield the address of a database that only gets copied."""
    url = os.environ.get("DATABASE_URL", "")
    if url.startswith("postgres"):
        server, name = url.rpartition("/")[0], f"template_{uuid.uuid4().hex[:12]}"
        _on_server(url, f'CREATE DATABASE "{name}"')
        template = f"{server}/{name}"
    else:
        template = f"sqlite:///{tmp_path_factory.mktemp('template') / 'undercart.sqlite3'}"
    folder = tmp_path_factory.mktemp("template-data")
    Installation(folder, template).run(
        "from django.core.management import call_command\ncall_command('migrate', verbosity=0)"
    )
    yield template
    if template.startswith("postgres"):
        _on_server(url, f'DROP DATABASE "{template.rpartition("/")[2]}" WITH (FORCE)')


@pytest.fixture
def installation(_migrated: str, tmp_path: Path) -> Iterator[Installation]:
    """Yield an installation with an empty database of the kind that this test run uses."""
    if _migrated.startswith("postgres"):
        server, template = _migrated.rpartition("/")[0], _migrated.rpartition("/")[2]
        name = f"installation_{uuid.uuid4().hex[:12]}"
        _on_server(_migrated, f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
        yield Installation(tmp_path, f"{server}/{name}")
        _on_server(_migrated, f'DROP DATABASE "{name}" WITH (FORCE)')
    else:
        shutil.copy(_migrated.removeprefix("sqlite:///"), tmp_path / "undercart.sqlite3")
        yield Installation(tmp_path, f"sqlite:///{tmp_path / 'undercart.sqlite3'}")


def _on_server(url: str, statement: str) -> None:
    import psycopg  # only where there is a server

    with psycopg.connect(url.rpartition("/")[0] + "/postgres", autocommit=True) as connection:
        connection.execute(statement)  # type: ignore[call-overload]  # names made above, nothing from outside
