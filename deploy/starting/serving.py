"""The commands ``demo`` and ``serve``: prepare the data, then serve until told to stop."""

import http.client
import time
import urllib.error
import urllib.request
from pathlib import Path

from deploy.starting import services
from deploy.starting.environment import ensure_environment
from deploy.starting.faults import CannotStart, explain_output, last_line
from deploy.starting.folders import empty
from deploy.starting.places import DEMO_DATA, ROOT, VAR, child_environment, demo_environment, environment_program
from deploy.starting.ports import claim
from deploy.starting.single import announce, only_copy
from deploy.starting.supervision import Supervisor, tail
from deploy.starting.voice import VOICE, say

FIRST_PAGE_LIMIT_S = 120.0


def demo(port: int, *, fresh: bool) -> None:
    """Run the main job on the invented club, then go on serving it."""
    with only_copy(DEMO_DATA) as note:
        port = claim(port)
        address = f"http://127.0.0.1:{port}"
        announce(note, address)
        if fresh:
            empty(DEMO_DATA, keep=note)
        ensure_environment("run")
        with Supervisor(demo_environment(port), DEMO_DATA / "log") as supervisor:
            # It takes as long to load as the database to prepare, and nobody else is here yet.
            supervisor.start([services.web("127.0.0.1", port)])
            migrate(supervisor)
            supervisor.start([services.worker(), services.schedule()])
            wait_for_first_page(supervisor, address)
            manage(supervisor, "prepare_demo")
            farewell(address, supervisor)
            supervisor.watch()


def serve(host: str, port: int, workers: int) -> None:
    """Serve a real installation of one machine, set up by environment variables."""
    environment = child_environment() | {"DJANGO_SETTINGS_MODULE": "deploy.settings"}
    data = Path(environment.setdefault("UNDERCART_DATA_DIR", str(VAR / "local")))
    with only_copy(data) as note:
        port = claim(port)
        address = f"http://127.0.0.1:{port}"
        environment.setdefault("UNDERCART_PUBLIC_URL", address)
        announce(note, address)
        ensure_environment("run")
        with Supervisor(environment, data / "log") as supervisor:
            migrate(supervisor)
            supervisor.start([services.web(host, port, workers), services.worker(), services.schedule()])
            wait_for_first_page(supervisor, address)
            farewell(address, supervisor)
            supervisor.watch()


def migrate(supervisor: Supervisor) -> None:
    """Bring the database to the form that this version needs."""
    say("Preparing the database")
    manage(supervisor, "migrate", "--verbosity=0")


def manage(supervisor: Supervisor, *arguments: str) -> None:
    """Run one of Django's commands beside the services."""
    name = arguments[0]
    code = supervisor.run_beside([environment_program("python"), ROOT / "manage.py", *arguments], name)
    if code != 0:
        log = supervisor.log_file(name)
        output = tail(log)
        raise CannotStart(
            explain_output(output, supervisor.log_folder)
            or f"{name} failed (exit code {code}): {last_line(output)} (details: {log})"
        )


def wait_for_first_page(supervisor: Supervisor, address: str) -> None:
    """Wait until the web server answers, and say how long it took."""
    deadline = time.monotonic() + FIRST_PAGE_LIMIT_S
    while not answers(address):
        supervisor.look()
        if time.monotonic() > deadline:
            log = supervisor.log_file("web")
            raise CannotStart(f"the web server does not answer: {last_line(tail(log))} (details: {log})")
        time.sleep(0.1)
    say(f"Serving at {address}  (first page after {VOICE.seconds():.0f} s)")


def answers(address: str) -> bool:
    """Tell whether a web server is there; any answer will do."""
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    try:
        with opener.open(f"{address}/", timeout=5):
            return True
    except urllib.error.HTTPError:
        return True
    except (OSError, http.client.HTTPException):
        return False


def farewell(address: str, supervisor: Supervisor) -> None:
    """Say what goes on from here."""
    say()
    say(f"Undercart answers at {address}  (interactive documentation: {address}/api/v1/docs/)")
    say(f"Logs are in {supervisor.log_folder}. Press Ctrl-C to stop.")
