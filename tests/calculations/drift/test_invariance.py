"""What drift concludes depends on the struts alone: not on units, epoch, order of arrival or company."""

from dataclasses import fields, replace
from random import Random

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose, assert_array_equal

from calculations.drift import Events, FleetHabits, Histories, Readings, Struts, Work, arrange, assess
from calculations.drift.mirror import upside_down
from calculations.drift.model import STRUT_MODEL, DriftModel
from calculations.drift.sweep import LANES, Swept, sweep

LENGTHS_OF_MODEL = (
    "first_level_sd",
    "seep_mean_per_month",
    "seep_sd_per_month",
    "level_walk_per_month",
    "reader_sd",
    "friction_exercised_sd",
    "friction_resting_sd",
    "unrecorded_top_up_sd",
    "doubted_level_sd",
)
SINGLE_PRECISION = 2e-4
PER_DAY = 64
"""Moments of a day that binary numbers hold exactly, so that another epoch rounds nothing."""

seeds = st.integers(0, 2**32 - 1)
few = settings(max_examples=15)


def fleet(seed: int, struts: int = 4, most_readings: int = 40) -> tuple[Readings, Struts, Events]:
    """Draw a small fleet: leaks, blunders, work, struts with few readings or none, in no order."""
    rng = np.random.default_rng(seed)
    series = np.repeat(np.arange(struts), rng.integers(0, most_readings + 1, struts))
    size, jobs, one = len(series), 2 * struts, np.ones(struts)
    day = rng.integers(0, 600 * PER_DAY, size) / PER_DAY
    value = 4.5 - rng.choice([0.0, 0.2], struts)[series] * day / 300.0 + rng.normal(0.0, 0.1, size)
    value += np.where(rng.random(size) < 0.05, rng.choice([-1.5, 1.5], size), 0.0)
    order = rng.permutation(size)
    readings = Readings(
        series, day, value, value, rng.normal(0.0, 20.0, size), rng.normal(0.0, 60.0, size), rng.random(size) < 0.7,
        np.full(size, 4.0), np.full(size, 8.0), np.full(size, 0.125),
    )  # fmt: skip
    return (
        Readings(**{f.name: getattr(readings, f.name)[order] for f in fields(Readings)}),
        Struts(4.5 * one, 4.0 * one, 5.0 * one, 8.0 * one, 0.017 * one, -0.0075 * one, 0.002 * one, 0.0012 * one),
        Events(
            rng.integers(0, struts, jobs),
            rng.integers(0, 600 * PER_DAY, jobs) / PER_DAY,
            rng.choice([Work.GAS_ADDED, Work.FLUID_ADDED, Work.SEALS], jobs),
        ),
    )


def in_other_lengths(model: DriftModel, scale: float) -> DriftModel:
    """Return the same beliefs in another unit of length."""
    return replace(
        model,
        **{name: scale * getattr(model, name) for name in LENGTHS_OF_MODEL},
        rates_per_month=tuple(scale * rate for rate in model.rates_per_month),
        baselines={
            kind: replace(effect, reopen_sd=scale * effect.reopen_sd, settle_sd=scale * effect.settle_sd)
            for kind, effect in model.baselines.items()
        },
    )


def assert_same_evidence(found: Swept, expected: Swept) -> None:
    assert_array_equal(found.outlier, expected.outlier)
    assert_allclose(found.surprise, expected.surprise, rtol=1e-6, atol=1e-6)
    assert_allclose(found.evidence, expected.evidence, rtol=SINGLE_PRECISION, atol=SINGLE_PRECISION)


@few
@given(seeds, st.sampled_from([25.4, 2.54, 1 / 12]))
def test_evidence_does_not_depend_on_the_unit_of_length(seed: int, scale: float) -> None:
    readings, struts, work = fleet(seed)
    expected = sweep(arrange(readings, struts, work), STRUT_MODEL, FleetHabits())

    scaled = replace(
        readings,
        **{name: scale * getattr(readings, name) for name in ("corrected_in", "raw_in", "scale_in")},
    )
    longer = Struts(**{f.name: scale * getattr(struts, f.name) for f in fields(Struts)})
    habits = FleetHabits(seep_mean_per_month=-0.004 * scale, seep_sd_per_month=0.003 * scale)
    found = sweep(arrange(scaled, longer, work), in_other_lengths(STRUT_MODEL, scale), habits)

    assert_same_evidence(found, expected)
    assert_allclose(found.level, scale * expected.level, rtol=1e-6)
    assert_allclose(found.state, scale * expected.state, rtol=1e-6, atol=1e-9)


