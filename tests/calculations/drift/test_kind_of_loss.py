"""Gas or fluid: how often the kind that is told is the true one, and what a look may not be taken for.

Looks are drawn so that their likelihood ratios are the tabulated Bayes factors (assumed, no source), and again so
that each says only half as much as believed. The rest of a look's likelihood is this test's own choice.
"""

from dataclasses import replace

import numpy as np
import pytest

from calculations.drift import FINDINGS, LOSSES, Events, Finding, Histories, Seen, Work, assess
from calculations.drift.fluid_evidence import LOG10_FACTOR, PRIOR_LOG10_ODDS, fluid_probability
from calculations.drift.replay import cut_off
from tests.simulator import Fleet, Scenario, simulate
from tests.simulator.as_histories import histories_of

FLUID_SHARE = 10.0**PRIOR_LOG10_ODDS / (1.0 + 10.0**PRIOR_LOG10_ODDS)
DAYS_AFTER_ONSET = 100.0
STRUTS = 800
PAIRS = ((Seen.FLUID_WET, Seen.FLUID_DRY), (Seen.FLUID_LEVEL_LOW, Seen.FLUID_LEVEL_OK))
LONE = {  # how often such a thing is seen where it is the likelier
    Seen.BUBBLES_AT_VALVE: 0.6,
    Seen.HOLDS_PRESSURE_ON_JACKS: 0.8,
    Seen.BOTTOMS_AT_NORMAL_EXTENSION: 0.3,
}
EVERY_LOOK = (*PAIRS, *((kind,) for kind in LONE))


def chance_of_first(subject: tuple[Seen, ...], fluid: np.ndarray, worth: float) -> np.ndarray:
    """Return how likely the first of a subject's answers is, given the kind of loss."""
    ratio = 10.0 ** (worth * LOG10_FACTOR[subject[0]])
    if len(subject) == 1:
        most = LONE[subject[0]]
        return np.asarray(np.where(fluid == (ratio > 1.0), most, most * min(ratio, 1.0 / ratio)))
    other = 10.0 ** (worth * LOG10_FACTOR[subject[1]])
    if_gas = (1.0 - other) / (ratio - other)
    return np.asarray(np.where(fluid, ratio * if_gas, if_gas))


def looks_at(
    fluid: np.ndarray,
    onset: np.ndarray,
    subjects: tuple[tuple[Seen, ...], ...],
    worth: float,
    rng: np.random.Generator,
) -> list[tuple[int, float, Seen]]:
    """Return one to four looks at each strut while it loses, at things drawn from ``subjects``."""
    rows = []
    for strut, count in enumerate(rng.integers(1, 5, len(fluid))):
        for subject in (subjects[number] for number in rng.integers(0, len(subjects), count)):
            first = rng.random() < chance_of_first(subject, fluid[strut : strut + 1], worth)[0]
            day = onset[strut] + rng.uniform(3.0, DAYS_AFTER_ONSET)
            if first or len(subject) == 2:
                rows.append((strut, float(day), subject[0] if first else subject[1]))
    return rows


def looks_before(onset: np.ndarray, rng: np.random.Generator) -> list[tuple[int, float, Seen]]:
    """Return what was seen of each strut while it was well: mostly dry, and its fluid level right."""
    rows = []
    for strut, day in enumerate(onset):
        dry = rng.random(3) < 0.95
        answers = [Seen.FLUID_LEVEL_OK, *(Seen.FLUID_DRY if one else Seen.FLUID_WET for one in dry)]
        rows += [(strut, float(day - rng.uniform(1.0, 150.0)), answer) for answer in answers]
    return rows


def with_looks(histories: Histories, rows: list[tuple[int, float, Seen]]) -> Histories:
    series, day, kind = (np.array(column) for column in zip(*sorted(rows), strict=True))
    seen = Events(series, day, kind.astype(np.int64))
    return replace(histories, seen=seen, seen_offsets=np.searchsorted(series, np.arange(histories.count + 1)))


@pytest.fixture(scope="module")
def losing() -> tuple[Fleet, Histories]:
    """Return struts that have been losing for a hundred days, with all that was read of them until then."""
    fleet = simulate(Scenario(struts=STRUTS, leak_in_per_month=0.2), seed=7611)
    return fleet, cut_off(histories_of(fleet), np.arange(STRUTS), fleet.truth.onset_day + DAYS_AFTER_ONSET)


def told_right(
    losing: tuple[Fleet, Histories], subjects: tuple[tuple[Seen, ...], ...], worth: float
) -> tuple[float, float]:
    """Return the share told right of those told apart, and the share told apart of those with a look."""
    fleet, histories = losing
    rng, onset = np.random.default_rng(7612), fleet.truth.onset_day
    fluid = rng.random(histories.count) < FLUID_SHARE
    during = looks_at(fluid, onset, subjects, worth, rng)
    rows = [*during, *looks_before(onset, rng)]
    result = assess(with_looks(histories, rows), now_day=onset + DAYS_AFTER_ONSET)
    told_fluid = result.finding == FINDINGS.index(Finding.LOSING_FLUID)
    told = told_fluid | (result.finding == FINDINGS.index(Finding.LOSING_GAS))
    looked_at = np.isin(np.arange(histories.count), [strut for strut, _, _ in during]) & result.losing
    return float((told_fluid == fluid)[told].mean()), float(told[looked_at].mean())


