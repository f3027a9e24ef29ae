"""The checks and tests, each a heading, a command and a verdict."""

import difflib
import shutil
import subprocess
import time
import xml.etree.ElementTree as ElementTree
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from deploy.starting.places import ROOT, environment_program
from deploy.starting.processes import run
from deploy.starting.voice import say

SCHEMA = ROOT / "deploy" / "openapi.yaml"
DIFFERENCE_LINES_SHOWN = 60


@dataclass(frozen=True)
class Verdict:
    """How one stage went: a check counts as one test."""

    title: str
    passed: int
    failed: int
    skipped: int
    took_s: float


Counts = tuple[int, int, int]
"""Tests passed, failed and skipped."""


def stage(title: str, work: Callable[[], Counts]) -> Verdict:
    """Run one stage under its heading."""
    say()
    say(f"== {title} " + "=" * max(3, 76 - len(title)))
    began = time.monotonic()
    passed, failed, skipped = work()
    took_s = time.monotonic() - began
    say(f"-- {title}: {'FAILED' if failed else 'passed'} in {took_s:.0f} s")
    return Verdict(title, passed, failed, skipped, took_s)


def check(title: str, *command: str | Path, environment: Mapping[str, str]) -> Verdict:
    """Run a program whose exit code is the verdict."""

    def work() -> Counts:
        code = run(command, environment=environment)
        return (1, 0, 0) if code == 0 else (0, 1, 0)

    return stage(title, work)


def absent(title: str, why: str, *, required: bool) -> Verdict:
    """Report a stage that cannot run here."""

    def work() -> Counts:
        say(why)
        return (0, 1, 0) if required else (0, 0, 1)

    return stage(title, work)


def check_schema(environment: Mapping[str, str], folder: Path) -> Verdict:
    """Compare the committed description of the API with the one that the code gives."""

    def work() -> Counts:
        made = folder / "openapi.yaml"
        command: list[str | Path] = [environment_program("python"), ROOT / "manage.py", "spectacular", "--file", made]
        if run([*command, "--validate", "--fail-on-warn"], environment=environment) != 0:
            return 0, 1, 0
        committed = SCHEMA.read_text().splitlines() if SCHEMA.exists() else []
        new = made.read_text().splitlines()
        if committed == new:
            return 1, 0, 0
        difference = list(
            difflib.unified_diff(committed, new, "deploy/openapi.yaml", "from the code", lineterm="", n=1)
        )
        for line in difference[:DIFFERENCE_LINES_SHOWN]:
            say(line)
        say("deploy/openapi.yaml is out of date; renew it with: manage.py spectacular --file deploy/openapi.yaml")
        return 0, 1, 0

    return stage("API description up to date", work)


def run_pytest(title: str, *arguments: str, environment: Mapping[str, str], folder: Path) -> Verdict:
    """Run tests, two at a time, and count them."""
    command: list[str | Path] = [environment_program("pytest"), "-q", "-n", "2", *arguments]
    return stage(title, lambda: counted(title, command, environment, folder))


def run_pytest_measured(title: str, *arguments: str, environment: Mapping[str, str], folder: Path) -> Verdict:
    """Run tests and count them, and as one more check that they take every branch of what pyproject.toml names."""
    measuring = {**environment, "COVERAGE_FILE": str(folder / "coverage")}
    coverage = environment_program("coverage")

    def work() -> Counts:
        passed, failed, skipped = counted(
            title, (coverage, "run", "-m", "pytest", "-q", *arguments), measuring, folder
        )
        complete = run((coverage, "report"), environment=measuring) == 0
        return passed + complete, failed + (not complete), skipped

    return stage(title, work)


def counted(title: str, command: Sequence[str | Path], environment: Mapping[str, str], folder: Path) -> Counts:
    """Run a command of pytest and return what its report counts."""
    report = folder / f"{title.replace(' ', '-')}.xml"
    code = run([*command, "--junitxml", report], environment=environment)
    passed, failed, skipped = counts_in(report)
    # Collection that broke, or no test at all, is a failure that the report may not show.
    return passed, max(failed, 1) if code != 0 else failed, skipped


def counts_in(report: Path) -> Counts:
    """Return the totals of a report in JUnit's form."""
    if not report.exists():
        return 0, 0, 0
    suites = list(ElementTree.parse(report).iter("testsuite"))  # noqa: S314 - pytest has just written it

    def total(name: str) -> int:
        return sum(int(suite.get(name, "0")) for suite in suites)

    failed = total("failures") + total("errors")
    return total("tests") - failed - total("skipped"), failed, total("skipped")


def browser_is_here() -> bool:
    """Tell whether the machine has the browser and driver that the page tests use."""
    browser = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    return browser is not None and shutil.which("chromedriver") is not None


def revision_of(program: Path) -> str:
    """Return what a program says of its version."""
    return subprocess.run([program, "--version"], capture_output=True, text=True, check=False).stdout.strip()
