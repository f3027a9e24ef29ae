"""Changes of finding, alerts and looks for tests, as the assessment writes them."""

from datetime import datetime
from typing import Any

from servicing.alerts.handling import handle_change
from servicing.alerts.models import Alert
from servicing.drift.models import FindingChange, StrutStanding
from servicing.outbox.models import OutgoingMail
from servicing.reinspection.models import Reinspection
from tests.builders.fleet import NOW, next_id
from tests.builders.readings import Stand

FOUND = {
    "false_alarm_rate": 0.004,
    "last_reading_at": "2026-03-01T08:30:00+00:00",
    "breach_on": "2026-04-10",
    "breach_low": "2026-03-28",
    "breach_high": "2026-05-02",
    "extension_in": 4.21,
    "extension_low_in": 4.12,
    "extension_high_in": 4.30,
    "rate_in_per_month": -0.18,
    "rate_low": -0.26,
    "rate_high": -0.11,
    "probability_fluid": 0.31,
    "evidence": {
        "check_first": "look_for_fluid",
        "service_now": False,
        "losing_since": "2026-01-20",
        "readings_used": 34,
        "readings_set_aside": 2,
        "set_aside": [],
    },
}


def a_change(
    stand: Stand,
    finding: str = "losing_charge",
    level: str = "caution",
    *,
    before: tuple[str, str] = ("steady", "none"),
    at: datetime = NOW,
    **values: Any,
) -> FindingChange:
    """Return a change that nobody has handled yet."""
    return FindingChange.objects.create(
        id=next_id(),
        operator=stand.operator,
        strut=None if "tyre" in values else stand.strut,
        at=at,
        finding_before=before[0],
        level_before=before[1],
        finding=finding,
        level=level,
        **{"evidence": FOUND, "leg": stand.leg, **values},
    )


def a_strut_standing(stand: Stand, **values: Any) -> StrutStanding:
    """Return how the strut stands."""
    figures = {name: value for name, value in FOUND.items() if name != "last_reading_at"}
    figures |= {"finding": "losing_charge", "level": "caution", "assessed_at": NOW, "last_reading_at": NOW}
    return StrutStanding.objects.create(
        id=next_id(), operator=stand.operator, strut=stand.strut, **{**figures, **values}
    )


def an_alert(stand: Stand, finding: str = "losing_charge", level: str = "caution", at: datetime = NOW) -> Alert:
    """Return an open alert, opened by its change, with its look and its mail."""
    handle_change(change_id=a_change(stand, finding, level, at=at).id, now=at)
    return Alert.objects.of(stand.operator).get(closed_at__isnull=True, strut=stand.strut)


def looks_of(stand: Stand) -> list[Reinspection]:
    """Return every look of the stand's operator, oldest first."""
    return list(Reinspection.objects.of(stand.operator).order_by("opened_at", "id"))


def mail_of(stand: Stand) -> list[OutgoingMail]:
    """Return every mail of the stand's operator, oldest first."""
    return list(OutgoingMail.objects.of(stand.operator).order_by("created_at", "id"))
