"""Markings and test pressures of TSO-C62d, and how often pressure is looked at."""

import pytest
from numpy.testing import assert_allclose

from calculations.errors import CalculationError
from calculations.tyre_marking import (
    NEW_PROOF_SECONDS,
    RETREAD_PROOF_FACTOR,
    Marking,
    helicopter_load_lbf,
    missing_markings,
    pressure_check_due,
    proof_pressure_psig,
)
from calculations.tyre_rating import RATINGS


def test_a_sidewall_bears_what_the_order_asks():
    # TSO-C62d (7 Sep 1990), paragraph b
    assert [str(marking) for marking in Marking] == [
        "maker",
        "speed rating",
        "load rating",
        "size",
        "skid depth",
        "serial number",
        "date",
        "part number and plant code",
        "nonretreadable",
        "technical standard order number",
    ]
    assert missing_markings(Marking) == ()
    assert missing_markings(set(Marking) - {Marking.NONRETREADABLE}) == ()
    assert missing_markings([]) == tuple(one for one in Marking if one is not Marking.NONRETREADABLE)


def test_a_new_tyre_withstands_four_times_its_rated_inflation_and_a_retreaded_one_three_times():
    # TSO-C62d for 3 s; AC 145-4: as a tyre maker sums them up
    rated = [rating.unloaded_psig for rating in RATINGS]
    assert_allclose(proof_pressure_psig(rated), [4 * one for one in rated])
    assert_allclose(proof_pressure_psig(rated, RETREAD_PROOF_FACTOR), [3 * one for one in rated])
    assert NEW_PROOF_SECONDS == 3


def test_a_helicopter_may_load_a_tyre_by_half_as_much_again():
    assert_allclose(helicopter_load_lbf([1150, 1750]), [1725, 2625])  # TSO-C62c app. 1, 5.1.1


@pytest.mark.parametrize(
    ("hours", "daily", "flights", "due"),
    # AC 20-97B as repeated by a trade page: daily, or before each flight if not flown daily
    [(0, True, 5, False), (24, True, 5, False), (24.1, True, 0, True), (1, False, 0, False), (1, False, 1, True)],
)
def test_pressure_is_looked_at_daily_or_before_each_flight(hours, daily, flights, due):
    assert bool(pressure_check_due(hours, flown_daily=daily, flights_since_check=flights)) is due


def test_impossible_figures_are_refused_together():
    with pytest.raises(CalculationError) as error:
        proof_pressure_psig(0, -1)
    assert {fault.field for fault in error.value.faults} == {"rated_psig", "factor"}
    with pytest.raises(CalculationError) as error:
        pressure_check_due(-1, flown_daily=True, flights_since_check=-1)
    assert {fault.field for fault in error.value.faults} == {"hours_since_check", "flights_since_check"}
    with pytest.raises(CalculationError, match="rated_load_lbf"):
        helicopter_load_lbf(0)
