"""Rules for every test: the network is this machine only, and no two processes share a broker or a cache."""

import os

from django.conf import settings
from pytest_socket import socket_allow_hosts

from deploy.broker import SERVERLESS_BROKER
from tests.database_guards import _lift_guards_around_flush as _lift_guards_around_flush


def pytest_configure() -> None:
    """Give each process of the test run its own broker and cache."""
    if settings.CELERY_BROKER_URL == SERVERLESS_BROKER:
        # The folder of messages belongs to the installation of whoever runs the tests.
        settings.CELERY_BROKER_URL, settings.CELERY_BROKER_TRANSPORT_OPTIONS = "memory://", {}
    for name in ("UNDERCART_BROKER_URL", "UNDERCART_REDIS_URL"):
        if os.environ.get(name, "").startswith("redis"):
            server, number = os.environ[name].rpartition("/")[0], os.environ.get("PYTEST_XDIST_WORKER", "gw0")
            os.environ[name] = f"{server}/{number.removeprefix('gw')}"
    if "UNDERCART_BROKER_URL" in os.environ:
        settings.CELERY_BROKER_URL = os.environ["UNDERCART_BROKER_URL"]
    if "UNDERCART_REDIS_URL" in os.environ:
        settings.CACHES["default"]["LOCATION"] = os.environ["UNDERCART_REDIS_URL"]


def pytest_runtest_setup() -> None:
    """Let a test reach servers on this machine and nothing else."""
    socket_allow_hosts(["127.0.0.1", "::1", "localhost"], allow_unix_socket=True)
