"""Guided top-ups over HTTP."""

import uuid
from typing import Any

from django.urls import path
from django.utils.http import parse_etags
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.refusals import Missing
from fleet.web.etags import require_match
from fleet.web.idempotency import idempotent
from fleet.web.permissions import READ, WORK
from fleet.web.schema import IF_MATCH, PAGE, page_of
from fleet.web.views import OperatorView
from servicing.readings.naming import gauges_named, legs_named
from servicing.work.models import TopUp
from servicing.work.planning import plan_of
from servicing.work.queries import top_ups_matching
from servicing.work.top_up_actions import (
    add_step,
    change_equipment_of_top_up,
    finish_top_up,
    pause_top_up,
    start_top_up,
)
from servicing.work.top_up_answers import summary_answer, top_up_answer
from servicing.work.top_up_inputs import (
    DoseInput,
    FinishInput,
    LookInput,
    TopUpChange,
    TopUpFilters,
    TopUpInput,
    step_row,
)
from servicing.work.top_up_rows import StepRow
from servicing.work.top_up_shapes import TopUpAnswer, TopUpSummary

_OPTIONAL_MATCH = OpenApiParameter(
    "If-Match", str, OpenApiParameter.HEADER, description="The ETag of the plan that the step follows."
)


class TopUpAnsweringView(OperatorView):
    """Answers top-ups with their plan and the tag of their version."""

    def top_up(self, top_up_id: uuid.UUID) -> TopUp:
        """Return one top-up, or refuse."""
        top_up = TopUp.objects.of(self.operator).select_related("equipment").filter(pk=top_up_id).first()
        if top_up is None:
            raise Missing("no such top-up")
        return top_up

    def equipment_named(self, name: str | None) -> uuid.UUID | None:
        """Return the id of equipment given by name or id; one that is not there becomes a fault in the action."""
        return gauges_named(self.operator.id, [name])[name] if name else None

    def step_of(self, values: dict[str, Any]) -> StepRow:
        """Return the row of a checked look or dose."""
        return step_row(values, self.equipment_named(values.get("equipment")))

    def planned(self, top_up: TopUp, status: int = 200) -> Response:
        """Answer a top-up with the plan that its rows make."""
        shown = top_up_answer(plan_of(top_up), self.unit_system)
        return self.answer(shown, status=status, version=top_up.version)


class TopUpsView(TopUpAnsweringView):
    """Top-ups of the operator."""

    needs = {"GET": READ, "POST": WORK}

    @extend_schema(
        operation_id="list_top_ups",
        summary="Top-ups, newest first",
        parameters=[TopUpFilters, *PAGE],
        responses=page_of(TopUpSummary),
    )
    def get(self, request: Request) -> Response:
        """List top-ups without steps and plan; `finished=false` finds the running ones."""
        filters = TopUpFilters(data=request.query_params)
        filters.is_valid(raise_exception=True)
        rows = top_ups_matching(self.operator, filters.validated_data)
        return self.page(rows, lambda row: summary_answer(row, self.unit_system), order=("-started_at", "-id"))

    @extend_schema(
        operation_id="start_top_up",
        summary="Begin a top-up with a look at the strut",
        request=TopUpInput,
        responses={201: TopUpAnswer, 200: TopUpAnswer},
    )
    @idempotent
    def post(self, request: Request) -> Response:
        """Begin a top-up and get the first plan. Begun before: 200. One is running on this strut: 409 with its id."""
        values = self.checked(TopUpInput)
        target, tolerance = values.get("target"), values.get("tolerance")
        leg = values.get("aircraft", ""), values["leg"]
        top_up, new = start_top_up(
            actor=self.actor,
            now=self.now,
            leg_id=legs_named(self.operator.id, [leg])[leg],
            look=self.step_of(values["look"]),
            equipment_id=self.equipment_named(values.get("equipment")),
            target_in=target.internal if target else None,
            tolerance_in=tolerance.internal if tolerance else None,
            overshoot_chance=values["overshoot_chance"],
            hose_filled_first=values["hose_filled_first"],
            top_up_id=values.get("id"),
        )
        return self.planned(top_up, status=201 if new else 200)


class TopUpView(TopUpAnsweringView):
    """One top-up."""

    needs = {"GET": READ, "PATCH": WORK}

    @extend_schema(operation_id="get_top_up", summary="A top-up with its plan", responses=TopUpAnswer)
    def get(self, request: Request, top_up_id: uuid.UUID) -> Response:
        """Return every step so far and what to do next."""
        return self.planned(self.top_up(top_up_id))

    @extend_schema(
        operation_id="change_top_up",
        summary="Go on with other equipment",
        request=TopUpChange,
        responses=TopUpAnswer,
    )
    def patch(self, request: Request, top_up_id: uuid.UUID) -> Response:
        """Change the equipment; the plan is renewed for it."""
        top_up = self.top_up(top_up_id)
        require_match(request, top_up.version)
        equipment_id = self.equipment_named(self.checked(TopUpChange)["equipment"])
        changed = change_equipment_of_top_up(
            actor=self.actor,
            now=self.now,
            top_up_id=top_up_id,
            version=top_up.version,
            equipment_id=equipment_id,
        )
        return self.planned(changed)


