"""Tyre figures against slow ones: gas laws in mpmath, mixtures molecule by molecule, real gas from the library."""

import math

import mpmath as mp
import numpy as np
import pytest
from CoolProp import CoolProp
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calculations.drift.tyre_loss import charge_percent
from calculations.tyre import (
    loaded_pressure_psig,
    pressure_at_temperature,
    pressure_by_rule_of_thumb,
    pressure_to_set_psig,
    share_per_5_f,
    unloaded_pressure_psig,
)
from calculations.tyre_gas import gas_share_after_fill
from calculations.tyre_load import deflection_in, deflection_share, footprint_in2
from calculations.tyre_loss import pressure_loss
from calculations.tyre_rating import pressure_for_load_psig

RELATIVE = 1e-6
PSI = 4.4482216152605 / 0.0254**2  # [Pa]


def absolute_f(temperature_f: float) -> mp.mpf:
    return mp.mpf(temperature_f) + mp.mpf("459.67")


def at_temperature(gauge: float, here: float, there: float, air: float) -> mp.mpf:
    """Return gauge pressure after a change at constant volume: p/T is kept, absolute."""
    return (mp.mpf(gauge) + air) / absolute_f(here) * absolute_f(there) - air


def random_tyres(count: int, seed: int) -> list[tuple[float, float, float, float]]:
    rng = np.random.default_rng(seed)
    return [
        (rng.uniform(10.0, 250.0), rng.uniform(-40.0, 120.0), rng.uniform(-40.0, 120.0), rng.uniform(10.0, 15.5))
        for _ in range(count)
    ]


def test_correction_to_another_temperature() -> None:
    for gauge, here, there, air in random_tyres(300, seed=51):
        found = pressure_at_temperature(gauge, temperature_f=here, wanted_temperature_f=there, atmosphere_psia=air)
        assert_allclose(float(found), float(at_temperature(gauge, here, there, air)), rtol=RELATIVE)

        def gauge_at(shift: float, gauge: float = gauge, here: float = here, air: float = air) -> mp.mpf:
            return at_temperature(gauge, here, here + shift, air)

        slope = 5 * mp.diff(gauge_at, 0) / gauge
        assert_allclose(float(share_per_5_f(gauge, here, air)), float(slope), rtol=RELATIVE)


def test_pressure_to_set_is_found_by_trying() -> None:
    for service, here, coldest, air in random_tyres(60, seed=52):
        found = pressure_to_set_psig(
            service, tyre_temperature_f=here, coldest_temperature_f=coldest, atmosphere_psia=air
        )
        low, high = mp.mpf(service), mp.mpf(4 * service + 100)
        for _ in range(60):  # the least setting, never below service pressure, that does not fall below it there
            middle = (low + high) / 2
            holds = at_temperature(middle, here, coldest, air) >= service
            low, high = (low, middle) if holds else (middle, high)
        assert_allclose(float(found), float(high), rtol=RELATIVE)


def test_real_nitrogen_moves_the_gauge_a_little_more_than_the_gas_law_says() -> None:
    """The correction takes an ideal gas: short by up to 3 % of itself for every 100 psi absolute."""
    state = CoolProp.AbstractState("HEOS", "Nitrogen")
    for gauge, here, there, air in random_tyres(300, seed=53):
        state.update(CoolProp.PT_INPUTS, (gauge + air) * PSI, float(absolute_f(here)) / 1.8)
        state.update(CoolProp.DmolarT_INPUTS, state.rhomolar(), float(absolute_f(there)) / 1.8)
        real = state.p() / PSI - air
        ideal = float(
            pressure_at_temperature(gauge, temperature_f=here, wanted_temperature_f=there, atmosphere_psia=air)
        )
        short = 1 - (ideal - gauge) / (real - gauge)
        assert 0.0 < short < 0.03 * (gauge + air) / 100.0


def test_charge_in_percent() -> None:
    for gauge, here, reference, air in random_tyres(200, seed=54):
        service = 0.9 * gauge + 3.0
        found = charge_percent(*(np.array(v) for v in (gauge, here, air, service, reference)))
        amount = (mp.mpf(gauge) + air) / absolute_f(here)
        full = (mp.mpf(service) + mp.mpf(101325) / PSI) / absolute_f(reference)
        assert_allclose(float(found), float(100 + 100 * mp.log(amount / full)), rtol=RELATIVE)


def test_loss_between_two_readings() -> None:
    rng = np.random.default_rng(55)
    for before, warm, cold, air in random_tyres(200, seed=56):
        hours, kept = rng.uniform(2.0, 96.0), rng.uniform(0.8, 1.0)
        # Gas is let out at constant temperature; then the temperature changes; that is what is read.
        after = at_temperature(float((before + air) * kept - air), warm, cold, air)
        if after < 0:
            continue
        found = pressure_loss(
            before,
            float(after),
            hours,
            before_temperature_f=warm,
            after_temperature_f=cold,
            atmosphere_psia=air,
        )
        assert_allclose(float(found.percent_per_day), -100 * math.log(kept) * 24 / hours, rtol=RELATIVE)
        # The trade's share is of gauge pressure, so it is larger than that of the gas.
        assert_allclose(float(found.loss_share), (1 - kept) * (before + air) / before, rtol=RELATIVE, atol=1e-9)


