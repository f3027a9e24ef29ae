"""Mail goes over real SMTP to a sink on this machine."""

from collections.abc import Iterator
from typing import Any

import pytest

from tests.installations import _migrated as _migrated
from tests.installations import installation as installation
from tests.servicing.outbox.sink import Sink, free_port, running


@pytest.fixture
def smtp(settings: Any) -> int:
    """Point the service at a port of this machine, where nobody listens yet."""
    port = free_port()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT, settings.EMAIL_TIMEOUT = "127.0.0.1", port, 5
    settings.EMAIL_HOST_USER = settings.EMAIL_HOST_PASSWORD = ""
    settings.EMAIL_USE_TLS = settings.EMAIL_USE_SSL = False
    return port


@pytest.fixture
def sink(smtp: int) -> Iterator[Sink]:
    """Yield a sink that listens."""
    with running(Sink(), smtp) as listening:
        yield listening
