"""A mistake is put right by a new row; sheets and installations change what is derived."""

from dataclasses import replace
from datetime import timedelta

import pytest

from fleet.aircraft.sheet_actions import change_type_sheet
from fleet.gear.installing import install_part, remove_part
from fleet.gear.kinds import STRUT
from fleet.refusals import Clash, Missing, Refused
from servicing.news.models import PartNews
from servicing.readings.correcting import correct_strut_reading, correct_tyre_reading, withdraw_strut_reading
from servicing.readings.models import StrutReading, TyreReading
from servicing.readings.recorrecting import recorrect_all_stale, recorrect_stale, rejoin_parts, renew_outdated
from tests.builders.fleet import LONG_AGO, NOW, a_strut, next_id
from tests.builders.readings import (
    a_stand,
    a_strut_entry,
    a_strut_reading,
    a_tyre_entry,
    a_tyre_reading,
    another_leg,
    stored_strut,
)

pytestmark = pytest.mark.django_db


def test_a_correction_is_a_new_row_and_the_old_one_no_longer_counts() -> None:
    stand = a_stand()
    wrong = a_strut_reading(stand, 4.5)
    entry = a_strut_entry(stand.leg, 4.0)

    right = correct_strut_reading(
        actor=stand.actor, now=NOW, reading_id=wrong.id, entry=entry, reason="read the wrong edge"
    )

    assert (wrong.id, "read the wrong edge", False) == (right.corrects_id, right.correction_reason, right.superseded)
    assert stored_strut(stand, wrong.id).superseded
    assert stored_strut(stand, wrong.id).extension_in == 4.5


def test_a_correction_sent_twice_acts_once() -> None:
    stand = a_stand()
    wrong, entry = a_strut_reading(stand), a_strut_entry(stand.leg, 4.0)
    values = {"actor": stand.actor, "now": NOW, "reading_id": wrong.id, "reason": "slip"}

    first = correct_strut_reading(entry=entry, **values)
    second = correct_strut_reading(entry=entry, **values)

    assert first == second
    with pytest.raises(Clash):
        correct_strut_reading(entry=replace(entry, extension_in=3.0), **values)


def test_a_reading_is_corrected_once_the_newest_is_next() -> None:
    stand = a_stand()
    wrong = a_strut_reading(stand)
    values = {"actor": stand.actor, "now": NOW, "reason": "slip"}
    right = correct_strut_reading(reading_id=wrong.id, entry=a_strut_entry(stand.leg, 4.0), **values)

    with pytest.raises(Clash):
        correct_strut_reading(reading_id=wrong.id, entry=a_strut_entry(stand.leg, 4.1), **values)
    newest = correct_strut_reading(reading_id=right.id, entry=a_strut_entry(stand.leg, 4.2), **values)

    live = StrutReading.objects.of(stand.operator).filter(superseded=False, withdrawn=False)
    assert [newest] == list(live)


def test_a_correction_may_move_a_reading_to_the_right_leg_and_both_struts_are_looked_at() -> None:
    stand = a_stand()
    other = another_leg(stand, "right main")
    wrong = a_strut_reading(stand)

    right = correct_strut_reading(
        actor=stand.actor, now=NOW, reading_id=wrong.id, entry=a_strut_entry(other), reason="wrong leg"
    )

    assert right.strut_id != wrong.strut_id
    arrived = dict(PartNews.objects.of(stand.operator).values_list("strut_id", "arrived"))
    assert {wrong.strut_id: 2, right.strut_id: 1} == arrived


def test_a_withdrawal_leaves_no_live_reading_and_loses_none() -> None:
    stand = a_stand()
    wrong = a_strut_reading(stand)
    values = {"actor": stand.actor, "now": NOW, "reading_id": wrong.id, "reason": "another aircraft"}
    withdrawal_id = next_id()

    taken_back = withdraw_strut_reading(withdrawal_id=withdrawal_id, **values)

    assert taken_back == withdraw_strut_reading(withdrawal_id=withdrawal_id, **values)
    rows = StrutReading.objects.of(stand.operator)
    assert (rows.count(), rows.filter(superseded=False, withdrawn=False).count()) == (2, 0)


def test_a_correction_without_reason_or_of_nothing_is_refused() -> None:
    stand = a_stand()
    wrong = a_strut_reading(stand)
    values = {"actor": stand.actor, "now": NOW, "entry": a_strut_entry(stand.leg)}

    with pytest.raises(Refused, match="why"):
        correct_strut_reading(reading_id=wrong.id, reason=" ", **values)
    with pytest.raises(Missing):
        correct_strut_reading(reading_id=a_strut_reading(a_stand()).id, reason="slip", **values)


