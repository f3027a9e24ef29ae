"""Free and taken ports of this machine."""

import errno
import socket

from deploy.starting.faults import CannotStart


def is_free(port: int) -> bool:
    """Tell whether a server could listen on the port."""
    with socket.socket() as probe:
        # As the servers do: a connection that ended a moment ago does not hold the port.
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", port))
        except OSError as fault:
            if fault.errno == errno.EADDRINUSE:
                return False
            if fault.errno in {errno.EACCES, errno.EPERM}:
                raise CannotStart(f"this user may not use port {port}; choose one above 1023 with --port") from None
            raise
    return True


def free_port() -> int:
    """Return a port that is free now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def claim(port: int) -> int:
    """Return the port to serve on (0 asks for any), or say which one to take instead."""
    if port == 0:
        return free_port()
    if is_free(port):
        return port
    other = next((candidate for candidate in range(port + 1, port + 100) if is_free(candidate)), 0)
    raise CannotStart(f"port {port} is taken by another program; stop that one or add --port {other}")
