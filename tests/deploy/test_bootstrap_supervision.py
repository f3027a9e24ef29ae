"""What the supervision starts it keeps running, and it leaves nothing behind however it ends."""

import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from deploy.starting.places import ROOT, child_environment
from deploy.starting.supervision import Service, Supervisor
from tests.deploy.project_copy import processes_of

SCRIPT = """
import sys
from pathlib import Path
sys.path.insert(0, sys.argv[1])
from deploy.starting.places import child_environment
from deploy.starting.processes import StopAsked, watch_for_stop
from deploy.starting.supervision import Service, Supervisor
folder = Path(sys.argv[2])
sleeper = f"import time; open({str(folder)!r} + '/ready', 'a').write('x'); time.sleep(300)"
family = f"import subprocess, sys; subprocess.run([sys.executable, '-c', {sleeper!r}])"
stubborn = "import signal; signal.signal(signal.SIGTERM, signal.SIG_IGN); " + sleeper
watch_for_stop()
try:
    with Supervisor(child_environment(), folder) as supervisor:
        supervisor.start(Service(name, (sys.executable, "-c", globals()[name])) for name in sys.argv[3:])
        supervisor.watch()
except StopAsked:
    print("Stopped.")
"""


def wait_until(holds: Callable[[], bool], limit_s: float = 60.0) -> None:
    """Wait for something that another process does."""
    deadline = time.monotonic() + limit_s
    while not holds():
        assert time.monotonic() < deadline
        time.sleep(0.05)


def start_supervisor(folder: Path, *services: str) -> subprocess.Popen[str]:
    """Start a supervisor of dummy services in a process of its own and wait until all run."""
    command = [sys.executable, "-c", SCRIPT, ROOT, folder, *services]
    supervisor = subprocess.Popen(
        command, env=child_environment(), stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    )
    ready = folder / "ready"
    wait_until(lambda: ready.exists() and len(ready.read_text()) == len(services))
    return supervisor


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT, signal.SIGHUP])
def test_a_stopping_signal_ends_children_and_grandchildren(tmp_path: Path, number: signal.Signals) -> None:
    supervisor = start_supervisor(tmp_path, "sleeper", "family")
    supervisor.send_signal(number)
    output, _ = supervisor.communicate(timeout=60)
    assert (supervisor.returncode, output) == (0, "Stopped.\n")
    assert processes_of(tmp_path) == []


def test_a_child_that_ignores_term_is_forced_to_go(tmp_path: Path) -> None:
    supervisor = start_supervisor(tmp_path, "stubborn")
    supervisor.terminate()
    supervisor.communicate(timeout=60)
    assert processes_of(tmp_path) == []


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux tells a child that its parent died")
def test_no_child_outlives_a_supervisor_that_was_killed(tmp_path: Path) -> None:
    supervisor = start_supervisor(tmp_path, "sleeper")
    supervisor.kill()
    supervisor.communicate(timeout=60)
    wait_until(lambda: processes_of(tmp_path) == [])


def test_a_service_that_stops_is_started_again_after_longer_and_longer_pauses(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code = "print('the disk is missing', flush=True); raise SystemExit(3)"
    with Supervisor(child_environment(), tmp_path) as supervisor:
        supervisor.start([Service("web", (sys.executable, "-c", code))])

        def started_three_times() -> bool:
            supervisor.look()
            return (tmp_path / "web.log").read_text().count("missing") == 3

        wait_until(started_three_times)
        wait_until(lambda: supervisor.look() is None and capsys.readouterr().out.count("in 4 s") == 1)


def test_what_a_service_said_last_is_the_reason_given(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code = "raise SystemExit('no such database')"
    with Supervisor(child_environment(), tmp_path) as supervisor:
        supervisor.start([Service("worker", (sys.executable, "-c", code))])
        supervisor.children["worker"].process.wait()
        supervisor.look()
    expected = "worker stopped (exit code 1: no such database); starting it again in 1 s\n"
    assert expected == capsys.readouterr().out


def test_a_command_runs_beside_the_services_and_gives_its_exit_code(tmp_path: Path) -> None:
    with Supervisor(child_environment(), tmp_path) as supervisor:
        code = supervisor.run_beside([sys.executable, "-c", "raise SystemExit('why it failed')"], "migrate")
    assert code == 1
    assert (tmp_path / "migrate.log").read_text() == "why it failed\n"
