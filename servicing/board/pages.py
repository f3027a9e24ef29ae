"""The pages for people: the start, the fleet, what is due, one strut or tyre."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_POST, require_safe

from fleet.gear.kinds import STRUT, TYRE, PartKind
from fleet.refusals import Refused
from fleet.web.throttling import count_failed_authentication
from servicing.alerts.wording import plain_words
from servicing.board import session
from servicing.board.session import SignedIn, for_people
from servicing.chart.drawing import draw_history
from servicing.chart.queries import history_of
from servicing.chart.svg import scene_to_svg
from servicing.dispatch.judging import ADVICE, ORDER
from servicing.dispatch.queries import dispatch_states
from servicing.dispatch.shapes import aircraft_answer
from servicing.reinspection.queries import judge_looks, looks_matching
from servicing.standings.answers import standing_answer
from servicing.standings.queries import places_of, standing_of

CHART_DAYS = 365
UNKNOWN_TOKEN = "This token is not known here, or it has expired. Ask your coordinator for a new one."  # noqa: S105
TOO_MANY_TOKENS = (
    "Many tokens that are not known here were tried from your network. Wait a minute, then paste yours once more; "
    "if it is refused again, ask your coordinator for a new one."
)


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """Say what this is to anyone; people who are signed in go on to their fleet."""
    if session.who(request):
        return redirect("board-fleet")
    return render(request, "board/home.html", {"address": settings.PUBLIC_URL})


@require_POST
def sign_in(request: HttpRequest) -> HttpResponse:
    """Open the pages to whoever has a token."""
    if session.sign_in(request, request.POST.get("token", "")):
        return redirect("board-fleet")
    too_many = count_failed_authentication(request)
    page = {"address": settings.PUBLIC_URL, "fault": TOO_MANY_TOKENS if too_many else UNKNOWN_TOKEN}
    answer = render(request, "board/home.html", page, status=429 if too_many else 401)
    if too_many:
        answer["Retry-After"] = str(int(getattr(too_many, "wait", 0)) + 1)
    return answer


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """Close the pages."""
    session.sign_out(request)
    return redirect("board-home")


@require_safe
@for_people
def fleet(request: HttpRequest, signed_in: SignedIn) -> HttpResponse:
    """Show every aircraft with what is known against it, the most pressing first."""
    operator = signed_in.operator
    answers = [aircraft_answer(state, operator.unit_system) for state in dispatch_states(operator, timezone.now())]
    answers.sort(key=lambda answer: (-ORDER.index(answer["readiness"]), answer["registration"]))
    page = {"actor": signed_in.actor, "operator": operator, "aircraft": answers, "advice": ADVICE}
    return render(request, "board/fleet.html", page)


@require_safe
@for_people
def due(request: HttpRequest, signed_in: SignedIn) -> HttpResponse:
    """Show the looks that are open, the nearest first."""
    operator, now = signed_in.operator, timezone.now()
    rows = looks_matching(operator, {"open": True}, now).order_by("due_on", "id")
    looks = [{"look": look, "due": state} for look, state in judge_looks(operator, rows, now)]
    return render(request, "board/due.html", {"actor": signed_in.actor, "looks": looks})


@require_safe
@for_people
def strut(request: HttpRequest, signed_in: SignedIn, part_id: uuid.UUID) -> HttpResponse:
    """Show one strut's history and standing."""
    return _part(request, signed_in, STRUT, part_id)


@require_safe
@for_people
def tyre(request: HttpRequest, signed_in: SignedIn, part_id: uuid.UUID) -> HttpResponse:
    """Show one tyre's history and standing."""
    return _part(request, signed_in, TYRE, part_id)


def _part(request: HttpRequest, signed_in: SignedIn, kind: PartKind, part_id: uuid.UUID) -> HttpResponse:
    operator, now = signed_in.operator, timezone.now()
    try:
        row = standing_of(operator, kind, part_id)
    except Refused:
        return render(request, "board/missing.html", {"actor": signed_in.actor}, status=404)
    place = places_of(operator, kind, [part_id]).get(part_id)
    history = history_of(
        operator,
        strut_id=part_id if kind is STRUT else None,
        tyre_id=part_id if kind is TYRE else None,
        now=now,
        unit_system=operator.unit_system,
        days=CHART_DAYS,
    )
    page = {
        "actor": signed_in.actor,
        "kind": kind.noun,
        "part": getattr(row, kind.noun),
        "place": place,
        "standing": standing_answer(kind, row, place, operator.unit_system),
        "finding": plain_words(row.finding),
        # Drawn by the service from numbers and its own words; text inside is escaped by the drawing.
        "chart": mark_safe(scene_to_svg(draw_history(history))),  # noqa: S308
    }
    return render(request, "board/part.html", page)
