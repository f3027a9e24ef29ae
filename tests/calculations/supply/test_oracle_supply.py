"""Pumps, cylinder and hose against slow ones: gas straight from the property library, done step by step.

The oracle presses, vents and draws down once per stroke, stage or top-up, as the equipment does, instead of
solving for the number; it shares no table and no formula with the package.
"""

import math

import numpy as np
import pytest
from CoolProp import CoolProp
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calculations.gas import Gas
from calculations.supply.cylinder import Cylinder, content_mol, outlook
from calculations.supply.demand import RestingStrut, gas_for_rise_mol, rise_of_gas_in
from calculations.supply.hand_pump import (
    ARM_LIMIT_PSIA,
    HandPump,
    Intake,
    displacement_in3,
    gas_per_stroke_mol,
    handle_force_lbf,
    highest_pressure_psia,
    rise_per_stroke_in,
    strokes_for_rise,
    volumetric_efficiency,
)
from calculations.supply.hose import extension_lost_in
from calculations.supply.multiplier import Multiplier, cycles_for_gas, gas_per_cycle_mol, stall_pressure_psia

RELATIVE = 1e-6
PSI = 4.4482216152605 / 0.0254**2  # [Pa]
CUBIC_INCH = 0.0254**3  # [m3]
ATMOSPHERE = 101325.0 / PSI  # [psi]
STATES = {gas: CoolProp.AbstractState("HEOS", name) for gas, name in ((Gas.NITROGEN, "Nitrogen"), (Gas.AIR, "Air"))}

gases = pytest.mark.parametrize("gas", list(STATES))


def mol_per_in3(pressure_psia: float, temperature_f: float, gas: Gas) -> float:
    state = STATES[gas]
    state.update(CoolProp.PT_INPUTS, pressure_psia * PSI, (temperature_f + 459.67) / 1.8)
    return float(state.rhomolar()) * CUBIC_INCH


def stroke_delivers(outlet: float, inlet: float, clearance: float, stages: int, exponent: float) -> float:
    """Return the share of the swept volume that is drawn in anew, stage ratios shared evenly.

    Gas left in the clearance of the first stage stands at that stage's outlet pressure; it expands back,
    cylinder volume being swept volume and clearance, before the valve opens.
    """
    ratio = (outlet / inlet) ** (1 / stages)
    pressure, volume = inlet * ratio, clearance
    while pressure > inlet:  # a thousandth of the way at a time, p V^m kept
        lower = max(pressure * ratio**-0.001, inlet)
        volume *= (pressure / lower) ** (1 / exponent)
        pressure = lower
    return max(1 + clearance - volume, 0.0)


@gases
def test_hand_pump(gas: Gas) -> None:
    rng = np.random.default_rng(21)
    for _ in range(60):
        bore, stroke = rng.uniform(0.6, 2.0), rng.uniform(4.0, 16.0)
        clearance, stages, exponent = rng.uniform(0.0, 0.1), int(rng.integers(1, 4)), rng.uniform(1.0, 1.4)
        seals, inlet, intake_f = rng.uniform(0.5, 1.0), rng.uniform(10.0, 15.0), rng.uniform(-30.0, 110.0)
        outlet, area, strut_f = rng.uniform(60.0, 300.0), rng.uniform(1.5, 7.0), rng.uniform(-30.0, 110.0)
        pump = HandPump(bore, stroke, clearance, stages, exponent, seals)
        intake, strut = Intake(inlet, intake_f, gas), RestingStrut(outlet, area, strut_f, gas)

        swept = math.pi * (bore / 2) ** 2 * stroke
        share = seals * stroke_delivers(outlet, inlet, clearance, stages, exponent)
        drawn = swept * share * mol_per_in3(inlet, intake_f, gas)
        rise = drawn / mol_per_in3(outlet, strut_f, gas) / area

        assert_allclose(displacement_in3(pump), swept, rtol=RELATIVE)
        assert_allclose(volumetric_efficiency(outlet, pump, inlet), share, rtol=RELATIVE)
        assert_allclose(gas_per_stroke_mol(outlet, pump, intake), drawn, rtol=RELATIVE)
        assert_allclose(rise_per_stroke_in(pump, intake, strut), rise, rtol=RELATIVE)
        if share > 0:
            assert_allclose(strokes_for_rise(1.5, pump, intake, strut), 1.5 / rise, rtol=RELATIVE)


