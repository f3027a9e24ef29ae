"""Gas in a tyre after nitrogen filling: Dalton's law and 14 CFR 25.733(e)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calculations.errors import CalculationError
from calculations.tyre_gas import (
    GREATEST_OXYGEN_SHARE,
    NITROGEN_IN_AIR,
    OXYGEN_RULE_WEIGHT_LB,
    gas_share_after_fill,
    pressure_for_oxygen_share_psig,
    second_fill_advised,
)


# Computed by Dalton's law with 20.95 % oxygen in air; 14 CFR 25.733(e), as two pages quote it, asks for 5 %
# above 75 000 lb, and so is no more than advice for light aircraft
@pytest.mark.parametrize(
    ("gauge", "pure", "ninety_seven", "twice"),
    [
        (24, 7.96, 9.82, 3.02),
        (29, 7.05, 9.04, 2.37),
        (42, 5.43, 7.65, 1.41),
        (50, 4.76, 7.08, 1.08),
        (100, 2.68, 5.30, 0.34),
    ],
)
def test_oxygen_left_after_filling_with_nitrogen(gauge, pure, ninety_seven, twice):
    assert_allclose(100 * gas_share_after_fill(gauge, share_in_source=0.0), pure, rtol=0, atol=0.005)
    assert_allclose(100 * gas_share_after_fill(gauge, share_in_source=0.03), ninety_seven, rtol=0, atol=0.005)
    assert_allclose(100 * gas_share_after_fill(gauge, share_in_source=0.0, fills=2), twice, rtol=0, atol=0.005)


def test_pressure_at_which_one_fill_is_enough():
    # computed by Dalton's law; limits of 14 CFR 25.733(e)
    assert_allclose(pressure_for_oxygen_share_psig(), 46.88, rtol=0, atol=0.005)
    assert_allclose(pressure_for_oxygen_share_psig(share_in_source=0.03), 117.2, rtol=0, atol=0.05)
    assert (GREATEST_OXYGEN_SHARE, OXYGEN_RULE_WEIGHT_LB) == (0.05, 75_000)


def test_ninety_seven_percent_nitrogen_gives_what_a_tyre_maker_says_at_125_psi():
    # a tyre maker's manual: about 95 % nitrogen at about 125 psi; computed by Dalton's law 95.01 % N2, 4.89 % O2
    nitrogen = gas_share_after_fill(125, share_in_source=0.97, share_in_air=NITROGEN_IN_AIR)
    oxygen = gas_share_after_fill(125, share_in_source=0.03)
    assert_allclose([100 * nitrogen, 100 * oxygen], [95.01, 4.89], rtol=0, atol=0.005)


def test_a_second_fill_is_advised_for_light_aircraft_tyres():
    # computed by Dalton's law: 29 psig of pure nitrogen in one fill leaves 7.05 % oxygen
    assert second_fill_advised([29, 46.8, 46.9]).tolist() == [True, True, False]
    assert second_fill_advised([117.1, 117.3], share_in_source=0.03).tolist() == [True, False]


@given(st.floats(1.0, 300.0), st.floats(0.0, 0.2), st.integers(1, 5))
def test_each_fill_brings_oxygen_nearer_to_the_supply(pressure, source, fills):
    once = gas_share_after_fill(pressure, share_in_source=source, fills=fills)
    again = gas_share_after_fill(pressure, share_in_source=source, fills=fills + 1)
    assert source <= again <= once <= 0.2095


@given(st.floats(0.01, 0.2), st.floats(0.0, 0.009))
def test_oxygen_share_and_its_pressure_undo_each_other(share, source):
    pressure = pressure_for_oxygen_share_psig(share, share_in_source=source)
    assert_allclose(gas_share_after_fill(pressure, share_in_source=source), share)


def test_impossible_figures_are_refused():
    with pytest.raises(CalculationError) as error:
        gas_share_after_fill(0, share_in_source=1.1, share_in_air=-1, fills=0)
    assert {fault.field for fault in error.value.faults} == {
        "pressure_psig",
        "share_in_source",
        "share_in_air",
        "fills",
    }
    with pytest.raises(CalculationError) as error:
        pressure_for_oxygen_share_psig(0.05, share_in_source=0.05)
    assert error.value.faults[0].code == "unreachable"
