"""Histories come as columns, without what no longer counts."""

from datetime import UTC, datetime, timedelta

import pytest

from servicing.readings.correcting import withdraw_strut_reading
from servicing.readings.history import LOOKS, fetch_struts
from tests.builders.fleet import NOW, next_id
from tests.builders.readings import a_stand, a_strut_entry, strut_readings

pytestmark = pytest.mark.django_db


def test_each_reading_says_which_of_the_struts_it_is_of() -> None:
    one, bare, other = a_stand(), a_stand(), a_stand()
    strut_readings(one, [a_strut_entry(one.leg, 4 + d / 10, taken_at=NOW - timedelta(days=d)) for d in (5, 1, 3)])
    strut_readings(other, [a_strut_entry(other.leg, 3.5)])

    found = fetch_struts([other.strut.id, bare.strut.id, one.strut.id])

    rows = sorted(zip(found.series.tolist(), found.extension_in.tolist(), strict=True))
    assert rows == [(0, 3.5), (2, 4.1), (2, 4.3), (2, 4.5)]


@pytest.mark.parametrize("exercised", [True, False])
def test_columns_hold_what_the_rows_hold(exercised: bool) -> None:
    stand = a_stand()
    taken_at = datetime(2026, 2, 28, 23, 59, 59, 250000, tzinfo=UTC)
    entry = a_strut_entry(
        stand.leg,
        4.0625,
        taken_at=taken_at,
        temperature_f=None,
        exercised=exercised,
        fluid_seen="wet",
        fluid_level="low",
        observations=("bottoms in taxi",),
    )
    row = strut_readings(stand, [entry])[0]

    found = fetch_struts([stand.strut.id])

    for name in ("corrected_in", "scale_in", "temperature_used_f", "temperature_sd_f", "load_lbf", "load_sd_lbf"):
        assert getattr(found, name)[0] == getattr(row, name), name
    assert found.day[0] == pytest.approx(taken_at.timestamp() / 86400, abs=1e-9)
    assert found.id_of(0) == row.id
    assert bool(found.exercised[0]) == exercised
    seen = [value for bit, (_, value) in enumerate(LOOKS) if int(found.looks[0]) >> bit & 1]
    assert seen == ["wet", "low", "bottoms in taxi"]


def test_readings_taken_back_are_left_out() -> None:
    stand = a_stand()
    kept, wrong = strut_readings(
        stand, [a_strut_entry(stand.leg), a_strut_entry(stand.leg, taken_at=NOW - timedelta(days=1))]
    )
    withdraw_strut_reading(
        actor=stand.actor, now=NOW, reading_id=wrong.id, withdrawal_id=next_id(), reason="another aircraft"
    )

    found = fetch_struts([stand.strut.id])

    assert [found.id_of(row) for row in range(len(found.day))] == [kept.id]


def test_no_struts_have_no_histories() -> None:
    assert len(fetch_struts([]).day) == 0


def test_many_struts_are_fetched_together() -> None:
    stand = a_stand()
    strut_readings(stand, [a_strut_entry(stand.leg)])

    found = fetch_struts([*(next_id() for _ in range(2000)), stand.strut.id])

    assert found.series.tolist() == [2000]
