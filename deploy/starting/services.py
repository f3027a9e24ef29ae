"""The programs that make up one running installation."""

from deploy.starting.places import environment_program
from deploy.starting.supervision import Service

WEB_THREADS = 4


def web(host: str, port: int, workers: int = 1) -> Service:
    """Return the web server."""
    return Service(
        "web",
        (
            environment_program("granian"),
            "--interface=wsgi",
            f"--host={host}",
            f"--port={port}",
            f"--workers={workers}",
            f"--blocking-threads={WEB_THREADS}",
            "--respawn-failed-workers",
            "--no-ws",
            "deploy.wsgi:application",
        ),
    )


def worker() -> Service:
    """Return the worker; threads, for the folder of messages loses work when a forked child dies."""
    return Service(
        "worker",
        (
            environment_program("celery"),
            "--app=deploy.celery",
            "worker",
            "--pool=threads",
            "--concurrency=2",
            "--loglevel=info",
            "--without-gossip",
            "--without-mingle",
            "--without-heartbeat",
        ),
    )


def schedule() -> Service:
    """Return the schedule, of which there may be only one."""
    return Service(
        "schedule", (environment_program("celery"), "--app=deploy.celery", "beat", "--pidfile=", "--loglevel=info")
    )