def test_highest_pressure_is_where_a_stroke_stops_bringing_any() -> None:
    rng = np.random.default_rng(22)
    for _ in range(40):
        clearance, stages, exponent = rng.uniform(0.03, 0.2), int(rng.integers(1, 4)), rng.uniform(1.0, 1.4)
        inlet = rng.uniform(10.0, 15.0)
        found = float(highest_pressure_psia(HandPump(1.0, 6.0, clearance, stages, exponent), inlet))
        if math.isinf(found):  # the arm sets the limit
            assert stroke_delivers(ARM_LIMIT_PSIA, inlet, clearance, stages, exponent) > 0.0
            continue
        assert stroke_delivers(found * (1 + RELATIVE), inlet, clearance, stages, exponent) == 0.0
        assert stroke_delivers(found * (1 - RELATIVE), inlet, clearance, stages, exponent) > 0.0


@gases
def test_gas_of_a_rise(gas: Gas) -> None:
    rng = np.random.default_rng(23)
    for _ in range(100):
        pressure, area, temperature = rng.uniform(60.0, 400.0), rng.uniform(1.5, 7.0), rng.uniform(-40.0, 120.0)
        low, high = sorted(rng.uniform(0.2, 8.0, 2))
        strut = RestingStrut(pressure, area, temperature, gas)
        # The whole charge before and after, with a gas column that must drop out.
        held = [mol_per_in3(pressure, temperature, gas) * area * (x + 2.0) for x in (low, high)]
        assert_allclose(gas_for_rise_mol(high - low, strut), held[1] - held[0], rtol=RELATIVE)
        assert_allclose(rise_of_gas_in(held[0] - held[1], strut), low - high, rtol=RELATIVE)


@gases
def test_cylinder_drawn_down_top_up_by_top_up(gas: Gas) -> None:
    rng = np.random.default_rng(24)
    for _ in range(40):
        volume, gauge, temperature = rng.uniform(50.0, 700.0), rng.uniform(150.0, 3600.0), rng.uniform(20.0, 100.0)
        dose, strut, hose, margin = rng.uniform(0.03, 0.3), rng.uniform(80.0, 300.0), rng.uniform(0.0, 3.0), 50.0
        atmosphere = rng.uniform(10.0, 15.0)
        cylinder = Cylinder(volume, gauge, temperature, gas)
        left = outlook(
            cylinder,
            gas_per_top_up_mol=dose,
            strut_psia=strut,
            hose_in3=hose,
            top_ups_per_day=0.5,
            margin_psi=margin,
            atmosphere_psia=atmosphere,
        )

        content = volume * mol_per_in3(gauge + atmosphere, temperature, gas)
        least = volume * mol_per_in3(strut + margin, temperature, gas)
        vented = hose * mol_per_in3(strut, temperature, gas)
        assert_allclose(content_mol(cylinder, atmosphere), content, rtol=RELATIVE)
        assert_allclose(left.usable_mol, max(content - least, 0.0), rtol=RELATIVE, atol=RELATIVE * content)
        count = 0
        while content - dose - vented >= least:
            content -= dose + vented
            count += 1
        assert left.top_ups_left == count
        assert left.days_left == count / 0.5
        assert left.change_now == (count == 0)
        assert left.order_next == (count <= 5)


@gases
def test_multiplier_pump(gas: Gas) -> None:
    rng = np.random.default_rng(25)
    for _ in range(60):
        large, small = rng.uniform(2.0, 5.0), rng.uniform(0.6, 1.5)  # piston diameters
        drive, fed, volume = rng.uniform(30.0, 150.0), rng.uniform(0.0, 200.0), rng.uniform(0.3, 3.0)
        temperature, force, delivery = rng.uniform(0.0, 110.0), rng.uniform(0.8, 1.0), rng.uniform(0.7, 1.0)
        atmosphere, wanted = rng.uniform(10.0, 15.0), rng.uniform(0.01, 0.3)
        pump = Multiplier((large / small) ** 2, drive, volume, fed, temperature, gas, force, delivery)

        push = force * drive * math.pi * large**2 / 4
        per_cycle = delivery * volume * mol_per_in3(fed + atmosphere, temperature, gas)
        assert_allclose(
            stall_pressure_psia(pump, atmosphere), atmosphere + push / (math.pi * small**2 / 4), rtol=RELATIVE
        )
        assert_allclose(gas_per_cycle_mol(pump, atmosphere), per_cycle, rtol=RELATIVE)
        assert_allclose(cycles_for_gas(wanted, pump, atmosphere), wanted / per_cycle, rtol=RELATIVE)