class StepsView(TopUpAnsweringView):
    """Doses, or looks, of one top-up."""

    needs = {"POST": WORK}
    takes: type[LookInput] = LookInput

    def added(self, top_up_id: uuid.UUID) -> Response:
        """Record the step in the request and answer the renewed plan."""
        row = self.step_of(self.checked(self.takes))
        version = _version_named(self.request)
        top_up, _, new = add_step(actor=self.actor, now=self.now, top_up_id=top_up_id, row=row, version=version)
        return self.planned(top_up, status=201 if new else 200)


class DosesView(StepsView):
    """Doses of one top-up."""

    takes = DoseInput

    @extend_schema(
        operation_id="add_dose",
        summary="Record gas put in or let out, and get the next step",
        request=DoseInput,
        parameters=[_OPTIONAL_MATCH],
        responses={201: TopUpAnswer, 200: TopUpAnswer},
    )
    @idempotent
    def post(self, request: Request, top_up_id: uuid.UUID) -> Response:
        """Record a dose with the length after it. Sent again: 200 and counted once.

        With If-Match the dose is refused (412) when someone else was at the strut since.
        """
        return self.added(top_up_id)


class LooksView(StepsView):
    """Looks of one top-up."""

    @extend_schema(
        operation_id="add_look",
        summary="Read the strut again, and get the next step",
        request=LookInput,
        parameters=[_OPTIONAL_MATCH],
        responses={201: TopUpAnswer, 200: TopUpAnswer},
    )
    @idempotent
    def post(self, request: Request, top_up_id: uuid.UUID) -> Response:
        """Record a length without gas: after exercise, after a circuit, on another day."""
        return self.added(top_up_id)


class PauseView(TopUpAnsweringView):
    """A pause of one top-up."""

    needs = {"POST": WORK}

    @extend_schema(
        operation_id="pause_top_up",
        summary="Put a top-up aside",
        request=None,
        parameters=[IF_MATCH],
        responses=TopUpAnswer,
    )
    @idempotent
    def post(self, request: Request, top_up_id: uuid.UUID) -> Response:
        """Pause, for minutes or days; the next dose or look resumes. What was done so far enters the history.

        One that nobody went on with for half a day is paused by the service, and a reinspection asks to finish it.
        """
        top_up = self.top_up(top_up_id)
        require_match(request, top_up.version)
        paused = pause_top_up(actor=self.actor, now=self.now, top_up_id=top_up_id, version=top_up.version)
        return self.planned(paused)


class FinishView(TopUpAnsweringView):
    """The end of one top-up."""

    needs = {"POST": WORK}

    @extend_schema(
        operation_id="finish_top_up",
        summary="End a top-up",
        request=FinishInput,
        parameters=[IF_MATCH],
        responses=TopUpAnswer,
    )
    @idempotent
    def post(self, request: Request, top_up_id: uuid.UUID) -> Response:
        """End it: the gas becomes a servicing, the last length a reading, and a look after the next flights is due.

        A strut left outside its limits, or not exercised since the last dose, needs a note that says why. Ended
        before: 200.
        """
        top_up = self.top_up(top_up_id)
        if top_up.finished_at is not None:
            return self.planned(top_up)
        require_match(request, top_up.version)
        finished = finish_top_up(
            actor=self.actor,
            now=self.now,
            top_up_id=top_up_id,
            version=top_up.version,
            note=self.checked(FinishInput).get("note", ""),
        )
        return self.planned(finished)


def _version_named(request: Request) -> int | None:
    """Return the version that If-Match names; None without it, and -1, which nothing has, when it names none."""
    header = request.headers.get("If-Match", "").strip()
    if header in ("", "*"):
        return None
    versions: list[Any] = [tag.strip('"').partition(".")[0] for tag in parse_etags(header)]
    return int(versions[0]) if versions and versions[0].isdigit() else -1


urlpatterns = [
    path("top-ups", TopUpsView.as_view()),
    path("top-ups/<uuid:top_up_id>", TopUpView.as_view()),
    path("top-ups/<uuid:top_up_id>/doses", DosesView.as_view()),
    path("top-ups/<uuid:top_up_id>/looks", LooksView.as_view()),
    path("top-ups/<uuid:top_up_id>/pause", PauseView.as_view()),
    path("top-ups/<uuid:top_up_id>/finish", FinishView.as_view()),
]
