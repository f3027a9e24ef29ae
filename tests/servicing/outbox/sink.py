"""A real mail server on this machine that keeps what it is given, and can be told to refuse."""

import socket
from collections.abc import Iterator
from contextlib import contextmanager
from email import message_from_bytes, policy
from email.message import EmailMessage
from typing import Any

from aiosmtpd.controller import Controller


class Sink:
    """What arrived, and what to refuse: recipients by address, everything by a data answer."""

    def __init__(self) -> None:
        self.messages: list[EmailMessage] = []
        self.refused: dict[str, str] = {}
        self.data_answer = "250 kept"

    async def handle_RCPT(self, _server: Any, _session: Any, envelope: Any, address: str, _options: Any) -> str:  # noqa: N802
        """Take or refuse one recipient."""
        if address in self.refused:
            return self.refused[address]
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, _server: Any, _session: Any, envelope: Any) -> str:  # noqa: N802
        """Keep one message."""
        if self.data_answer.startswith("250"):
            self.messages.append(message_from_bytes(envelope.content, policy=policy.default))  # type: ignore[arg-type]
        return self.data_answer


def free_port() -> int:
    """Return a port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def running(sink: Sink, port: int) -> Iterator[Sink]:
    """Run the sink on a port."""
    controller = Controller(sink, hostname="127.0.0.1", port=port)
    controller.start()
    try:
        yield sink
    finally:
        controller.stop()
