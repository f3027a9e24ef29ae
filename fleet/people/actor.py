"""Who acts: carried from the edge into every action."""

from __future__ import annotations

import uuid
from dataclasses import dataclass

from fleet.people.models import ROLE_ORDER, Role, Scope


class ForbiddenError(PermissionError):
    """The actor's role or the token's scopes do not allow this."""

    def __init__(self, message: str, code: str = "role_too_low") -> None:
        super().__init__(message)
        self.code = code


@dataclass(frozen=True, slots=True)
class Actor:
    """A person of one operator, acting through a token or the installation itself."""

    operator_id: uuid.UUID
    person_id: uuid.UUID | None
    token_id: uuid.UUID | None
    role: str
    scopes: frozenset[str]

    def require(self, role: Role, scope: Scope) -> None:
        """Raise `ForbiddenError` unless both the role and the token's scopes suffice."""
        if ROLE_ORDER.index(Role(self.role)) < ROLE_ORDER.index(role):
            raise ForbiddenError(f"this needs the role {role.value}; yours is {self.role}")
        if scope.value not in self.scopes:
            raise ForbiddenError(f"this needs a token with the scope {scope.value}", "scope_missing")


def installation_actor(operator_id: uuid.UUID) -> Actor:
    """Return the actor for the service's own jobs: the nightly sweep, the schedule, the demo."""
    return Actor(operator_id, None, None, Role.COORDINATOR, frozenset(Scope.values))
