"""What the demo tells in the terminal: which struts need someone, why, how sure, what is due, where the mail went."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from django.conf import settings

from fleet.gear.kinds import STRUT, TYRE, PartKind
from fleet.operators.models import Operator
from servicing.alerts.wording import plain_words
from servicing.drift.models import Level, StrutStanding, TyreStanding
from servicing.outbox.models import OutgoingMail
from servicing.reinspection.queries import judge_looks, looks_matching
from servicing.standings.queries import places_of

_PRESSING = (Level.WARNING, Level.CAUTION, Level.ADVISORY)


def summary_lines(operator: Operator, *, now: datetime) -> Iterator[str]:
    """Yield the lines of the summary."""
    yield f"{operator.name}: struts and tyres that need someone"
    for kind, model in ((STRUT, StrutStanding), (TYRE, TyreStanding)):
        rows: list[Any] = list(model.objects.of(operator).exclude(level=Level.NONE))
        rows.sort(key=lambda row: _PRESSING.index(Level(row.level)))
        yield from _standing_lines(operator, kind, rows)
        others = model.objects.of(operator).filter(level=Level.NONE).count()
        yield f"  {others} other {kind.plural}: nothing against them"
    yield ""
    yield "Due"
    looks = looks_matching(operator, {"open": True}, now).order_by("due_on", "id")
    for look, due in judge_looks(operator, looks, now):
        by = look.due_on.isoformat() if look.due_on else f"{look.due_landings} landings"
        yield f"  {look.leg.aircraft.registration:8} {look.leg.position:11} by {by} ({due.state}): {look.look_for}"
    letters = OutgoingMail.objects.of(operator).filter(sent_at__isnull=False)
    yield ""
    yield f"Mail: {letters.count()} letters to {', '.join(sorted(set(letters.values_list('address', flat=True))))}"
    yield f"  as .eml files in {getattr(settings, 'EMAIL_FILE_PATH', settings.MAIL_URL)}"


def _standing_lines(operator: Operator, kind: PartKind, rows: list[StrutStanding | TyreStanding]) -> Iterator[str]:
    places = places_of(operator, kind, [getattr(row, f"{kind.noun}_id") for row in rows])
    for row in rows:
        place = places[getattr(row, f"{kind.noun}_id")]
        where = f"{place.leg.aircraft.registration:8} {place.leg.position:11}"
        yield f"  {where} {row.level:9} {plain_words(row.finding)}: {_figures(row)}"
        yield f"  {'':20} {'':9} {_how_sure(row)}"


def _figures(row: StrutStanding | TyreStanding) -> str:
    if isinstance(row, TyreStanding):
        return f"{row.pressure_psig:.1f} psi at the reference temperature, {row.rate_percent_per_day:+.2f} %/day"
    text = f"{row.extension_in:.2f} in at the sheet's load and temperature"
    if row.evidence.get("losing_since"):
        text += f", {row.rate_in_per_month:+.2f} in/month ({row.rate_low:+.2f} to {row.rate_high:+.2f})"
    if row.evidence.get("service_now"):
        return f"{text}; service now"
    return f"{text}; low limit about {row.breach_on}" if row.breach_on else text


def _how_sure(row: StrutStanding | TyreStanding) -> str:
    used = f"from {row.evidence['readings_used']} readings, {row.evidence['readings_set_aside']} set aside"
    if row.false_alarm_rate:
        return f"so strong by chance at most {row.false_alarm_rate:.3f} times a {_part(row)}-year; {used}"
    return used


def _part(row: StrutStanding | TyreStanding) -> str:
    return "tyre" if isinstance(row, TyreStanding) else "strut"
