"""Open looks as a calendar that other programs subscribe to (RFC 5545 with the properties of RFC 7986)."""

import uuid
from collections.abc import Iterable
from datetime import timedelta
from typing import Final
from urllib.parse import urlsplit

from django.conf import settings
from django.core import signing
from django.db.models import Sum
from icalendar import Calendar, Event

from fleet.aircraft.models import Aircraft
from fleet.operators.models import Operator
from fleet.people.models import Person
from servicing.reinspection.models import Reason, Reinspection

REFRESH: Final = timedelta(hours=1)
_SALT: Final = "undercart.calendar"


def calendar_address(person_id: uuid.UUID) -> str:
    """Return the address of a person's feed. It carries a secret of its own, which opens nothing else."""
    return f"{settings.PUBLIC_URL}/calendar/{_signer().sign(person_id.hex)}.ics"


def reader_of(secret: str) -> Person | None:
    """Return whose feed an address is; None when it was made up or the person has left."""
    try:
        person_id = uuid.UUID(hex=_signer().unsign(secret))
    except (signing.BadSignature, ValueError):
        return None
    people = Person.objects.across_operators().filter(pk=person_id, active=True)
    return people.select_related("operator").first()


def _signer() -> signing.Signer:
    # The usual colon would be escaped by some calendar programs.
    return signing.Signer(salt=_SALT, sep="~")


def feed_stamp(operator: Operator) -> list[int]:
    """Return figures that grow with every change of what the feed says; two sums, no rows."""
    looks = Reinspection.objects.of(operator).aggregate(total=Sum("version"))
    aircraft = Aircraft.objects.of(operator).aggregate(total=Sum("version"))
    return [looks["total"] or 0, aircraft["total"] or 0]


def feed(operator: Operator, looks: Iterable[Reinspection]) -> bytes:
    """Return the feed of an operator's open looks."""
    host = urlsplit(settings.PUBLIC_URL).hostname or "localhost"
    calendar = Calendar()
    calendar.add("prodid", "-//Undercart//reinspections//EN")
    calendar.add("version", "2.0")
    calendar.add("uid", f"{operator.id}.reinspections@{host}")
    calendar.add("name", f"Reinspections, {operator.name}")
    calendar.add("description", "Struts and tyres that someone must look at. Advice; the aircraft's manual decides.")
    calendar.add("refresh-interval", REFRESH, parameters={"VALUE": "DURATION"})
    for look in looks:
        calendar.add_component(_event(look, host))
    return bytes(calendar.to_ical())


def _event(look: Reinspection, host: str) -> Event:
    event = Event()
    event.add("uid", f"{look.id}@{host}")
    # The look's own time, so that an unchanged feed stays the same byte for byte.
    event.add("dtstamp", look.opened_at)
    event.add("sequence", look.version - 1)
    event.add("dtstart", look.due_on)
    event.add("dtend", look.due_on + timedelta(days=1))
    part = "strut" if look.strut_id else "tyre"
    event.add("summary", f"{look.leg.aircraft.registration} {look.leg.position} {part}: {Reason(look.reason).label}")
    event.add("description", "\n".join([look.look_for, *_also_due(look)]))
    event.add("transp", "TRANSPARENT")
    event.add("categories", ["reinspection", look.reason])
    return event


def _also_due(look: Reinspection) -> list[str]:
    words = []
    if look.due_landings is not None:
        words.append(f"Due earlier at {look.due_landings} landings of the aircraft in all.")
    if look.due_hours is not None:
        words.append(f"Due earlier at {look.due_hours:g} hours of the aircraft in all.")
    return words