@gases
def test_hose_loss_is_that_of_an_ideal_gas_and_real_gas_is_within_one_percent_of_it(gas: Gas) -> None:
    rng = np.random.default_rng(26)
    for _ in range(60):
        hose, pressure, area = rng.uniform(0.5, 5.0), rng.uniform(80.0, 300.0), rng.uniform(1.5, 7.0)
        temperature = rng.uniform(0.0, 110.0)
        found = extension_lost_in(hose, RestingStrut(pressure, area, temperature, gas))
        # Strut and hose become one volume; the load holds the pressure, so the strut gives what the hose lacks.
        assert_allclose(found * pressure * area + hose * ATMOSPHERE, hose * pressure, rtol=RELATIVE)
        dense, thin = mol_per_in3(pressure, temperature, gas), mol_per_in3(ATMOSPHERE, temperature, gas)
        assert_allclose(found, hose * (dense - thin) / (dense * area), rtol=0.01)


psig, sizes = st.floats(20.0, 300.0), st.floats(0.5, 5.0)


@given(psig, sizes, st.floats(1.0, 20.0), st.floats(1.0, 3.0))
def test_a_multiplier_stalls_higher_with_more_drive_or_ratio_in_proportion(drive, volume, ratio, scale):
    def rise(ratio, drive):
        return stall_pressure_psia(Multiplier(ratio, drive, volume, drive)) - ATMOSPHERE

    assert_allclose(rise(ratio, drive * scale), scale * rise(ratio, drive), rtol=1e-9)
    assert_allclose(rise(ratio * scale, drive), scale * rise(ratio, drive), rtol=1e-9)


@given(psig, sizes, st.floats(0.01, 1.0), st.floats(1.0, 5.0))
def test_cycles_bring_the_gas_they_were_counted_for(fed, volume, gas, scale):
    pump = Multiplier(4.0, 120.0, volume, fed)
    assert_allclose(cycles_for_gas(gas, pump) * gas_per_cycle_mol(pump), gas, rtol=1e-12)
    assert cycles_for_gas(gas * scale, pump) >= cycles_for_gas(gas, pump)


@given(st.floats(300.0, 3500.0), st.floats(0.0, 500.0), st.floats(50.0, 700.0), st.floats(0.0, 3.0))
def test_a_fuller_cylinder_never_lasts_shorter_and_a_hose_never_lengthens_it(pressure, more, volume, hose):
    def left(gauge, hose_in3):
        found = outlook(Cylinder(volume, gauge), gas_per_top_up_mol=0.06, strut_psia=195.3, hose_in3=hose_in3)
        return int(found.top_ups_left)

    assert left(pressure + more, hose) >= left(pressure, hose)
    assert left(pressure, hose) <= left(pressure, 0.0)


@given(st.floats(100.0, 3500.0), st.floats(50.0, 700.0), st.floats(0.1, 10.0))
def test_a_cylinder_holds_gas_in_proportion_to_its_volume(pressure, volume, scale):
    assert_allclose(
        content_mol(Cylinder(scale * volume, pressure)), scale * content_mol(Cylinder(volume, pressure)), rtol=1e-12
    )


@given(sizes, st.floats(60.0, 300.0), st.floats(1.0, 8.0), st.floats(1.0, 2.0))
def test_a_hose_takes_less_the_more_it_was_pressed_up_and_nothing_at_strut_pressure(hose, pressure, area, scale):
    strut = RestingStrut(pressure, area, 70.0)
    loss = extension_lost_in(hose, strut)
    assert extension_lost_in(hose, strut, pressure / scale) <= loss
    assert_allclose(extension_lost_in(hose, strut, pressure), 0.0, atol=1e-15)
    assert_allclose(extension_lost_in(scale * hose, strut), scale * loss, rtol=1e-12)


@given(psig, st.floats(0.3, 3.0), st.floats(1.0, 3.0))
def test_twice_the_piston_is_four_times_the_push(gauge, diameter, scale):
    assert_allclose(
        handle_force_lbf(gauge, scale * diameter), scale**2 * handle_force_lbf(gauge, diameter), rtol=1e-12
    )
