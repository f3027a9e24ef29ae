"""Findings, levels and what became of each reading, on small invented histories."""

from dataclasses import replace

import numpy as np
import pytest

from calculations.drift import (
    DISPOSITIONS,
    FINDINGS,
    Assessments,
    CheckFirst,
    Disposition,
    Events,
    Finding,
    FleetHabits,
    Histories,
    Level,
    Readings,
    Seen,
    Settings,
    Struts,
    Work,
    arrange,
    assess,
    fluid_probability,
    replay,
)
from calculations.drift.assess import alerts_after_each
from calculations.drift.forecast import not_ruled_out
from calculations.drift.model import STRUT_MODEL
from calculations.drift.replay import cut_off
from calculations.drift.sweep import sweep
from calculations.errors import CalculationError

ONE = np.ones(1)
STRUT = Struts(
    4.5 * ONE, 4.0 * ONE, 5.0 * ONE, 8.5 * ONE, 0.0167 * ONE, -0.0075 * ONE, 0.002 * ONE, 0.0012 * ONE
)  # fmt: skip


def happened(rows: tuple[tuple[float, int], ...]) -> Events:
    day, kind = np.array([d for d, _ in rows]), np.array([int(k) for _, k in rows], np.int64)
    return Events(np.zeros(len(rows), np.int64), day, kind)


def strut_history(
    corrected_in: np.ndarray,
    day: np.ndarray,
    *,
    raw_in: np.ndarray | None = None,
    exercised: np.ndarray | None = None,
    work: tuple[tuple[float, Work], ...] = (),
    seen: tuple[tuple[float, Seen], ...] = (),
) -> Histories:
    size = len(day)
    return arrange(
        Readings(
            series=np.zeros(size, np.int64),
            day=day,
            corrected_in=corrected_in,
            raw_in=corrected_in if raw_in is None else raw_in,
            temperature_offset_f=np.zeros(size),
            load_offset_lbf=np.zeros(size),
            exercised=np.ones(size, bool) if exercised is None else exercised,
            temperature_sd_f=np.full(size, 4.0),
            load_sd_lbf=np.full(size, 8.0),
            scale_in=np.full(size, 0.125),
        ),
        STRUT,
        happened(work),
        happened(seen),
    )


def found(assessments: Assessments) -> Finding:
    return FINDINGS[assessments.finding[0]]


DAYS = np.arange(0.0, 300.0, 5.0)
NOISE = np.random.default_rng(11).normal(0.0, 0.1, len(DAYS))
STEADY = 4.5 + NOISE
LOSING = STEADY - 0.2 * np.maximum(DAYS - 180.0, 0.0) / 30.44


def test_a_steady_strut_is_steady() -> None:
    result = assess(strut_history(STEADY, DAYS), now_day=300.0)

    assert found(result) is Finding.STEADY
    assert result.level[0] == Level.NONE
    assert result.readings_used[0] == len(DAYS)
    assert np.isnan(result.breach_day[0])


def test_a_losing_strut_is_found_with_rate_onset_and_date() -> None:
    until = DAYS < 245.0
    result = assess(strut_history(LOSING[until], DAYS[until]), now_day=245.0)

    assert found(result) is Finding.LOSING_CHARGE
    assert result.check_first[0] is CheckFirst.LOOK_FOR_FLUID
    assert result.loss_low[0] < 0.2 < result.loss_high[0]
    assert 130.0 < result.onset_day[0] < 215.0
    # What is told of each reading is on the line that the chart draws down to the level told.
    assert result.fitted_in[until.sum() - 1] == result.level_in[0]
    assert result.fitted_in[until.sum() - 3] > result.level_in[0]
    assert result.level[0] in (Level.CAUTION, Level.WARNING)


def test_near_the_limit_it_says_service_now_and_gives_no_date() -> None:
    result = assess(strut_history(LOSING, DAYS), now_day=300.0)

    assert result.service_now[0]
    assert np.isnan(result.breach_day[0])
    assert result.level[0] == Level.WARNING


