"""The bootstrap makes its environment once, notices when it is not whole, and says plainly what is in the way."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

from deploy.starting import stamp
from deploy.starting.environment import explain_failure
from deploy.starting.places import ROOT
from tests.deploy.project_copy import ProjectCopy, copy_project, lend_environment, write_lock


@pytest.fixture
def project(tmp_path: Path) -> ProjectCopy:
    return copy_project(tmp_path)


def imports_small(project: ProjectCopy) -> bool:
    command = [project.folder / ".venv" / "bin" / "python", "-c", "import small"]
    return subprocess.run(command, capture_output=True, check=False).returncode == 0


def assert_one_line(answer: subprocess.CompletedProcess[str], *words: str) -> None:
    assert answer.returncode == 1
    assert len(answer.stderr.strip().splitlines()) == 1, answer.stderr
    assert "Traceback" not in answer.stdout + answer.stderr
    for word in words:
        assert word in answer.stderr


def test_an_old_python_is_told_so_in_one_line() -> None:
    script = ROOT / "deploy" / "bootstrap.py"
    as_old = "import runpy, sys; sys.version_info = (3, 8, 1); runpy.run_path(sys.argv[1], run_name='__main__')"
    answer = subprocess.run([sys.executable, "-c", as_old, script], capture_output=True, text=True, check=False)
    assert_one_line(answer, "this is Python 3.8 and Undercart needs 3.11 or newer", "deploy/bootstrap.py")


def test_an_old_python_can_read_the_file_that_tells_it() -> None:
    text = (ROOT / "deploy" / "bootstrap.py").read_text()
    tree = ast.parse(text, feature_version=(3, 4))
    newer = (ast.JoinedStr, ast.NamedExpr, ast.AnnAssign, ast.FunctionDef, ast.Match, ast.Starred)
    assert [node for node in ast.walk(tree) if isinstance(node, newer)] == []


def test_a_bare_copy_gets_an_environment_with_progress_and_the_next_start_makes_none(project: ProjectCopy) -> None:
    write_lock(project)
    first = project.run("prepare")
    assert first.returncode == 0, first.stderr
    assert "small" in first.stdout
    assert "Environment ready" in first.stdout
    assert imports_small(project)
    second = project.run("prepare")
    assert (second.returncode, second.stdout) == (0, "")


def test_an_environment_left_half_made_is_made_anew(project: ProjectCopy) -> None:
    write_lock(project)
    (project.folder / ".venv" / "lib").mkdir(parents=True)
    stamp.write(project.folder / ".venv", {}, ready=False)
    answer = project.run("prepare")
    assert answer.returncode == 0, answer.stderr
    assert "making it anew" in answer.stdout
    assert imports_small(project)


def test_an_environment_that_lost_a_package_is_made_anew(project: ProjectCopy) -> None:
    write_lock(project)
    project.run("prepare")
    next((project.folder / ".venv").glob("lib/python*/site-packages/small.py")).unlink()
    assert not imports_small(project)
    assert project.run("prepare").returncode == 0
    assert imports_small(project)


def test_a_folder_without_any_note_counts_as_half_made(project: ProjectCopy) -> None:
    write_lock(project)
    (project.folder / ".venv" / "bin").mkdir(parents=True)
    (project.folder / ".venv" / "bin" / "python").write_text("half a file")
    assert project.run("prepare").returncode == 0
    assert imports_small(project)


def test_someones_own_environment_is_completed_not_removed(project: ProjectCopy) -> None:
    write_lock(project)
    folder = project.folder / ".venv"
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", folder], check=True)
    own = next(folder.glob("lib/python*/site-packages")) / "own.py"
    own.write_text("")
    assert project.run("prepare").returncode == 0
    assert imports_small(project)
    assert own.exists()


def test_a_folder_that_is_no_environment_is_never_removed(project: ProjectCopy) -> None:
    write_lock(project)
    precious = project.folder / "precious"
    precious.mkdir()
    (precious / "letters.txt").write_text("keep")
    answer = project.run("prepare", UNDERCART_VENV=str(precious))
    assert_one_line(answer, "is not a virtual environment")
    assert [path.name for path in precious.iterdir()] == ["letters.txt"]


def test_a_changed_lock_is_installed_at_the_next_start(project: ProjectCopy) -> None:
    write_lock(project)
    project.run("prepare")
    lock = project.folder / "deploy" / "locks" / "run.lock"
    lock.write_text("# renewed\n" + lock.read_text())
    assert "Installing" in project.run("prepare").stdout
    assert project.run("prepare").stdout == ""


def test_a_package_that_is_not_the_locked_one_is_refused(project: ProjectCopy) -> None:
    write_lock(project, digest="0" * 64)
    answer = project.run("prepare")
    assert_one_line(answer, "installing the packages failed")
    assert not imports_small(project)
    write_lock(project)
    assert project.run("prepare").returncode == 0


def test_an_index_out_of_reach_is_one_line(project: ProjectCopy) -> None:
    unused = {"PIP_INDEX_URL": "http://127.0.0.1:9/simple", "PIP_RETRIES": "0", "PIP_CONFIG_FILE": "/dev/null"}
    unused |= {"PIP_EXTRA_INDEX_URL": "", "PIP_FIND_LINKS": ""}
    assert_one_line(project.run("prepare", **unused), "the package index could not be reached")


@pytest.mark.parametrize("words", ["[Errno 28] No space left on device", "[Errno 122] Disk quota exceeded"])
def test_a_disk_that_fills_while_installing_is_one_line(words: str) -> None:
    line = explain_failure(f"Collecting numpy\nERROR: Could not install packages: {words}\n", Path("/x"), Path("/y"))
    assert line == "the disk that holds /x is full; free some space there and start again"


def test_a_whole_environment_is_known_by_its_note(project: ProjectCopy) -> None:
    lend_environment(project)
    folder = project.folder / ".venv"
    note = stamp.read(folder)
    assert note is not None
    assert stamp.is_whole(folder, note)
    assert not stamp.is_whole(folder, note | {"python": "2.7"})
    assert not stamp.is_whole(folder, note | {"folder": "/elsewhere"})
    assert not stamp.is_whole(folder, note | {"contents": [*note["contents"], "gone"]})
    (folder / "undercart.json").write_text("{ half")
    assert stamp.read(folder) is None


@pytest.mark.network
def test_the_locked_packages_install_from_the_index_and_run(project: ProjectCopy) -> None:
    answer = project.run("prepare")
    assert answer.returncode == 0, answer.stderr
    check = [project.folder / ".venv" / "bin" / "python", project.folder / "manage.py", "check"]
    result = subprocess.run(check, env=project.environment, capture_output=True, text=True, check=False)
    assert result.returncode == 0, result.stderr
