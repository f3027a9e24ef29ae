"""Record entries for tests: drafted from work of a mechanic with a certificate, and completed."""

from dataclasses import dataclass
from typing import Any

from rest_framework.test import APIClient

from fleet.aircraft.models import Leg
from fleet.operators.models import Operator
from fleet.people.actor import Actor
from fleet.web.authentication import actor_of
from servicing.records.actions import Signature, complete_entry, draft_entry
from servicing.records.drafting import source_of_servicing
from servicing.records.models import RecordEntry
from servicing.work.actions import add_servicings
from servicing.work.models import Servicing, Work
from tests.builders.fleet import NOW, a_leg, a_person, a_strut, a_token, a_tyre, an_operator
from tests.builders.work import servicing_row

SIGNED = {"signature": "A. Signer", "certificate_kind": "mechanic", "certificate_number": "0000000"}
SIGNATURE = Signature("A. Signer", certificate_kind="mechanic", certificate_number="0000000")


@dataclass(frozen=True, slots=True)
class Desk:
    """A club under US rules whose mechanic signs for one leg."""

    club: Operator
    actor: Actor
    caller: APIClient
    leg: Leg

    def work(self, kind: str = Work.GAS_ADDED, **values: Any) -> Servicing:
        """Record work on the leg."""
        found = {"extension_before_in": 3.0, "extension_after_in": 4.5, "temperature_f": 48.0, "done_by": "A. Signer"}
        row = servicing_row(self.leg, kind, **{**found, **values})
        return add_servicings(actor=self.actor, now=NOW, rows=[row]).rows[0]

    def draft(self, kind: str = Work.GAS_ADDED, **values: Any) -> RecordEntry:
        """Draft the entry of new work."""
        source = source_of_servicing(self.club, self.work(kind, **values).id)
        return draft_entry(actor=self.actor, now=NOW, source=source)[0]

    def complete(self, **values: Any) -> RecordEntry:
        """Draft and complete the entry of new work."""
        entry = self.draft(**values)
        return complete_entry(
            actor=self.actor, now=NOW, entry_id=entry.id, version=entry.version, signature=SIGNATURE
        )

    def stored(self, entry: RecordEntry) -> RecordEntry:
        """Return an entry as it stands now."""
        return RecordEntry.objects.of(self.club).get(pk=entry.pk)


def a_desk() -> Desk:
    """Return a desk with a strut and a tyre to sign for."""
    club = an_operator(jurisdiction="us")
    person = a_person(club, "mechanic", name="A. Signer", certificate_kind="mechanic", certificate_number="0000000")
    token, secret = a_token(person)
    caller = APIClient(raise_request_exception=False)
    caller.credentials(HTTP_AUTHORIZATION=f"Bearer {secret}")
    leg = a_leg(club)
    a_strut(club, leg, serial_number="S-77")
    a_tyre(club, leg)
    return Desk(club, actor_of(token), caller, leg)