def test_gas_after_fills_molecule_by_molecule() -> None:
    rng = np.random.default_rng(57)
    for _ in range(100):
        gauge, source, air_share = rng.uniform(5.0, 200.0), rng.uniform(0.0, 1.0), rng.uniform(0.0, 1.0)
        fills, air = int(rng.integers(1, 5)), rng.uniform(10.0, 15.5)
        wanted, all_gas = mp.mpf(air_share) * air, mp.mpf(air)  # amounts, in psi of the tyre's volume
        for _ in range(fills):
            wanted, all_gas = wanted + mp.mpf(source) * gauge, all_gas + gauge
            share = wanted / all_gas
            wanted, all_gas = share * air, mp.mpf(air)  # bled to flat again
        found = gas_share_after_fill(
            gauge, share_in_source=source, share_in_air=air_share, fills=fills, atmosphere_psia=air
        )
        assert_allclose(float(found), float(share), rtol=RELATIVE)


pressures, temperatures = st.floats(5.0, 250.0), st.floats(-40.0, 120.0)


@given(pressures, temperatures, temperatures, temperatures)
def test_correction_by_way_of_a_third_temperature_is_the_same(pressure, first, second, third):
    def corrected(gauge, here, there):
        return pressure_at_temperature(gauge, temperature_f=here, wanted_temperature_f=there)

    direct = corrected(pressure, first, third)
    assert_allclose(corrected(corrected(pressure, first, second), second, third), direct, rtol=1e-9, atol=1e-9)


@given(pressures, temperatures, temperatures, st.floats(0.5, 50.0))
def test_more_pressure_or_a_warmer_tyre_reads_higher(pressure, here, there, more):
    def corrected(gauge, wanted):
        return pressure_at_temperature(gauge, temperature_f=here, wanted_temperature_f=wanted)

    assert corrected(pressure + more, there) > corrected(pressure, there)
    assert corrected(pressure, there + more) > corrected(pressure, there)


@given(pressures, temperatures, temperatures, st.floats(0.05, 20.0))
def test_correction_does_not_depend_on_the_unit_of_pressure(pressure, here, there, scale):
    found = pressure_at_temperature(
        scale * pressure, temperature_f=here, wanted_temperature_f=there, atmosphere_psia=scale * 14.7
    )
    same = pressure_at_temperature(pressure, temperature_f=here, wanted_temperature_f=there, atmosphere_psia=14.7)
    assert_allclose(found, scale * same, rtol=1e-9, atol=1e-9)


@given(st.floats(5.0, 90.0), temperatures, temperatures)
def test_the_rule_of_thumb_moves_a_light_tyre_the_right_way_and_too_little(pressure, here, there):
    # 5 (p + p_atm)/(p T) is above 1 % at 90 psi even in a tyre at 120 degF
    exact = pressure_at_temperature(pressure, temperature_f=here, wanted_temperature_f=there)
    thumb = pressure_by_rule_of_thumb(pressure, temperature_f=here, wanted_temperature_f=there)
    assert abs(thumb - pressure) <= abs(exact - pressure) + 1e-12
    assert (thumb - pressure) * (exact - pressure) >= 0.0


@given(pressures)
def test_taking_the_load_and_giving_it_up_is_the_same_pressure(pressure):
    assert_allclose(unloaded_pressure_psig(loaded_pressure_psig(pressure)), pressure, rtol=1e-12)
    assert loaded_pressure_psig(pressure) > pressure


@given(st.floats(100.0, 2000.0), pressures, st.floats(4.0, 12.0), st.floats(0.1, 30.0))
def test_a_tyre_of_the_same_shape_in_another_unit_of_length_is_pressed_in_alike(load, pressure, width, scale):
    def deflection(unit):
        return deflection_in(
            load * unit**2,
            pressure,
            section_in=width * unit,
            outer_diameter_in=2.8 * width * unit,
            rated_unloaded_psig=60.0,
        )

    assert_allclose(deflection(scale), scale * deflection(1.0), rtol=1e-9)
    assert_allclose(footprint_in2(load * scale**2, pressure), scale**2 * footprint_in2(load, pressure), rtol=1e-12)


@given(st.floats(12.0, 30.0), st.floats(0.01, 0.99), st.floats(0.3, 0.6))
def test_deflection_share_goes_back_to_the_loaded_radius(outer, share, flange_share):
    flange = flange_share * outer
    radius = outer / 2 - share * (outer - flange) / 2
    found = deflection_share(outer_diameter_in=outer, loaded_radius_in=radius, flange_diameter_in=flange)
    assert_allclose(found, share, rtol=1e-9)


@given(st.floats(100.0, 2000.0), st.floats(1.0, 3.0), pressures)
def test_more_load_asks_for_more_pressure_in_proportion(load, scale, rated):
    size = {"rated_load_lbf": 6000.0, "rated_unloaded_psig": rated}
    assert_allclose(
        pressure_for_load_psig(scale * load, **size), scale * pressure_for_load_psig(load, **size), rtol=1e-12
    )


@pytest.mark.parametrize("source", [0.0, 0.03])
def test_many_fills_end_at_the_supply(source: float) -> None:
    assert_allclose(gas_share_after_fill(40.0, share_in_source=source, fills=60), source, atol=1e-9)
