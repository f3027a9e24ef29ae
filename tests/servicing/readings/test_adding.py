"""Readings come in: joined, corrected, stored once."""

from dataclasses import replace
from datetime import timedelta

import pytest

from fleet.people.actor import ForbiddenError
from fleet.people.models import Role
from fleet.refusals import Clash, Refused
from servicing.news.models import PartNews
from servicing.readings.actions import add_strut_reading, add_strut_readings
from servicing.readings.models import StrutReading
from tests.builders.fleet import LONG_AGO, NOW, a_strut, an_actor, next_id
from tests.builders.readings import a_stand, a_strut_entry, a_strut_reading, stored_strut

pytestmark = pytest.mark.django_db


def test_a_reading_at_the_sheets_conditions_is_its_own_correction() -> None:
    stand = a_stand()

    reading = a_strut_reading(stand, 4.25)

    assert (4.25, 700.0, stand.strut.id) == (
        reading.extension_in,
        reading.load_lbf,
        reading.strut_id,
    )
    assert pytest.approx(4.25, abs=1e-9) == reading.corrected_in
    assert 0.05 < reading.uncertainty_in < 0.2


def test_the_terms_lead_from_the_reading_to_the_corrected_extension() -> None:
    stand = a_stand()

    reading = a_strut_reading(stand, 3.5, temperature_f=20.0, fuel_lb=300.0, occupants_lb=170.0)

    terms = (
        reading.gas_term_in
        + reading.real_gas_term_in
        + reading.fluid_term_in
        + reading.load_term_in
        + reading.air_pressure_term_in
    )
    assert pytest.approx(reading.corrected_in) == reading.extension_in + terms
    assert pytest.approx(700.0 + 0.41 * 100 + 0.33 * 170) == reading.load_lbf
    assert reading.gas_term_in > 0
    assert reading.load_term_in > 0


def test_a_weighed_load_goes_before_fuel_and_people() -> None:
    reading = a_strut_reading(a_stand(), fuel_lb=20.0, leg_load_lbf=655.0)

    assert (655.0, pytest.approx(6.55)) == (reading.load_lbf, reading.load_sd_lbf)


def test_a_reading_marks_its_strut_as_having_news() -> None:
    stand = a_stand()

    a_strut_reading(stand)

    news = PartNews.objects.of(stand.operator).get(strut=stand.strut)
    assert (news.arrived, news.assessed) == (1, 0)


def test_the_strut_is_the_one_that_was_on_the_leg_then() -> None:
    stand = a_stand()
    stand.strut.installations.update(removed_at=LONG_AGO + timedelta(days=100))
    newer = a_strut(stand.operator, stand.leg, installed_at=LONG_AGO + timedelta(days=101))

    before = a_strut_reading(stand, taken_at=LONG_AGO + timedelta(days=50))
    after = a_strut_reading(stand, taken_at=LONG_AGO + timedelta(days=150))

    assert [stand.strut.id, newer.id] == [before.strut_id, after.strut_id]
    with pytest.raises(Refused) as refusal:
        a_strut_reading(stand, taken_at=LONG_AGO + timedelta(days=100, hours=5))
    assert [fault.code for fault in refusal.value.faults] == ["no_part_installed"]


def test_the_same_id_with_the_same_content_changes_nothing() -> None:
    stand = a_stand()
    entry = a_strut_entry(stand.leg)

    first = add_strut_reading(actor=stand.actor, now=NOW, entry=entry)
    second = add_strut_reading(actor=stand.actor, now=NOW + timedelta(days=1), entry=entry)

    assert [(first.saved, first.known), (second.saved, second.known)] == [(1, 0), (0, 1)]
    assert stored_strut(stand, entry.id).received_at == NOW
    assert PartNews.objects.of(stand.operator).get(strut=stand.strut).arrived == 1


def test_the_same_id_with_other_content_is_a_clash() -> None:
    stand = a_stand()
    entry = a_strut_entry(stand.leg)
    add_strut_reading(actor=stand.actor, now=NOW, entry=entry)

    with pytest.raises(Clash) as refusal:
        add_strut_reading(actor=stand.actor, now=NOW, entry=replace(entry, extension_in=4.0))

    assert [fault.code for fault in refusal.value.faults] == ["known_otherwise"]
    assert stored_strut(stand, entry.id).extension_in == 4.5


