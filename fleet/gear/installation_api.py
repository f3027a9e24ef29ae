"""Installations over HTTP: parts go on legs, come off, change places, and mistakes are put right."""

import uuid
from collections.abc import Callable
from typing import Any

from django.urls import URLPattern, path
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.gear.correcting import correct_installation, withdraw_installation
from fleet.gear.installation_documents import installation_documents
from fleet.gear.installing import install_part, move_part, remove_part, replace_part, swap_parts
from fleet.gear.kinds import PartKind
from fleet.gear.queries import installation_of, installations_of
from fleet.gear.shapes import (
    InstallationChange,
    InstallationInput,
    MoveInput,
    RemovalInput,
    ReplacementInput,
    SwapInput,
    installation_answer,
)
from fleet.web.etags import require_match
from fleet.web.idempotency import idempotent
from fleet.web.permissions import READ, WORK
from fleet.web.views import OperatorView


class GearView(OperatorView):
    """What the views of installations share."""

    kind: PartKind
    needs = {"POST": WORK}

    def shown(self, row: Any) -> dict[str, Any]:
        """Return an installation with the names of its place."""
        return installation_answer(self.kind, installation_of(self.operator, self.kind, row.pk))

    def answer_row(self, row: Any, status: int = 200) -> Response:
        """Answer one installation."""
        return self.answer(self.shown(row), status, version=row.version)


class InstallationsView(GearView):
    """Where a part was."""

    needs = {"GET": READ, "POST": WORK}

    def get(self, request: Request, part_id: uuid.UUID) -> Response:
        """List the installations, newest first."""
        return self.page(
            installations_of(self.operator, self.kind, part_id),
            lambda row: installation_answer(self.kind, row),
            order=("-installed_at", "-id"),
        )

    @idempotent
    def post(self, request: Request, part_id: uuid.UUID) -> Response:
        """Put the part on a leg, now or at a past moment; 409 when leg or part is taken at any time of it."""
        given = self.checked(InstallationInput)
        row = install_part(
            actor=self.actor,
            now=self.now,
            kind=self.kind,
            part_id=part_id,
            leg_id=given["leg"],
            installed_at=given["installed_at"],
            removed_at=given.get("removed_at"),
            removal_reason=given["removal_reason"],
            installation_id=given.get("id"),
        )
        return self.answer_row(row, 201)


class InstallationView(GearView):
    """One installation."""

    needs = {"GET": READ, "PATCH": WORK, "DELETE": WORK}

    def get(self, request: Request, installation_id: uuid.UUID) -> Response:
        """Return an installation."""
        row = installation_of(self.operator, self.kind, installation_id)
        return self.answer(installation_answer(self.kind, row), version=row.version)

    def patch(self, request: Request, installation_id: uuid.UUID) -> Response:
        """Put moments or reason right; readings on the leg are then joined to the part that was there."""
        row = installation_of(self.operator, self.kind, installation_id)
        require_match(request, row.version)
        row = correct_installation(
            actor=self.actor,
            now=self.now,
            kind=self.kind,
            installation_id=installation_id,
            version=row.version,
            changes=self.checked_part(InstallationChange),
        )
        return self.answer_row(row)

    def delete(self, request: Request, installation_id: uuid.UUID) -> Response:
        """Take back an installation that never was; the audit trail keeps what it said."""
        row = installation_of(self.operator, self.kind, installation_id)
        require_match(request, row.version)
        withdraw_installation(
            actor=self.actor, now=self.now, kind=self.kind, installation_id=installation_id, version=row.version
        )
        return self.answer(None, 204)


class RemovalView(GearView):
    """A part comes off."""

    @idempotent
    def post(self, request: Request, part_id: uuid.UUID) -> Response:
        """Take the part off its leg."""
        given = self.checked(RemovalInput)
        return self.answer_row(remove_part(actor=self.actor, now=self.now, kind=self.kind, part_id=part_id, **given))


class MoveView(GearView):
    """A part goes elsewhere."""

    @idempotent
    def post(self, request: Request, part_id: uuid.UUID) -> Response:
        """Take the part from its leg to another, which must be empty; its history goes with it."""
        given = self.checked(MoveInput)
        leg_id = given.pop("leg")
        return self.answer_row(
            move_part(actor=self.actor, now=self.now, kind=self.kind, part_id=part_id, leg_id=leg_id, **given),
            201,
        )


class SwapView(GearView):
    """Two parts change places."""

    @idempotent
    def post(self, request: Request, part_id: uuid.UUID) -> Response:
        """Let two installed parts change places; their histories go with them."""
        given = self.checked(SwapInput)
        other_id = given.pop("other")
        rows = swap_parts(actor=self.actor, now=self.now, kind=self.kind, part_id=part_id, other_id=other_id, **given)
        return self.answer({"installations": [self.shown(row) for row in rows]}, 201)


class ReplacementView(GearView):
    """A part is replaced."""

    @idempotent
    def post(self, request: Request, part_id: uuid.UUID) -> Response:
        """Take the part off and put another, which is on no leg, in its place."""
        given = self.checked(ReplacementInput)
        by_id = given.pop("by")
        row = replace_part(actor=self.actor, now=self.now, kind=self.kind, part_id=part_id, by_id=by_id, **given)
        return self.answer_row(row, 201)


VIEWS: list[tuple[str, type[GearView]]] = [
    ("{plural}/<uuid:part_id>/installations", InstallationsView),
    ("{noun}-installations/<uuid:installation_id>", InstallationView),
    ("{plural}/<uuid:part_id>/removal", RemovalView),
    ("{plural}/<uuid:part_id>/move", MoveView),
    ("{plural}/<uuid:part_id>/swap", SwapView),
    ("{plural}/<uuid:part_id>/replacement", ReplacementView),
]


def installation_patterns(kind: PartKind) -> list[URLPattern]:
    """Return the routes of one kind, each operation with its own stable id."""
    documents = installation_documents(kind)
    found = []
    for route, view in VIEWS:
        document: Callable[[type[GearView]], type[GearView]] = extend_schema_view(**documents[view.__name__])
        own = document(type(f"{kind.noun.capitalize()}{view.__name__}", (view,), {"kind": kind}))
        found.append(path(route.format(plural=kind.plural, noun=kind.noun), own.as_view()))
    return found
