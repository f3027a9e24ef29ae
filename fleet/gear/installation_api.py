"""Installations over HTTP: parts go on legs, come off, change places, and mistakes are put right."""

import uuid
from collections.abc import Callable
from typing import Any

from django.urls import URLPattern, path
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.gear.correcting import correct_installation, withdraw_installation
from fleet.gear.installing import install_part, move_part, remove_part, replace_part, swap_parts
from fleet.gear.kinds import PartKind
from fleet.gear.queries import installation_of, installations_of
from fleet.gear.shapes import (
    InstallationAnswer,
    InstallationChange,
    InstallationInput,
    MoveInput,
    RemovalInput,
    ReplacementInput,
    SwapAnswer,
    SwapInput,
    installation_answer,
)
from fleet.web.etags import require_match
from fleet.web.idempotency import idempotent
from fleet.web.permissions import READ, WORK
from fleet.web.schema import PAGE, page_of
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
        return self.answer_row(installation_of(self.operator, self.kind, installation_id))

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


def installation_patterns(kind: PartKind) -> list[URLPattern]:
    """Return the routes of one kind, each operation with its own stable id."""
    noun, one, answer = kind.noun, InstallationAnswer, {201: InstallationAnswer}
    part, row = f"{kind.plural}/<uuid:part_id>", f"{noun}-installations/<uuid:installation_id>"

    def operation(name: str, summary: str, request: Any = None, responses: Any = one, **more: Any) -> Any:
        return extend_schema(operation_id=name, summary=summary, request=request, responses=responses, **more)

    routes: list[tuple[str, type[GearView], dict[str, Any]]] = [
        (
            f"{part}/installations",
            InstallationsView,
            {
                "get": operation(
                    f"list_{noun}_installations",
                    f"Where a {noun} was, newest first",
                    responses=page_of(one),
                    parameters=PAGE,
                ),
                "post": operation(f"install_{noun}", f"Put a {noun} on a leg", InstallationInput, answer),
            },
        ),
        (
            row,
            InstallationView,
            {
                "get": operation(f"get_{noun}_installation", f"One installation of a {noun}"),
                "patch": operation(
                    f"correct_{noun}_installation",
                    f"Put the installation of a {noun} right",
                    InstallationChange(partial=True),
                ),
                "delete": operation(
                    f"withdraw_{noun}_installation",
                    f"Take back an installation of a {noun} that never was",
                    responses={204: None},
                ),
            },
        ),
        (
            f"{part}/removal",
            RemovalView,
            {"post": operation(f"remove_{noun}", f"Take a {noun} off its leg", RemovalInput)},
        ),
        (
            f"{part}/move",
            MoveView,
            {"post": operation(f"move_{noun}", f"Take a {noun} to another leg", MoveInput, answer)},
        ),
        (
            f"{part}/swap",
            SwapView,
            {
                "post": operation(
                    f"swap_{kind.plural}", f"Let two {kind.plural} change places", SwapInput, {201: SwapAnswer}
                )
            },
        ),
        (
            f"{part}/replacement",
            ReplacementView,
            {
                "post": operation(
                    f"replace_{noun}", f"Put another {noun} in the place of this", ReplacementInput, answer
                )
            },
        ),
    ]
    return [path(route, _view(kind, view, documented).as_view()) for route, view, documented in routes]


def _view(kind: PartKind, view: type[GearView], documented: dict[str, Any]) -> type[GearView]:
    document: Callable[[type[GearView]], type[GearView]] = extend_schema_view(**documented)
    return document(type(f"{kind.noun.capitalize()}{view.__name__}", (view,), {"kind": kind}))
