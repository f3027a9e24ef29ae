"""A club with at least one row behind every kind of address."""

from typing import Any

from fleet.equipment.actions import log_cylinder_pressure
from fleet.equipment.models import EquipmentKind
from fleet.operators.models import Operator
from servicing.exchange.actions import start_import
from servicing.exchange.models import ImportKind
from servicing.outbox.models import OutgoingMail
from servicing.records.actions import draft_entry
from servicing.records.drafting import source_of_servicing
from servicing.reinspection.models import Reinspection
from servicing.usage.actions import add_usages
from servicing.usage.rows import UsageRow
from servicing.work.actions import add_servicings
from servicing.work.top_up_actions import start_top_up
from tests.builders.alerts import a_strut_standing, an_alert
from tests.builders.fleet import LONG_AGO, NOW, a_person, a_token, next_number
from tests.builders.readings import a_stand, a_strut_reading, a_tyre_reading
from tests.builders.work import a_hand_pump, equipment, look, servicing_row


def furnish(operator: Operator) -> dict[str, Any]:
    """Add one of everything; return an id for each word that stands before an id in an address."""
    stand = a_stand(operator)
    person = a_person(operator)
    token, _ = a_token(person)
    cylinder = equipment(operator, EquipmentKind.CYLINDER, water_volume_in3=3000.0)
    log_cylinder_pressure(
        actor=stand.actor,
        now=NOW,
        equipment_id=cylinder.pk,
        taken_at=NOW,
        pressure_psig=2200.0,
        temperature_f=70.0,
        as_read={"pressure": {"value": 2200.0, "unit": "psi"}},
    )
    usage = add_usages(
        actor=stand.actor, now=NOW, rows=[UsageRow(aircraft_id=stand.aircraft.pk, ended_at=LONG_AGO)]
    ).rows[0]
    reading, tyre_reading = a_strut_reading(stand), a_tyre_reading(stand)
    servicing = add_servicings(
        actor=stand.actor, now=NOW, rows=[servicing_row(stand.leg, note=f"number {next_number()}")]
    ).rows[0]
    entry, _ = draft_entry(actor=stand.actor, now=NOW, source=source_of_servicing(operator, servicing.pk))
    a_strut_standing(stand)
    alert = an_alert(stand)
    strut_row, tyre_row = stand.strut.installations.get(), stand.tyre.installations.get()
    looks = Reinspection.objects.of(operator).filter(leg=stand.leg)
    mail = OutgoingMail.objects.of(operator).order_by("created_at").last()
    assert mail is not None
    top_up, _ = start_top_up(
        actor=stand.actor, now=NOW, leg_id=stand.leg.pk, look=look(4.0), equipment_id=a_hand_pump(operator).pk
    )
    imported = start_import(
        actor=stand.actor,
        now=NOW,
        kind=ImportKind.USAGE,
        content=f"aircraft,ended_at\n{stand.aircraft.registration},2026-01-02T10:00:00Z\n".encode(),
    )
    return {
        "top-ups": top_up.pk,
        "top-up-steps": top_up.live_steps[0].pk,
        "imports": imported.pk,
        "aircraft": stand.aircraft.pk,
        "legs": stand.leg.pk,
        "type-sheets": stand.sheet.pk,
        "struts": stand.strut.pk,
        "tyres": stand.tyre.pk,
        "strut-installations": strut_row.pk,
        "tyre-installations": tyre_row.pk,
        "people": person.pk,
        "tokens": token.pk,
        "equipment": cylinder.pk,
        "usage": usage.pk,
        "readings": reading.pk,
        "tyre-readings": tyre_reading.pk,
        "servicings": servicing.pk,
        "records": entry.pk,
        "alerts": alert.pk,
        "reinspections": looks[0].pk,
        "outbox": mail.pk,
        "dispatch": stand.aircraft.registration,
    }
