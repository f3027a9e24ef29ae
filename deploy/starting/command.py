"""The command line of the bootstrap, and its promise: a fault is one line and exit code 1, never a traceback."""

import argparse
import sys
import traceback
from collections.abc import Sequence

from deploy.starting.checking import check_everything
from deploy.starting.environment import ensure_environment
from deploy.starting.faults import CannotStart, explain
from deploy.starting.places import VAR
from deploy.starting.processes import StopAsked, watch_for_stop
from deploy.starting.serving import demo, serve
from deploy.starting.voice import say


def arguments_of(words: Sequence[str]) -> argparse.Namespace:
    """Return what the command line asks for."""
    parser = argparse.ArgumentParser(prog="python3 deploy/bootstrap.py", description="Start or test Undercart.")
    commands = parser.add_subparsers(dest="command", required=True)

    shown = commands.add_parser("demo", help="load an invented club, run the main job on it and serve it")
    shown.add_argument("--port", type=port_number, default=8000, help="port to serve on, 0 for any (default 8000)")
    shown.add_argument("--fresh", action="store_true", help="remove the data of earlier demos (var/demo) first")

    served = commands.add_parser("serve", help="serve your own club from this machine")
    served.add_argument("--host", default="127.0.0.1", help="address to listen on (default 127.0.0.1)")
    served.add_argument("--port", type=port_number, default=8000, help="port to serve on (default 8000)")
    served.add_argument("--workers", type=int, default=1, help="processes of the web server (default 1)")

    commands.add_parser("prepare", help="only make the environment, as the container and service files need it")

    tested = commands.add_parser("test", help="run every check and test")
    tested.add_argument(
        "--require-servers", action="store_true", help="fail where PostgreSQL, Redis or the browser is missing"
    )
    return parser.parse_args(words)


def port_number(text: str) -> int:
    """Return a port number."""
    number = int(text)
    if not 0 <= number <= 65535:
        raise argparse.ArgumentTypeError(f"{number} is no port; use 1024 to 65535")
    return number


def perform(options: argparse.Namespace) -> int:
    """Do one command; demo and serve go on until someone asks them to stop."""
    match options.command:
        case "demo":
            demo(options.port, fresh=options.fresh)
        case "serve":
            serve(options.host, options.port, options.workers)
        case "prepare":
            ensure_environment("run")
        case "test":
            return check_everything(require_servers=options.require_servers)
    return 0


def main(words: Sequence[str]) -> int:
    """Do what the command line asks for and return the exit code."""
    options = arguments_of(words)
    watch_for_stop()
    try:
        return perform(options)
    except StopAsked:
        say("Stopped.")
        return 130 if options.command == "test" else 0
    except CannotStart as fault:
        return complain(str(fault))
    except OSError as fault:
        return complain(explain(fault))
    except Exception as fault:
        return complain(f"{type(fault).__name__}: {fault}{kept_details()}")


def complain(line: str) -> int:
    """Tell the person what is in the way."""
    say()
    print(f"undercart: {line}", file=sys.stderr, flush=True)
    return 1


def kept_details() -> str:
    """Keep the traceback of a fault that nobody foresaw, and say where."""
    try:
        VAR.mkdir(exist_ok=True)
        (VAR / "bootstrap-fault.txt").write_text(traceback.format_exc())
    except OSError:
        return ""
    return f" (please report it with {VAR / 'bootstrap-fault.txt'})"
