"""Nothing is open: a view names the role and scope that each method needs, or the method is refused."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rest_framework import exceptions
from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from fleet.people.actor import Actor
from fleet.people.models import Role, Scope

if TYPE_CHECKING:
    from rest_framework.views import APIView  # at run time it imports the settings that name this module

Needs = dict[str, tuple[Role, Scope]]

READ = (Role.READER, Scope.READ)
REPORT = (Role.MEMBER, Scope.REPORT)
WORK = (Role.MECHANIC, Scope.WORK)
MANAGE = (Role.COORDINATOR, Scope.MANAGE)


class TokenAllows(BasePermission):
    """Reads the view's ``needs: dict[method, (Role, Scope)]``."""

    def has_permission(self, request: Request, view: APIView) -> bool:
        """Refuse unless the actor has the role and the token the scope."""
        actor: Actor | None = request.user  # type: ignore[assignment]  # set by BearerToken
        if actor is None:
            raise exceptions.NotAuthenticated("send a token as: Authorization: Bearer uc_...")
        method = "GET" if request.method == "HEAD" else str(request.method)
        needs: Needs = getattr(view, "needs", {})
        if method not in needs:
            # Without a handler the view itself answers 405.
            return method.lower() not in view.http_method_names or not hasattr(view, method.lower())
        actor.require(*needs[method])
        return True
