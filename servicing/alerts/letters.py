"""What a coordinator is told of an alert: subject, text and HTML from three templates, with the part's chart."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string

from fleet.aircraft.models import Leg
from fleet.operators.models import Operator
from fleet.people.models import Person
from servicing.alerts.facts import facts_of
from servicing.alerts.models import AlertEvent, AlertStep
from servicing.alerts.wording import (
    ADVICE,
    cautions_of,
    checks_of,
    plain_words,
    wording_of,
)
from servicing.chart.drawing import draw_history
from servicing.chart.png import scene_to_png
from servicing.chart.queries import history_of
from servicing.drift.models import FindingChange
from servicing.outbox.actions import Letter
from servicing.outbox.links import unsubscribe_link
from servicing.outbox.message import CHART_CID
from servicing.reinspection.models import Reinspection


@dataclass(frozen=True, slots=True)
class Occasion:
    """Why a letter is written."""

    change: FindingChange
    event: AlertEvent
    look: Reinspection | None
    operator: Operator
    now: datetime


def draw_chart(change: FindingChange, now: datetime) -> bytes:
    """Return the part's history as PNG."""
    history = history_of(
        change.operator,
        strut_id=change.strut_id,
        tyre_id=change.tyre_id,
        now=now,
        unit_system=change.operator.unit_system,
    )
    return scene_to_png(draw_history(history))


def write_letter(occasion: Occasion, person: Person, chart_png: bytes) -> Letter:
    """Return the letter for one person."""
    values = _values(occasion, person)
    return Letter(
        subject=render_to_string("alerts/subject.txt", values).strip(),
        text=render_to_string("alerts/letter.txt", values).strip() + "\n",
        html=render_to_string("alerts/letter.html", values),
        chart_png=chart_png,
    )


def _page_of(change: FindingChange) -> str:
    # The board comes after alerts in the order of packages; a test sees that these pages are there.
    part, part_id = ("struts", change.strut_id) if change.strut_id else ("tyres", change.tyre_id)
    return f"{settings.PUBLIC_URL}/board/{part}/{part_id}"


def _values(occasion: Occasion, person: Person) -> dict[str, Any]:
    change, event = occasion.change, occasion.event
    leg = Leg.objects.of(change.operator_id).select_related("aircraft", "sheet").get(pk=event.alert.leg_id)
    words = wording_of(change.finding)
    check_first = change.evidence.get("evidence", {}).get("check_first")
    return {
        "registration": leg.aircraft.registration,
        "leg": leg.position,
        "part": "strut" if change.strut_id else "tyre",
        "closed": event.step == AlertStep.CLOSED,
        "step": AlertStep(event.step).label,
        "finding": plain_words(change.finding),
        "finding_before": plain_words(change.finding_before),
        "level": change.level,
        "level_before": change.level_before,
        "meaning": words.meaning,
        "facts": facts_of(change, leg, occasion.operator),
        "checks": checks_of(change.finding, check_first, tyre=change.tyre_id is not None),
        "cautions": cautions_of(change.finding, check_first, tyre=change.tyre_id is not None),
        "manual": leg.sheet.manual,
        "look": occasion.look,
        "advice": ADVICE,
        "link": _page_of(change),
        "unsubscribe": unsubscribe_link(person.id),
        "chart_cid": CHART_CID,
        "operator": occasion.operator.name,
        "person": person.name,
    }
