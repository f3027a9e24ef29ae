"""A single step that nobody wrote down: told from a loss that goes on, and hardly ever where there is such a loss."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import minimize

from calculations.drift import Histories, Work, assess
from calculations.drift.histories import Events
from calculations.drift.replay import cut_off
from calculations.drift.step_down import HUBER, Steps, _fit, find_steps
from tests.simulator import Scenario, simulate
from tests.simulator.as_histories import histories_of

STRUTS = 250
UNSERVED = Scenario(struts=STRUTS, routine_services_per_year=0.0, low_reading_answered=0.0)


def stepped(down_in: float, seed: int = 7621) -> tuple[Histories, np.ndarray]:
    """Return a quiet fleet in which each strut was let down at once on some day, and those days."""
    histories = histories_of(simulate(UNSERVED, seed))
    day = np.random.default_rng(seed).uniform(200.0, 400.0, STRUTS)
    readings = histories.readings
    down = np.where(readings.day > day[readings.series], down_in, 0.0)
    lower = replace(readings, corrected_in=readings.corrected_in - down, raw_in=readings.raw_in - down)
    return replace(histories, readings=lower), day


def steps_after(histories: Histories, day: np.ndarray, days: float) -> tuple[Steps, np.ndarray]:
    """Return what is told so many days later, and which struts are losing by then."""
    known = cut_off(histories, np.arange(histories.count), day + days)
    found = assess(known, now_day=day + days)
    return find_steps(known, found), found.losing


def test_most_steps_of_half_an_inch_are_told_after_four_months_with_day_and_size() -> None:
    histories, day = stepped(0.5)

    steps, losing = steps_after(histories, day, 120.0)

    told = np.isfinite(steps.day)
    assert losing.mean() > 0.95
    assert told[losing].mean() > 0.6
    assert np.median(np.abs(steps.day - day)[told]) < 7.0
    assert np.mean((steps.earliest_day <= day)[told] & (day <= steps.latest_day)[told]) > 0.8
    assert np.median(steps.down_in[told]) == pytest.approx(0.5, abs=0.05)


def test_a_young_step_is_told_as_a_loss_only() -> None:
    histories, day = stepped(0.5)

    steps, losing = steps_after(histories, day, 60.0)

    assert losing.mean() > 0.9
    assert np.isfinite(steps.day).mean() < 0.01


@pytest.mark.parametrize("leak", [0.05, 0.1, 0.2, 0.5, 1.0])
@pytest.mark.parametrize("served", [False, True])
def test_hardly_any_leak_is_taken_for_a_step(leak: float, served: bool) -> None:
    base = Scenario(struts=STRUTS) if served else UNSERVED
    fleet = simulate(replace(base, leak_in_per_month=leak), 7622)
    histories = histories_of(fleet)

    for days in (100.0, 160.0, 250.0):
        steps, losing = steps_after(histories, fleet.truth.onset_day, days)
        assert np.isfinite(steps.day).sum() <= 0.02 * losing.sum()


def test_a_strut_that_is_not_losing_is_not_looked_at() -> None:
    histories = histories_of(simulate(UNSERVED, 7623))

    steps = find_steps(histories, replace(assess(histories, now_day=731.0), losing=np.zeros(STRUTS, bool)))

    assert not np.isfinite(steps.day).any()


def test_once_the_work_is_entered_the_loss_and_the_step_are_gone() -> None:
    histories, day = stepped(0.8)
    entered = replace(
        histories,
        work=Events(np.arange(STRUTS), day - 0.01, np.full(STRUTS, int(Work.GAS_RELEASED))),
        work_offsets=np.arange(STRUTS + 1),
    )

    steps, losing = steps_after(entered, day, 150.0)

    assert losing.mean() < 0.1  # what noise does; before it was entered, over 0.95
    assert np.isfinite(steps.day).sum() <= 2


def huber(error: np.ndarray) -> float:
    size = np.abs(error)
    return float(np.where(size < HUBER, size**2 / 2.0, HUBER * (size - HUBER / 2.0)).sum())


def test_the_reweighted_fit_is_the_least_of_huber_s_loss() -> None:
    rng = np.random.default_rng(8)
    day = np.sort(rng.uniform(0.0, 10.0, 40))
    sd = rng.uniform(0.1, 0.3, 40)
    value = 4.5 - 0.2 * np.maximum(day - 4.0, 0.0) + rng.normal(0.0, sd)
    value[7] -= 1.0
    shapes = np.stack([np.maximum(day - 4.0, 0.0), (day > 6.0).astype(float), np.zeros(40)])

    loss, fall = _fit(shapes[None], value[None], sd[None], np.ones((1, 40), bool))

    for number, shape in enumerate(shapes):
        best = minimize(
            lambda p, shape=shape: huber((value - p[0] + p[1] * shape) / sd),
            [4.5, 0.0],
            method="Nelder-Mead",
            options={"xatol": 1e-7, "fatol": 1e-9, "maxiter": 4000},
        )
        assert loss[0, number] == pytest.approx(best.fun, rel=2e-3)
        assert shape.any() == (abs(fall[0, number]) > 0.0)
        if shape.any():
            assert fall[0, number] == pytest.approx(best.x[1], abs=0.01)


def test_padding_changes_nothing() -> None:
    rng = np.random.default_rng(9)
    shape, value = rng.uniform(0.0, 2.0, (1, 3, 20)), rng.normal(4.5, 0.1, (1, 20))
    sd, present = np.full((1, 20), 0.1), np.ones((1, 20), bool)
    wider = [np.concatenate([one, one[..., :5] + 3.0], axis=-1) for one in (shape, value, sd)]

    for one, other in zip(
        _fit(shape, value, sd, present),
        _fit(*wider, np.concatenate([present, np.zeros((1, 5), bool)], axis=1)),
        strict=True,
    ):
        np.testing.assert_allclose(one, other, rtol=1e-9)
