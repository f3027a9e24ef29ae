"""Why an action refuses; the edge turns these into problem documents."""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class FieldFault:
    """One field that is wrong: its path, a stable code, and what would be right."""

    field: str
    code: str
    message: str


class Refused(Exception):  # noqa: N818  # reads as what happened
    """An action declined; nothing was changed."""

    status = 422
    code = "refused"

    def __init__(self, message: str, *, code: str | None = None, faults: Iterable[FieldFault] = ()) -> None:
        super().__init__(message)
        self.message = message
        self.code = code or type(self).code
        self.faults = tuple(faults)


class Missing(Refused):
    """No such row for this operator."""

    status = 404
    code = "not_found"


class Stale(Refused):
    """The row has changed since the caller read it."""

    status = 412
    code = "stale_version"


class Clash(Refused):
    """The change contradicts what is already there."""

    status = 409
    code = "clash"


def require_reason(reason: str, wanted: str) -> None:
    """Refuse to put anything right without a reason; ``wanted`` says what to give."""
    if not reason.strip():
        raise Refused(wanted, code="reason_missing", faults=[FieldFault("reason", "required", wanted)])
