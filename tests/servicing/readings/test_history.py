"""Histories come as columns, in canonical order, without what no longer counts."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from servicing.readings.correcting import withdraw_strut_reading
from servicing.readings.history import (
    FLUID_WET,
    LEVEL_LOW,
    as_uuid,
    fetch_strut_histories,
    fetch_tyre_histories,
)
from tests.builders.fleet import NOW, next_id
from tests.builders.readings import a_stand, a_strut_entry, a_tyre_reading, strut_readings

pytestmark = pytest.mark.django_db


def test_each_strut_has_its_rows_in_order_of_time() -> None:
    one, bare, other = a_stand(), a_stand(), a_stand()
    days = [5, 1, 3]
    rows = strut_readings(one, [a_strut_entry(one.leg, 4 + d / 10, taken_at=NOW - timedelta(days=d)) for d in days])
    strut_readings(other, [a_strut_entry(other.leg, 3.5)])

    found = fetch_strut_histories([other.strut.id, one.strut.id, bare.strut.id])

    number = found.strut_ids.index(one.strut.id)
    mine = slice(found.offsets[number], found.offsets[number + 1])
    assert pytest.approx(found.extension_in[mine]) == [4.5, 4.3, 4.1]
    assert [rows[0].id, rows[2].id, rows[1].id] == [as_uuid(raw) for raw in found.reading_id[mine]]
    assert {int(n): list(np.diff(found.offsets)).count(n) for n in (0, 1, 3)} == {0: 1, 1: 1, 3: 1}
    assert [found.strut_ids.index(one.strut.id)] * 3 == list(found.series[mine])


def test_columns_hold_what_the_rows_hold() -> None:
    stand = a_stand()
    taken_at = datetime(2026, 2, 28, 23, 59, 59, 250000, tzinfo=UTC)
    row = strut_readings(
        stand,
        [
            a_strut_entry(
                stand.leg,
                4.0625,
                taken_at=taken_at,
                temperature_f=None,
                fluid_seen="wet",
                fluid_level="low",
                observations=("bottoms in taxi",),
            )
        ],
    )[0]

    found = fetch_strut_histories([stand.strut.id])

    for name in ("corrected_in", "uncertainty_in", "scale_in", "temperature_used_f", "load_lbf", "load_sd_lbf"):
        assert getattr(found, name)[0] == getattr(row, name), name
    assert taken_at.timestamp() / 86400 == pytest.approx(found.day[0], abs=1e-9)
    assert (found.fluid_seen[0], found.fluid_level[0]) == (FLUID_WET, LEVEL_LOW)
    assert [
        bool(column[0])
        for column in (found.exercised, found.temperature_read, found.bottoms_in_taxi, found.valve_bubbles)
    ] == [True, False, True, False]
    assert np.isnan(found.pressure_psig[0])


def test_readings_taken_back_are_left_out() -> None:
    stand = a_stand()
    kept, wrong = strut_readings(
        stand, [a_strut_entry(stand.leg), a_strut_entry(stand.leg, taken_at=NOW - timedelta(days=1))]
    )
    withdraw_strut_reading(
        actor=stand.actor, now=NOW, reading_id=wrong.id, withdrawal_id=next_id(), reason="another aircraft"
    )

    found = fetch_strut_histories([stand.strut.id])

    assert [kept.id] == [as_uuid(raw) for raw in found.reading_id]


def test_no_struts_have_no_histories() -> None:
    found = fetch_strut_histories([])

    assert (found.strut_ids, len(found.day), list(found.offsets)) == ((), 0, [0])


def test_tyres_come_likewise() -> None:
    stand = a_stand()
    pressed = a_tyre_reading(stand, 30.0)
    a_tyre_reading(stand, None, tread_in=0.2, taken_at=NOW - timedelta(days=2))

    found = fetch_tyre_histories([stand.tyre.id])

    assert list(found.tread_in[:1]) == [0.2]
    assert np.isnan(found.pressure_psig[0])
    assert pressed.corrected_psig == found.corrected_psig[1]
    assert list(found.loaded) == [True, True]


def test_many_struts_are_fetched_together() -> None:
    ids = [next_id() for _ in range(2000)]
    stand = a_stand()
    strut_readings(stand, [a_strut_entry(stand.leg)])

    found = fetch_strut_histories([*ids, stand.strut.id])

    assert (len(found.strut_ids), len(found.day)) == (2001, 1)