@pytest.mark.parametrize("subjects", [EVERY_LOOK, (PAIRS[0],), (PAIRS[0],) * 4 + PAIRS[1:] + EVERY_LOOK[2:3]])
def test_nine_of_ten_kinds_that_are_told_are_the_true_ones(
    losing: tuple[Fleet, Histories], subjects: tuple[tuple[Seen, ...], ...]
) -> None:
    right, told = told_right(losing, subjects, worth=1.0)

    assert right >= 0.9
    assert told >= 0.7


def test_looks_worth_half_of_what_is_believed_still_tell_three_of_four_right(
    losing: tuple[Fleet, Histories],
) -> None:
    """No rule can promise nine of ten there: the looks themselves then tell no more than about 0.8 right."""
    right, _ = told_right(losing, EVERY_LOOK, worth=0.5)

    assert right >= 0.75


def test_no_kind_is_told_without_a_look_since_the_loss_began(losing: tuple[Fleet, Histories]) -> None:
    fleet, histories = losing
    onset = fleet.truth.onset_day
    now = onset + DAYS_AFTER_ONSET
    rows = [(strut, float(day) - 130.0, Seen.FLUID_LEVEL_OK) for strut, day in enumerate(onset)]

    for known in (histories, with_looks(histories, rows)):
        result = assess(known, now_day=now)
        begun = result.onset_day > onset - 100.0
        told = {FINDINGS[index] for index in result.finding[result.losing & begun]}
        assert told == {Finding.LOSING_CHARGE}


def one(losing: tuple[Fleet, Histories]) -> tuple[Histories, float]:
    """Return a single losing strut and its day."""
    fleet, histories = losing
    now = fleet.truth.onset_day + DAYS_AFTER_ONSET
    result = assess(histories, now_day=now)
    sure = np.flatnonzero(result.losing & (np.abs(result.onset_day - fleet.truth.onset_day) < 10.0))[:1]
    return histories.select(sure), float(now[sure[0]])


def probability(history: Histories, now: float, *rows: tuple[float, Seen]) -> float:
    known = with_looks(history, [(0, now - days_ago, kind) for days_ago, kind in rows])
    return float(assess(known, now_day=now).fluid_probability[0])


def test_a_look_sent_twice_or_taken_twice_on_a_day_counts_once(losing: tuple[Fleet, Histories]) -> None:
    history, now = one(losing)
    now = np.floor(now) + 0.9

    once = probability(history, now, (20.2, Seen.FLUID_WET))

    assert once == pytest.approx(fluid_probability(Seen.FLUID_WET))
    assert probability(history, now, (20.2, Seen.FLUID_WET), (20.2, Seen.FLUID_WET)) == once
    assert probability(history, now, (20.4, Seen.FLUID_WET), (20.2, Seen.FLUID_WET)) == once


def test_a_second_look_counts_half_and_the_newest_most(losing: tuple[Fleet, Histories]) -> None:
    """By hand: log10 odds -0.35 + 0.9 + 0.9 / 2 = 1.0, and -0.35 + 0.9 - 0.5 / 2 = 0.3."""
    history, now = one(losing)

    assert probability(history, now, (30.0, Seen.FLUID_WET), (10.0, Seen.FLUID_WET)) == pytest.approx(10 / 11)
    assert probability(history, now, (30.0, Seen.FLUID_DRY), (10.0, Seen.FLUID_WET)) == pytest.approx(
        10**0.3 / (1 + 10**0.3)
    )


def test_a_level_that_was_just_restored_is_no_sign_of_gas(losing: tuple[Fleet, Histories]) -> None:
    history, now = one(losing)
    served = replace(
        history,
        work=Events(np.zeros(1, np.int64), np.array([now - 20.0]), np.array([int(Work.FLUID_ADDED)])),
        work_offsets=np.array([0, 1]),
    )
    low_then_right = ((21.0, Seen.FLUID_LEVEL_LOW), (19.0, Seen.FLUID_LEVEL_OK))

    assert probability(served, now, *low_then_right) == pytest.approx(fluid_probability(Seen.FLUID_LEVEL_LOW))
    assert probability(history, now, *low_then_right) < 0.2


def test_kinds_are_told_for_losses_only(losing: tuple[Fleet, Histories]) -> None:
    quiet = histories_of(simulate(Scenario(struts=60), seed=7613))
    rows = [(strut, 725.0, Seen.FLUID_WET) for strut in range(60)]

    result = assess(with_looks(quiet, rows), now_day=731.0)

    kinds = {FINDINGS[index] for index in result.finding[~result.losing]}
    assert kinds.isdisjoint(LOSSES)