@pytest.mark.parametrize(
    ("seen", "expected", "look"),
    [
        ((Seen.FLUID_WET, Seen.FLUID_LEVEL_LOW), Finding.LOSING_FLUID, CheckFirst.CHECK_FLUID_LEVEL),
        ((Seen.FLUID_WET,), Finding.LOSING_FLUID, CheckFirst.CHECK_FLUID_LEVEL),
        ((Seen.FLUID_DRY,), Finding.LOSING_GAS, CheckFirst.SOAP_THE_VALVE),
        ((Seen.FLUID_WET, Seen.BUBBLES_AT_VALVE), Finding.LOSING_GAS, CheckFirst.SOAP_THE_VALVE),
        ((Seen.HOLDS_PRESSURE_ON_JACKS,), Finding.LOSING_CHARGE, CheckFirst.LOOK_FOR_FLUID),
        ((), Finding.LOSING_CHARGE, CheckFirst.LOOK_FOR_FLUID),
    ],
)
def test_gas_and_fluid_are_told_apart_only_by_what_was_seen(
    seen: tuple[Seen, ...], expected: Finding, look: CheckFirst
) -> None:
    history = strut_history(LOSING, DAYS, seen=tuple((290.0, kind) for kind in seen))

    result = assess(history, now_day=300.0)

    assert found(result) is expected
    assert result.check_first[0] is look
    assert result.fluid_probability[0] == pytest.approx(fluid_probability(*seen))


@pytest.mark.parametrize(
    ("seen", "printed"),
    [
        ((), 0.31),
        ((Seen.FLUID_WET,), 0.78),
        ((Seen.FLUID_DRY,), 0.12),
        ((Seen.FLUID_WET, Seen.FLUID_LEVEL_LOW), 0.99),
        ((Seen.FLUID_LEVEL_OK,), 0.02),
        ((Seen.BUBBLES_AT_VALVE,), 0.01),
        ((Seen.FLUID_WET, Seen.BUBBLES_AT_VALVE), 0.10),
    ],
)
def test_probability_of_fluid_as_tabulated_in_the_project_study(seen: tuple[Seen, ...], printed: float) -> None:
    assert fluid_probability(*seen) == pytest.approx(printed, abs=0.005)


def test_old_looks_and_looks_before_new_seals_do_not_count() -> None:
    late = DAYS + 400.0
    old = strut_history(LOSING, late, seen=((410.0, Seen.FLUID_WET),))
    assert assess(old, now_day=700.0).fluid_probability[0] == pytest.approx(fluid_probability())

    resealed = strut_history(
        STEADY, DAYS, seen=((250.0, Seen.FLUID_WET),), work=((260.0, Work.SEALS),)
    )  # fmt: skip
    assert assess(resealed, now_day=300.0).fluid_probability[0] == pytest.approx(fluid_probability())


def test_a_misreading_waits_and_asks_to_be_read_again() -> None:
    value = STEADY.copy()
    value[-1] -= 1.0
    result = assess(strut_history(value, DAYS), now_day=296.0)

    assert found(result) is Finding.SUSPECT_READING
    assert result.check_first[0] is CheckFirst.READ_AGAIN
    assert DISPOSITIONS[result.disposition[-1]] is Disposition.LONE_OUTLIER
    assert result.readings_set_aside[0] == 1


def test_a_low_reading_that_the_next_confirms_is_a_loss() -> None:
    value = STEADY.copy()
    value[-3:] -= 1.0
    result = assess(strut_history(value, DAYS), now_day=296.0)

    assert result.losing[0]
    assert DISPOSITIONS[result.disposition[-3]] is Disposition.CONFIRMED_OUTLIER


def test_an_unrecorded_top_up_reopens_the_level_and_is_no_fault() -> None:
    value = STEADY.copy() - 0.3
    value[40:] += 0.7
    result = assess(strut_history(value, DAYS), now_day=300.0)

    assert not result.losing[0]
    assert result.level_in[0] == pytest.approx(4.9, abs=0.1)


def test_an_impossible_reading_is_set_aside() -> None:
    value = STEADY.copy()
    value[10], value[20] = 0.0, 11.4
    result = assess(strut_history(value, DAYS), now_day=300.0)

    assert [DISPOSITIONS[result.disposition[row]] for row in (10, 20)] == [Disposition.IMPOSSIBLE] * 2
    assert np.isnan(result.fitted_in[10])
    assert found(result) is Finding.STEADY


def test_just_serviced_is_settling() -> None:
    result = assess(strut_history(STEADY, DAYS, work=((290.0, Work.GAS_ADDED),)), now_day=300.0)

    assert found(result) is Finding.SETTLING
    assert result.check_first[0] is CheckFirst.FLY_AND_READ_AGAIN


