"""The demo runs the main job and serves it; what stands in its way is one line, never a traceback."""

import json
import os
import shutil
import signal
import socket
import subprocess
import urllib.request
from pathlib import Path

import pytest

from deploy.starting.places import ROOT
from deploy.starting.single import announce, only_copy
from tests.deploy.project_copy import ProjectCopy, copy_project, lend_environment, processes_of


@pytest.fixture
def project(tmp_path: Path) -> ProjectCopy:
    project = copy_project(tmp_path)
    lend_environment(project)
    return project


def assert_one_line(answer: subprocess.CompletedProcess[str], *words: str) -> None:
    assert answer.returncode == 1, answer.stdout
    assert len(answer.stderr.strip().splitlines()) == 1, answer.stderr
    assert "Traceback" not in answer.stdout + answer.stderr
    for word in words:
        assert word in answer.stderr


def output_until(process: subprocess.Popen[str], words: str) -> str:
    """Return what the process printed up to a line with these words."""
    lines = []
    for line in process.stdout or ():
        lines.append(line)
        if words in line:
            return "".join(lines)
    raise AssertionError("".join(lines))


def in_mount(script: str) -> tuple[str, ...]:
    """Return words before a command that let it see a file system prepared for it alone."""
    own = ["unshare", "--mount"] if os.geteuid() == 0 else ["unshare", "--mount", "--map-root-user"]
    allowed = subprocess.run([*own, "mount", "-t", "tmpfs", "none", "/mnt"], capture_output=True, check=False)
    if allowed.returncode != 0:
        pytest.skip("this machine lets nobody mount a file system")
    return (*own, "sh", "-c", f'{script} && exec "$@"', "sh")


@pytest.fixture
def demo(project: ProjectCopy) -> ProjectCopy:
    return project


def test_the_demo_serves_until_term_and_leaves_no_process_behind(demo: ProjectCopy) -> None:
    process = demo.start("demo", "--port", "0")
    try:
        output = output_until(process, "Press Ctrl-C")
        address = next(word for word in output.split() if word.startswith("http://127.0.0.1:"))
        with urllib.request.urlopen(f"{address}/", timeout=10) as page:
            assert page.status == 200
        second = demo.run("demo")
        assert_one_line(second, "already running", address, str(process.pid))
        mails = list((demo.folder / "var" / "demo" / "mail").glob("*.eml"))
        assert mails
        assert all(path.parent.name == "demo" for path in (demo.folder / "var").glob("*/*") if path.is_file())
    finally:
        process.send_signal(signal.SIGTERM)
        rest, _ = process.communicate(timeout=60)
    assert process.returncode == 0
    assert rest.rstrip().endswith("Stopped.")
    assert processes_of(demo.folder) == []

    again = demo.start("demo", "--port", "0")
    try:
        output_until(again, "Press Ctrl-C")
        assert sorted((demo.folder / "var" / "demo" / "mail").glob("*.eml")) == sorted(mails)
    finally:
        again.send_signal(signal.SIGINT)
        again.communicate(timeout=60)
    assert processes_of(demo.folder) == []


def test_a_taken_port_is_one_line_with_a_free_one(project: ProjectCopy) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        assert_one_line(project.run("demo", "--port", str(port)), f"port {port} is taken", "--port")


def test_a_second_copy_is_told_where_the_first_one_is(project: ProjectCopy) -> None:
    with only_copy(project.folder / "var" / "demo") as note:
        announce(note, "http://127.0.0.1:8123")
        answer = project.run("demo", "--port", "0", "--fresh")
    assert_one_line(answer, "already running at http://127.0.0.1:8123", f"process {os.getpid()}")


def test_a_full_disk_is_one_line(project: ProjectCopy) -> None:
    data = project.folder / "var"
    data.mkdir()
    small_disk = in_mount(f"mount -t tmpfs -o size=200k none {data}")
    assert_one_line(project.run("demo", "--port", "0", before=small_disk), "is full", "free some space")


def test_a_disk_too_small_for_the_packages_is_one_line(project: ProjectCopy) -> None:
    shutil.rmtree(project.folder / ".venv")
    (project.folder / ".venv").mkdir()
    small_disk = in_mount(f"mount -t tmpfs -o size=50m none {project.folder / '.venv'}")
    assert_one_line(project.run("prepare", before=small_disk), "nearly full", "free some space")


def test_a_folder_that_may_not_be_written_is_one_line(project: ProjectCopy) -> None:
    read_only = in_mount(
        f"mount --bind {project.folder} {project.folder} && mount -o remount,ro,bind {project.folder}"
    )
    assert_one_line(project.run("demo", "--port", "0", before=read_only), "may not write")


def test_a_database_that_is_none_is_one_line(project: ProjectCopy) -> None:
    data = project.folder / "var" / "demo"
    data.mkdir(parents=True)
    (data / "undercart.sqlite3").write_text("not a database " * 100)
    assert_one_line(project.run("demo", "--port", "0"), "migrate failed", "file is not a database")


def test_the_demo_keeps_off_the_data_of_a_real_installation() -> None:
    code = (
        "import json; from deploy.starting.places import demo_environment; print(json.dumps(demo_environment(8000)))"
    )
    real = {"DATABASE_URL": "postgresql://real", "UNDERCART_MAIL": "smtp://real", "PATH": os.environ["PATH"]}
    answer = subprocess.run(["python3", "-c", code], env=real, cwd=ROOT, capture_output=True, text=True, check=True)
    assert "real" not in answer.stdout
    assert json.loads(answer.stdout)["UNDERCART_DATA_DIR"].endswith("/var/demo")