def test_an_id_of_another_operator_is_taken() -> None:
    entry = a_strut_entry(a_stand().leg)
    stranger = a_stand()
    other = a_strut_reading(stranger, id=entry.id)

    stand = a_stand()
    with pytest.raises(Clash) as refusal:
        a_strut_reading(stand, id=other.id)

    assert [fault.code for fault in refusal.value.faults] == ["id_taken"]


def test_every_fault_of_a_batch_is_named_and_nothing_is_saved() -> None:
    stand = a_stand()
    entries = [
        a_strut_entry(stand.leg),
        a_strut_entry(stand.leg, taken_at=NOW + timedelta(hours=1)),
        a_strut_entry(stand.leg, 9.9, temperature_f=400.0),
        a_strut_entry(stand.leg, 9.9),
        a_strut_entry(a_stand().leg),
    ]

    with pytest.raises(Refused) as refusal:
        add_strut_readings(actor=stand.actor, now=NOW, entries=entries)

    assert [(fault.field, fault.code) for fault in refusal.value.faults] == [
        ("readings.1.taken_at", "in_the_future"),
        ("readings.2.temperature", "out_of_range"),
        ("readings.3.extension", "beyond_tube"),
        ("readings.4.leg", "unknown_leg"),
    ]
    assert StrutReading.objects.of(stand.operator).count() == 0


def test_a_reader_may_not_add_readings() -> None:
    stand = a_stand()

    with pytest.raises(ForbiddenError):
        add_strut_reading(actor=an_actor(stand.operator, Role.READER), now=NOW, entry=a_strut_entry(stand.leg))


def test_a_missing_temperature_is_estimated_from_the_same_visit_and_widens_the_uncertainty() -> None:
    stand = a_stand()
    known = a_strut_reading(stand, 4.0, temperature_f=30.0)

    reading = a_strut_reading(stand, 4.0, temperature_f=None, taken_at=known.taken_at + timedelta(minutes=10))

    assert (reading.temperature_f, reading.temperature_used_f) == (None, 30.0)
    assert reading.temperature_sd_f > known.temperature_sd_f
    assert reading.uncertainty_in > known.uncertainty_in


def test_without_any_neighbour_the_sheets_temperature_is_taken_with_a_wide_uncertainty() -> None:
    reading = a_strut_reading(a_stand(), temperature_f=None)

    assert reading.temperature_used_f == 70.0
    assert reading.temperature_sd_f > 20.0
    assert reading.uncertainty_in > 0.25


def test_missing_fuel_is_estimated_and_widens_the_uncertainty() -> None:
    stand = a_stand()

    known, missing = a_strut_reading(stand), a_strut_reading(stand, fuel_lb=None, taken_at=NOW - timedelta(days=3))

    assert missing.fuel_lb is None
    assert missing.load_sd_lbf > 3 * known.load_sd_lbf
    assert missing.uncertainty_in > known.uncertainty_in


@pytest.mark.parametrize("late", [0, 1, 2])
def test_the_order_of_arrival_leaves_no_trace(late: int) -> None:
    stand = a_stand()
    entries = [
        a_strut_entry(stand.leg, 4.4, taken_at=NOW - timedelta(days=3), temperature_f=40.0),
        a_strut_entry(stand.leg, 4.3, taken_at=NOW - timedelta(days=2), temperature_f=None),
        a_strut_entry(stand.leg, 4.2, taken_at=NOW - timedelta(days=1), temperature_f=50.0, fuel_lb=None),
    ]
    add_strut_readings(actor=stand.actor, now=NOW, entries=entries)
    together = _derived(stand, entries)

    again = a_stand(stand.operator)
    entries = [replace(entry, id=next_id(), leg_id=again.leg.id) for entry in entries]
    ordered = [entry for number, entry in enumerate(entries) if number != late] + [entries[late]]
    for entry in ordered:
        add_strut_reading(actor=again.actor, now=NOW, entry=entry)

    assert together == _derived(again, entries)


def _derived(stand, entries):  # type: ignore[no-untyped-def]  # rows of plain numbers
    rows = [stored_strut(stand, entry.id) for entry in entries]
    return [(row.temperature_used_f, row.load_lbf, row.corrected_in, row.uncertainty_in) for row in rows]