def test_a_repair_lets_the_evidence_start_again() -> None:
    mended = LOSING.copy()
    mended[DAYS > 270.0] = 4.5 + NOISE[DAYS > 270.0]
    day = np.concatenate([DAYS, 300.0 + DAYS[:20]])
    value = np.concatenate([mended, 4.5 + NOISE[:20]])

    result = assess(strut_history(value, day, work=((270.0, Work.SEALS),)), now_day=400.0)

    assert not result.losing[0]


def test_a_long_strut_stands_high_and_a_short_one_low() -> None:
    assert found(assess(strut_history(STEADY + 0.8, DAYS), now_day=300.0)) is Finding.STANDING_HIGH
    assert found(assess(strut_history(STEADY - 0.8, DAYS), now_day=300.0)) is Finding.STANDING_LOW


@pytest.mark.parametrize(("side", "finding"), [(1.0, Finding.STANDING_HIGH), (-1.0, Finding.STANDING_LOW)])
def test_a_level_that_hangs_on_its_limit_is_told_once_until_it_is_back_within(side: float, finding: Finding) -> None:
    """0.5 in is the limit; 0.6 is surely beyond it, 0.52 is beyond but not surely, 0.35 is within."""
    offset = np.concatenate([np.full(8, 0.6), np.tile([0.5, 0.54], 12), np.full(8, 0.35)])
    offset[20] = -0.5  # one misreading asks to be repeated by itself, and does not take a finding away
    history = strut_history(4.5 + side * offset, 5.0 * np.arange(len(offset)))

    told = replay(history).others

    assert [FINDINGS[number] for number in told.finding] == [finding]
    assert told.closed_day[0] > 5.0 * 32
    hanging = assess(cut_off(history, np.zeros(1, np.int64), np.array([5.0 * 20])), now_day=100.0)
    assert FINDINGS[hanging.finding[0]] == finding


def test_of_two_readings_since_work_one_beyond_the_limit_may_be_the_wrong_one() -> None:
    day = np.array([*5.0 * np.arange(12), 60.0, 85.0])
    length = np.array([*np.tile([4.45, 4.55], 6), 4.95, 5.4])
    history = strut_history(length, day, exercised=day == 85.0, work=((58.0, Work.GAS_ADDED),))

    assert assess(history, now_day=85.0).level[0] < Level.CAUTION


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_one_misreading_does_not_take_a_strut_at_its_limit_beyond_it(side: float) -> None:
    """0.5 in is the limit; the level hangs 0.035 beyond it, not surely, until one reading is 0.2 out."""
    offset = np.concatenate([np.tile([0.505, 0.565], 10), [0.75, 0.48]])

    told = replay(strut_history(4.5 + side * offset, 5.0 * np.arange(len(offset)))).others

    assert len(told.series) == 0


@pytest.mark.parametrize(("length_in", "finding"), [(5.2, Finding.STANDING_HIGH), (3.8, Finding.STANDING_LOW)])
def test_out_of_limits_does_not_pass_because_nobody_reads(length_in: float, finding: Finding) -> None:
    day = 5.0 * np.arange(12)

    later = assess(strut_history(np.full(12, length_in), day), now_day=day[-1] + 300.0)

    assert (FINDINGS[later.finding[0]], later.level[0]) == (finding, Level.CAUTION)


def test_looks_low_only_for_the_cold() -> None:
    result = assess(strut_history(STEADY, DAYS, raw_in=STEADY - 0.6), now_day=300.0)

    assert found(result) is Finding.TEMPERATURE_ONLY


def test_wide_friction_is_called_sticky() -> None:
    wide = 4.5 + np.random.default_rng(3).uniform(-0.55, 0.55, len(DAYS))
    result = assess(strut_history(wide, DAYS, exercised=np.zeros(len(DAYS), bool)), now_day=300.0)

    assert found(result) is Finding.STICKY
    assert result.level[0] == Level.ADVISORY


def test_four_readings_are_too_few_and_none_at_all_too() -> None:
    assert found(assess(strut_history(STEADY[-4:], DAYS[-4:]), now_day=300.0)) is Finding.TOO_FEW_READINGS
    nothing = assess(strut_history(STEADY[:0], DAYS[:0]), now_day=300.0)
    assert found(nothing) is Finding.TOO_FEW_READINGS
    assert nothing.check_first[0] is CheckFirst.MORE_READINGS
    assert np.isnan([nothing.loss_in_per_month[0], nothing.loss_low[0], nothing.loss_high[0]]).all()


def test_settings_out_of_range_are_refused_with_both_faults() -> None:
    with pytest.raises(CalculationError) as caught:
        Settings(false_alarms_per_year=3.0, notice_days=-1.0)

    assert [fault.field for fault in caught.value.faults] == ["false_alarms_per_year", "notice_days"]


