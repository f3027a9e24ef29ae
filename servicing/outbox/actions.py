"""Writing mail down, trying again, and stopping it for a person who asks."""

import uuid
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.db.models import F

from fleet.audit.actions import record_change
from fleet.people.actor import Actor, installation_actor
from fleet.people.models import Person, Role, Scope
from fleet.refusals import Clash, Missing
from servicing.outbox.links import message_id_for, read_unsubscribe
from servicing.outbox.models import OutgoingMail


@dataclass(frozen=True, slots=True)
class Letter:
    """What one person is told."""

    subject: str
    text: str
    html: str
    chart_png: bytes


def write_mail(*, event_id: uuid.UUID, person: Person, letter: Letter, now: datetime) -> OutgoingMail:
    """Put one letter into the outbox, in the transaction of what it tells; a worker sends it later."""
    mail_id = uuid.uuid4()
    return OutgoingMail.objects.create(
        id=mail_id,
        operator_id=person.operator_id,
        event_id=event_id,
        person=person,
        address=person.email,
        subject=" ".join(letter.subject.split())[:200],
        text=letter.text,
        html=letter.html,
        chart_png=letter.chart_png,
        message_id=message_id_for(mail_id),
        created_at=now,
        not_before=now,
    )


@transaction.atomic
def try_mail_again(*, actor: Actor, now: datetime, mail_id: uuid.UUID) -> OutgoingMail:
    """Put a mail that was given up back into the outbox, under its own Message-ID."""
    actor.require(Role.COORDINATOR, Scope.MANAGE)
    rows = OutgoingMail.objects.of(actor.operator_id).filter(pk=mail_id)
    mail = rows.select_related("person").first()
    if mail is None:
        raise Missing("no such mail")
    # The address may have been put right since.
    address = mail.person.email or mail.address
    if not rows.filter(given_up_at__isnull=False).update(
        given_up_at=None, attempts=0, not_before=now, claimed_until=None, address=address
    ):
        raise Clash("only a mail that was given up can be tried again", code="not_given_up")
    record_change(actor=actor, action="mail tried again", subject_kind="mail", subject_id=mail_id, now=now)
    return rows.get()


@transaction.atomic
def unsubscribe_person(*, token: str, now: datetime) -> Person | None:
    """Stop mail to the person whose signed address this is; None when it was made up. Twice is as once."""
    person_id = read_unsubscribe(token)
    person = Person.objects.across_operators().filter(pk=person_id).first() if person_id else None
    if person is None:
        return None
    mine = Person.objects.of(person.operator_id).filter(pk=person.id, wants_mail=True)
    if mine.update(wants_mail=False, version=F("version") + 1):
        record_change(
            actor=installation_actor(person.operator_id),
            action="person unsubscribed",
            subject_kind="person",
            subject_id=person.id,
            now=now,
            before={"wants_mail": True},
            after={"wants_mail": False, "by": "the link in a mail"},
        )
    return person