@few
@given(seeds, st.floats(0.3, 3.0), st.floats(0.3, 6.0))
def test_evidence_does_not_depend_on_the_units_of_temperature_and_load(
    seed: int, warmth: float, weight: float
) -> None:
    readings, struts, work = fleet(seed)
    expected = sweep(arrange(readings, struts, work), STRUT_MODEL, FleetHabits())

    other = replace(
        readings,
        temperature_offset_f=readings.temperature_offset_f * warmth,
        temperature_sd_f=readings.temperature_sd_f * warmth,
        load_offset_lbf=readings.load_offset_lbf * weight,
        load_sd_lbf=readings.load_sd_lbf * weight,
    )
    slopes = replace(
        struts,
        temperature_slope_in_per_f=struts.temperature_slope_in_per_f / warmth,
        temperature_slope_sd=struts.temperature_slope_sd / warmth,
        load_slope_in_per_lbf=struts.load_slope_in_per_lbf / weight,
        load_slope_sd=struts.load_slope_sd / weight,
    )

    assert_same_evidence(sweep(arrange(other, slopes, work), STRUT_MODEL, FleetHabits()), expected)


@few
@given(seeds, st.integers(-20_000, 20_000), st.floats(-2.0, 2.0))
def test_evidence_does_not_depend_on_the_epoch_or_on_where_the_ruler_begins(
    seed: int, days: int, more: float
) -> None:
    readings, struts, work = fleet(seed)
    expected = sweep(arrange(readings, struts, work), STRUT_MODEL, FleetHabits())

    later = replace(readings, day=readings.day + days, corrected_in=readings.corrected_in + more)
    higher = replace(struts, target_in=struts.target_in + more)
    found = sweep(arrange(later, higher, replace(work, day=work.day + days)), STRUT_MODEL, FleetHabits())

    assert_same_evidence(found, expected)
    assert_allclose(found.level, expected.level + more, rtol=0, atol=1e-6)


@few
@given(seeds, st.randoms(use_true_random=False))
def test_order_of_arrival_and_sending_twice_change_nothing(seed: int, random: Random) -> None:
    readings, struts, work = fleet(seed)
    rows = list(range(len(readings.day)))
    again = rows + random.sample(rows, len(rows) // 3)
    random.shuffle(again)
    jobs = list(range(len(work.day)))
    random.shuffle(jobs)

    shuffled = Readings(**{f.name: getattr(readings, f.name)[again] for f in fields(Readings)})
    mixed = Events(work.series[jobs], work.day[jobs], work.kind[jobs])
    found = assess(arrange(shuffled, struts, mixed), now_day=600.0)
    expected = assess(arrange(readings, struts, work), now_day=600.0)

    for column in fields(expected):
        assert_array_equal(getattr(found, column.name), getattr(expected, column.name), err_msg=column.name)


@few
@given(seeds)
def test_a_history_turned_upside_down_twice_is_itself(seed: int) -> None:
    histories = arrange(*fleet(seed))

    back = upside_down(upside_down(histories))

    assert_allclose(back.readings.corrected_in, histories.readings.corrected_in, rtol=1e-12)
    assert_array_equal(back.struts.temperature_slope_in_per_f, histories.struts.temperature_slope_in_per_f)
    assert_array_equal(back.struts.load_slope_in_per_lbf, histories.struts.load_slope_in_per_lbf)


def test_a_fleet_too_large_for_one_pass_is_told_as_its_halves_are() -> None:
    histories = arrange(*fleet(11, struts=LANES + 200, most_readings=6))
    whole = sweep(histories, STRUT_MODEL, FleetHabits())

    half = LANES // 2 + 100
    parts = [histories.select(np.arange(half)), histories.select(np.arange(half, histories.count))]
    first, second = (sweep(part, STRUT_MODEL, FleetHabits()) for part in parts)

    assert_allclose(whole.evidence, np.concatenate([first.evidence, second.evidence]), rtol=1e-5, atol=1e-5)
    assert_allclose(whole.level, np.concatenate([first.level, second.level]), rtol=1e-9)
    assert_allclose(whole.state, np.concatenate([first.state, second.state], axis=1), rtol=1e-9, atol=1e-12)
    assert_array_equal(whole.outlier, np.concatenate([first.outlier, second.outlier]))


def test_a_strut_is_told_the_same_alone_and_in_company() -> None:
    histories: Histories = arrange(*fleet(12, struts=9))
    together = assess(histories, now_day=600.0)

    for series in range(histories.count):
        alone = assess(histories.select(np.array([series])), now_day=600.0)
        assert alone.finding[0] == together.finding[series]
        assert alone.level[0] == together.level[series]
        assert_allclose(alone.evidence[0], together.evidence[series], rtol=1e-5, atol=1e-5)
        assert_allclose(alone.loss_in_per_month[0], together.loss_in_per_month[series], rtol=1e-5)
