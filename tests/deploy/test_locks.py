"""The lock files hold what the project asks for, every package pinned and hashed, and nothing about the machine."""

import re
import tomllib

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from packaging.version import Version

from deploy.starting.places import LOCKS, ROOT

PIN = re.compile(r"^(?P<name>[A-Za-z0-9._-]+)==(?P<version>[^ ;]+)", re.MULTILINE)


def pins(lock: str) -> dict[str, set[Version]]:
    """Return the pinned versions of each package; a package may have one for each Python."""
    found: dict[str, set[Version]] = {}
    for match in PIN.finditer((LOCKS / f"{lock}.lock").read_text()):
        found.setdefault(canonicalize_name(match["name"]), set()).add(Version(match["version"]))
    return found


def asked_for(lock: str) -> list[Requirement]:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    words = project["dependencies"] + (project["optional-dependencies"]["test"] if lock == "test" else [])
    return [Requirement(word) for word in words]


@pytest.mark.parametrize("lock", ["run", "test"])
def test_a_lock_pins_every_dependency_within_its_bounds(lock: str) -> None:
    pinned = pins(lock)
    wrong = [
        str(requirement)
        for requirement in asked_for(lock)
        if not pinned.get(canonicalize_name(requirement.name))
        or not all(requirement.specifier.contains(version) for version in pinned[canonicalize_name(requirement.name)])
    ]
    assert wrong == []


def test_the_test_lock_holds_the_run_lock_in_the_same_versions() -> None:
    tested = pins("test")
    assert {name: versions for name, versions in pins("run").items() if tested.get(name) != versions} == {}


@pytest.mark.parametrize("lock", ["run", "test", "servers"])
def test_a_lock_names_no_host_and_no_folder_and_hashes_every_package(lock: str) -> None:
    text = (LOCKS / f"{lock}.lock").read_text()
    assert re.findall(r"https?://|file:|--index|--find-links|#.*/", text) == []
    blocks = re.split(r"\n(?=[A-Za-z0-9])", text.strip())
    assert [block.splitlines()[0] for block in blocks if "--hash=sha256:" not in block] == []


def test_the_run_lock_leaves_out_what_only_tests_need() -> None:
    assert pins("run").keys() & {"scipy", "statsmodels", "pandas", "pytest", "mypy", "selenium"} == set()
