"""What one reading says to the person at the aircraft."""

from dataclasses import replace

import pytest

from calculations.strut_pressure import PressureVerdict
from servicing.readings.judgement import Action, JudgedReading, Place, Reason, judge
from servicing.readings.judgement_words import in_words

RIGHT = JudgedReading(
    extension_in=4.5,
    corrected_in=4.5,
    uncertainty_in=0.1,
    temperature_term_in=0.0,
    load_term_in=0.0,
    low_limit_in=4.0,
    high_limit_in=5.0,
    target_in=4.5,
    full_extension_in=8.5,
    exercised=True,
    temperature_read=True,
    load_known=True,
)
LOW = replace(RIGHT, extension_in=3.5, corrected_in=3.5)
HIGH = replace(RIGHT, extension_in=5.6, corrected_in=5.6)


@pytest.mark.parametrize(
    ("reading", "place", "action"),
    [
        (RIGHT, Place.WITHIN, Action.NOTHING),
        (replace(RIGHT, exercised=False), Place.WITHIN, Action.NOTHING),
        (LOW, Place.LOW, Action.TOP_UP),
        (replace(LOW, exercised=False), Place.LOW, Action.TOP_UP),  # 5 sigma: more than friction can hold
        (replace(LOW, corrected_in=3.85, exercised=False), Place.LOW, Action.EXERCISE),
        (replace(LOW, temperature_read=False), Place.LOW, Action.NOTE_CONDITIONS),
        (replace(LOW, load_known=False), Place.LOW, Action.NOTE_CONDITIONS),
        (replace(LOW, corrected_in=3.95), Place.LOW, Action.READ_AGAIN),
        (replace(RIGHT, corrected_in=4.05), Place.NEAR_LOW, Action.READ_AGAIN),
        (replace(RIGHT, corrected_in=4.95), Place.NEAR_HIGH, Action.READ_AGAIN),
        (HIGH, Place.HIGH, Action.LET_OUT),
        (replace(RIGHT, extension_in=0.0), Place.BOTTOMED, Action.INSPECT),
        (replace(RIGHT, extension_in=8.5), Place.TOPPED_OUT, Action.INSPECT),
        (replace(RIGHT, pressure=PressureVerdict.AGREES), Place.WITHIN, Action.NOTHING),
        (replace(LOW, pressure=PressureVerdict.UNCLEAR), Place.LOW, Action.TOP_UP),
        (replace(LOW, pressure=PressureVerdict.MORE_THAN_LOAD), Place.LOW, Action.CHECK_LOAD),
        (replace(HIGH, pressure=PressureVerdict.LESS_THAN_LOAD), Place.HIGH, Action.CHECK_LOAD),
        (replace(RIGHT, pressure=PressureVerdict.MORE_THAN_LOAD), Place.WITHIN, Action.CHECK_LOAD),
        (replace(RIGHT, extension_in=8.45, pressure=PressureVerdict.TOPPED_OUT), Place.TOPPED_OUT, Action.INSPECT),
    ],
)
def test_place_and_action(reading: JudgedReading, place: Place, action: Action) -> None:
    found = judge(reading)

    assert (found.place, found.action) == (place, action)


def test_distances_are_in_sigma() -> None:
    found = judge(replace(RIGHT, corrected_in=4.2))

    assert (found.sigma_from_low, found.sigma_from_high, found.sigma_from_target) == pytest.approx((2.0, -8.0, -3.0))
    assert found.chance_low == pytest.approx(0.02275, abs=5e-6)  # standard normal table, z = 2.00


def test_a_cold_strut_that_only_looks_low_is_left_alone() -> None:
    cold = replace(RIGHT, extension_in=3.6, corrected_in=4.45, temperature_term_in=0.85)

    found = judge(cold)

    assert (found.place, found.looks, found.reason, found.action) == (
        Place.WITHIN,
        Place.LOW,
        Reason.COLD,
        Action.NOTHING,
    )
    assert found.steps == ()
    words = in_words(found, cold, "us")
    assert "only looks low, because it is colder" in words
    assert "do not add gas" in words


def test_a_warm_strut_that_looks_right_but_is_low_says_so() -> None:
    warm = replace(LOW, extension_in=4.1, temperature_term_in=-0.6)

    words = in_words(judge(warm), warm, "metric")

    assert "looks right only because it is warmer" in words
    assert "89 mm" in words


@pytest.mark.parametrize(("term", "reason"), [("load_term_in", Reason.HEAVY), ("temperature_term_in", Reason.COLD)])
def test_the_larger_term_is_the_reason(term: str, reason: Reason) -> None:
    both = replace(RIGHT, temperature_term_in=0.2, load_term_in=0.2)

    assert judge(replace(both, **{term: 0.4})).reason == reason
    assert judge(replace(both, **{term: -0.4})).reason in (Reason.LIGHT, Reason.WARM)