def test_replay_says_what_would_have_been_said_reading_by_reading(leaking_histories: Histories) -> None:
    """The one-sweep replay against as many assessments of cut-off histories as there are readings."""
    one = leaking_histories.select(np.array([5]))
    replayed = replay(one)
    swept = sweep(one, STRUT_MODEL, Settings().habits)
    _, stands = alerts_after_each(swept, Settings(), STRUT_MODEL)

    day = swept.prepared.day
    slow = assess(cut_off(one, np.zeros(len(day), np.int64), day), now_day=day)

    np.testing.assert_array_equal(stands, slow.losing)
    opened = np.nonzero(slow.losing & ~np.concatenate([[False], slow.losing[:-1]]))[0]
    np.testing.assert_array_equal(replayed.opened_day, day[opened])
    np.testing.assert_allclose(replayed.as_opened.loss_in_per_month, slow.loss_in_per_month[opened], rtol=1e-5)


def test_replay_of_nothing_is_empty() -> None:
    assert len(replay(strut_history(STEADY[:0], DAYS[:0])).series) == 0
    assert len(replay(strut_history(STEADY, DAYS)).series) == 0


def test_a_season_is_no_leak_when_corrected_and_looks_like_one_when_not() -> None:
    """Sinusoidal climate of +-12 degC: 0.131 in a month at its steepest for the reference strut (computed)."""
    day = np.arange(0.0, 365.0, 6.0)
    rng = np.random.default_rng(8)
    wave = 0.02115 * 12.0 * np.cos(2 * np.pi * day / 365.0)
    noise = rng.normal(0, 0.08, len(day))

    assert len(replay(strut_history(4.5 + noise, day)).series) == 0
    assert len(replay(strut_history(4.5 + wave + noise, day)).series) > 0


@pytest.mark.parametrize(("readings", "fastest"), [(1, 0.5), (3, 0.1), (60, 0.0)])
def test_the_fewer_the_readings_the_less_is_ruled_out(readings: int, fastest: float) -> None:
    """Of a steady strut; 0.02 in/month is no more than it may seep."""
    result = assess(strut_history(np.full(readings, 4.5), 5.0 * np.arange(readings)), now_day=300.0)

    assert fastest < result.loss_high[0] < 2.0 * fastest + 0.02


def test_a_stricter_operator_hears_less(quiet_histories: Histories) -> None:
    often = replay(quiet_histories, Settings(false_alarms_per_year=0.3))
    seldom = replay(quiet_histories, Settings(false_alarms_per_year=0.03))

    assert len(seldom.series) < len(often.series)


def test_the_nearer_to_an_alert_the_faster_a_loss_that_is_not_ruled_out(quiet_histories: Histories) -> None:
    result = assess(quiet_histories, now_day=731.0)

    short = (result.evidence_needed - result.evidence)[~result.losing]
    possible = result.loss_high[~result.losing]
    assert np.median(possible[short < 1.0]) > 0.06
    assert np.median(possible[short > 1.8]) < 0.03


def test_without_an_alert_a_rate_reaches_beyond_its_own_seep_by_what_is_not_ruled_out(
    quiet_histories: Histories,
) -> None:
    result = assess(quiet_histories, now_day=731.0)

    swept = sweep(quiet_histories, STRUT_MODEL, FleetHabits())
    possible = not_ruled_out(swept.of_each_rate, STRUT_MODEL)[~result.losing]
    slower = (result.loss_in_per_month - result.loss_low)[~result.losing]
    faster = (result.loss_high - result.loss_in_per_month)[~result.losing]
    assert faster == pytest.approx(np.maximum(slower, possible))
    assert 0.2 < np.mean(possible > slower) < 0.8


def test_an_alert_does_not_flap(leaking_histories: Histories) -> None:
    replayed = replay(leaking_histories)
    per_strut = np.bincount(replayed.series, minlength=leaking_histories.count)

    assert np.median(per_strut) == 1
    assert np.quantile(per_strut, 0.9) <= 2


def test_an_event_of_no_effect_changes_nothing() -> None:
    plain = assess(strut_history(LOSING, DAYS), now_day=300.0)
    noted = assess(strut_history(LOSING, DAYS, work=((200.0, Work.OTHER),)), now_day=300.0)

    assert plain.evidence[0] == noted.evidence[0]
    assert replace(plain, check_first=[]) is not plain
