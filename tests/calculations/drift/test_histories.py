"""Order and duplicates: a finding is a function of what was read, not of when it arrived."""

from dataclasses import fields, replace

import numpy as np
import pytest

from calculations.drift import Events, Histories, Readings, arrange, assess
from calculations.errors import CalculationError
from tests.simulator import Fleet
from tests.simulator.as_histories import readings_of, struts_of, work_of


def taken(readings: Readings, rows: np.ndarray) -> Readings:
    return Readings(**{field.name: getattr(readings, field.name)[rows] for field in fields(Readings)})


def same(one: Histories, other: Histories) -> bool:
    return all(
        np.array_equal(getattr(one.readings, field.name), getattr(other.readings, field.name))
        for field in fields(Readings)
    )


def test_arrival_order_of_readings_and_work_does_not_matter(leaking_fleet: Fleet) -> None:
    readings, struts, work = readings_of(leaking_fleet), struts_of(leaking_fleet), work_of(leaking_fleet)
    rng = np.random.default_rng(1)
    mixed = taken(readings, rng.permutation(len(readings.day)))
    order = rng.permutation(len(work.day))
    mixed_work = Events(work.series[order], work.day[order], work.kind[order])

    expected, actual = arrange(readings, struts, work), arrange(mixed, struts, mixed_work)

    assert same(expected, actual)
    first, second = assess(expected, now_day=731.0), assess(actual, now_day=731.0)
    for field in fields(first):
        np.testing.assert_array_equal(getattr(first, field.name), getattr(second, field.name))


def test_a_reading_sent_twice_changes_nothing_and_is_reported(leaking_fleet: Fleet) -> None:
    readings, struts, work = readings_of(leaking_fleet), struts_of(leaking_fleet), work_of(leaking_fleet)
    twice = taken(readings, np.concatenate([np.arange(len(readings.day)), [3, 40, 41]]))

    once, again = arrange(readings, struts, work), arrange(twice, struts, work)

    assert same(once, again)
    assert len(again.duplicate_rows) == 3


@pytest.mark.parametrize("name", [field.name for field in fields(Readings) if field.name not in ("series", "day")])
def test_two_readings_of_one_minute_that_differ_in_anything_both_count(leaking_fleet: Fleet, name: str) -> None:
    readings, struts, work = readings_of(leaking_fleet), struts_of(leaking_fleet), work_of(leaking_fleet)
    twice = taken(readings, np.concatenate([np.arange(len(readings.day)), [3]]))
    column = getattr(twice, name).copy()
    column[-1] = not column[-1] if column.dtype == bool else column[-1] + 0.125

    both = arrange(replace(twice, **{name: column}), struts, work)

    assert len(both.readings.day) == len(readings.day) + 1
    assert len(both.duplicate_rows) == 0


def test_two_readings_of_one_minute_have_one_order(leaking_fleet: Fleet) -> None:
    readings, struts, work = readings_of(leaking_fleet), struts_of(leaking_fleet), work_of(leaking_fleet)
    day = readings.day.copy()
    day[1] = day[0]
    readings = replace(readings, day=day)
    swapped = np.arange(len(day))
    swapped[:2] = [1, 0]

    assert same(arrange(readings, struts, work), arrange(taken(readings, swapped), struts, work))


def test_source_rows_lead_back_to_the_readings_given(leaking_fleet: Fleet) -> None:
    readings = readings_of(leaking_fleet)
    order = np.random.default_rng(2).permutation(len(readings.day))
    mixed = taken(readings, order)

    histories = arrange(mixed, struts_of(leaking_fleet), work_of(leaking_fleet))

    np.testing.assert_array_equal(mixed.raw_in[histories.source_row], histories.readings.raw_in)


def test_every_fault_of_the_arrays_is_named_at_once(leaking_fleet: Fleet) -> None:
    readings, struts, work = readings_of(leaking_fleet), struts_of(leaking_fleet), work_of(leaking_fleet)
    broken = replace(readings, corrected_in=readings.corrected_in[:-1], day=np.full(len(readings.day), np.nan))
    lost = replace(work, series=np.full(len(work.series), 999))

    with pytest.raises(CalculationError) as caught:
        arrange(broken, struts, lost)

    assert {(fault.field, fault.code) for fault in caught.value.faults} == {
        ("readings.corrected_in", "wrong_length"),
        ("readings.day", "not_finite"),
        ("work.series", "no_such_series"),
    }


def test_one_strut_is_assessed_alone_as_it_is_among_many(leaking_histories: Histories) -> None:
    among = assess(leaking_histories, now_day=731.0)
    alone = assess(leaking_histories.select(np.array([17])), now_day=731.0)

    assert among.finding[17] == alone.finding[0]
    assert among.loss_in_per_month[17] == pytest.approx(alone.loss_in_per_month[0], rel=1e-6)
    assert among.breach_day[17] == pytest.approx(alone.breach_day[0], rel=1e-6, nan_ok=True)