def test_a_tyre_reading_is_corrected_likewise() -> None:
    stand = a_stand()
    wrong = a_tyre_reading(stand, 31.2)

    right = correct_tyre_reading(
        actor=stand.actor, now=NOW, reading_id=wrong.id, entry=a_tyre_entry(stand.leg, 13.2), reason="digits swapped"
    )

    assert wrong.id == right.corrects_id
    assert TyreReading.objects.of(stand.operator).get(pk=wrong.pk).superseded


def test_a_withdrawn_neighbour_no_longer_lends_its_temperature() -> None:
    stand = a_stand()
    neighbour = a_strut_reading(stand, temperature_f=20.0)
    reading = a_strut_reading(stand, temperature_f=None, taken_at=neighbour.taken_at + timedelta(minutes=5))

    withdraw_strut_reading(
        actor=stand.actor, now=NOW, reading_id=neighbour.id, withdrawal_id=next_id(), reason="another aircraft"
    )

    assert (reading.temperature_used_f, stored_strut(stand, reading.id).temperature_used_f) == (20.0, 70.0)


def test_a_changed_sheet_corrects_its_readings_anew_and_only_once() -> None:
    stand = a_stand()
    reading = a_strut_reading(stand, temperature_f=30.0)
    stand.sheet.gas_column_in = 4.0
    stand.sheet.version = 2
    stand.sheet.save()

    counts = [
        recorrect_all_stale(),
        recorrect_all_stale(),
        recorrect_stale(operator_id=stand.operator.id, sheet_id=stand.sheet.id),
    ]

    assert counts == [1, 0, 0]
    anew = stored_strut(stand, reading.id)
    assert (anew.extension_in, anew.corrected_sheet_version) == (4.5, 2)
    assert anew.gas_term_in > reading.gas_term_in
    assert PartNews.objects.of(stand.operator).get(strut=stand.strut).arrived == 2


def test_a_sheet_that_no_longer_fits_an_old_reading_still_corrects_it() -> None:
    stand = a_stand()
    reading = a_strut_reading(stand, 8.4)
    stand.sheet.full_extension_in = 7.0
    stand.sheet.version = 2
    stand.sheet.save()

    recorrect_all_stale()

    assert stored_strut(stand, reading.id).uncertainty_in > 1.0


def test_a_changed_installation_gives_readings_their_strut() -> None:
    stand = a_stand()
    reading = a_strut_reading(stand)
    stand.strut.installations.update(removed_at=LONG_AGO + timedelta(days=10))
    newer = a_strut(stand.operator, stand.leg, installed_at=LONG_AGO + timedelta(days=10))

    moved = rejoin_parts(operator_id=stand.operator.id, leg_ids=[stand.leg.id])

    assert (1, newer.id) == (moved, stored_strut(stand, reading.id).strut_id)


def test_a_sheet_changed_in_the_fleet_leads_to_corrected_readings() -> None:
    stand = a_stand()
    reading = a_strut_reading(stand, temperature_f=30.0)
    change_type_sheet(
        actor=stand.actor, now=NOW, sheet_id=stand.sheet.id, version=1, changes={"reference_temperature_f": 50.0}
    )

    counts = [renew_outdated(), renew_outdated()]

    assert counts == [1, 0]
    anew = stored_strut(stand, reading.id)
    assert anew.corrected_sheet_version == 2
    assert anew.gas_term_in == pytest.approx(reading.gas_term_in / 2, rel=0.01)


def test_a_strut_put_on_later_for_an_earlier_time_gets_its_readings() -> None:
    stand = a_stand()
    reading = a_strut_reading(stand)
    remove_part(
        actor=stand.actor,
        now=NOW,
        kind=STRUT,
        part_id=stand.strut.id,
        removed_at=LONG_AGO + timedelta(days=9),
        reason="",
    )
    other = a_strut(stand.operator)
    install_part(
        actor=stand.actor, now=NOW, kind=STRUT, part_id=other.id, leg_id=stand.leg.id,
        installed_at=LONG_AGO + timedelta(days=9),
    )  # fmt: skip

    renew_outdated()

    assert stored_strut(stand, reading.id).strut_id == other.id
    assert PartNews.objects.of(stand.operator).filter(strut=other, arrived__gt=0).exists()
