"""A strut at rest and against its stops.

Tables are of the invented Reference Strut A, worked from p = F/A + p_atm and pV = nZRT with the nitrogen
equation of state of Span et al. (2000); tolerance half the last printed digit.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculations.atmosphere import standard_pressure_psia
from calculations.constants import CUBIC_INCH_M3, GAS_CONSTANT, PSI_PA, STANDARD_ATMOSPHERE_PSI
from calculations.errors import CalculationError
from calculations.gas import Gas, compressibility, table_of
from calculations.strut import (
    StrutFigures,
    charge_mol,
    correctable,
    extension_in,
    pressure_at_psia,
    rest_pressure_psia,
    sensitivities,
)
from tests.calculations.strut_a import AREA_IN2, fahrenheit, strut_a

IDEAL = strut_a(Gas.IDEAL)
REAL = strut_a()


def test_derived_figures() -> None:
    pressure = float(rest_pressure_psia(800.0, REAL))
    assert pressure == pytest.approx(269.344, abs=0.5e-3)
    assert pressure - STANDARD_ATMOSPHERE_PSI == pytest.approx(254.648, abs=0.5e-3)
    assert pressure * PSI_PA / 1000 == pytest.approx(1857.06, abs=0.5e-2)
    assert float(REAL.area_in2) == pytest.approx(3.141593, abs=0.5e-6)
    assert float(REAL.area_in2) * 2.54**2 == pytest.approx(20.2683, abs=0.5e-4)
    gas_m3 = float(charge_mol(3.25, 59.0, 800.0, IDEAL)) * GAS_CONSTANT * 288.15 / (pressure * PSI_PA)
    assert gas_m3 / CUBIC_INCH_M3 == pytest.approx(11.7102, abs=0.5e-4)
    assert gas_m3 * 1e6 == pytest.approx(191.895, abs=0.5e-3)
    assert float(charge_mol(3.25, 59.0, 800.0, IDEAL)) == pytest.approx(0.148743, abs=0.5e-6)
    real = float(charge_mol(3.25, 59.0, 800.0, REAL))
    assert real == pytest.approx(0.149419, abs=0.5e-6)
    assert real * table_of(Gas.NITROGEN).molar_mass_kg * 1000 == pytest.approx(4.1857, abs=0.5e-4)
    assert float(compressibility(pressure, 59.0)) == pytest.approx(0.99548, abs=0.5e-5)


def test_derived_sensitivities() -> None:
    found = sensitivities(3.25, 59.0, 800.0, IDEAL)
    assert float(found.gas_in_per_f) * 1.8 == pytest.approx(0.01294, abs=0.5e-5)
    assert float(found.fluid_in_per_f) * 1.8 == pytest.approx(0.00821, abs=0.5e-5)
    assert float(found.total_in_per_f) * 1.8 == pytest.approx(0.02115, abs=0.5e-5)
    assert float(found.total_in_per_f) * 1.8 * 25.4 == pytest.approx(0.5372, abs=0.5e-4)
    assert float(found.load_in_per_lbf) == pytest.approx(-0.004405, abs=0.5e-6)
    assert float(found.charge_in_per_percent) == pytest.approx(0.03727, abs=0.5e-5)


@pytest.mark.parametrize(
    ("temperature_c", "ideal_dry", "real_dry", "ideal_fluid", "real_fluid"),
    [
        (-30, 2.6679, 2.6319, 2.2983, 2.2624),
        (-20, 2.7972, 2.7706, 2.5098, 2.4831),
        (-10, 2.9266, 2.9084, 2.7213, 2.7031),
        (0, 3.0560, 3.0455, 2.9328, 2.9223),
        (15, 3.2500, 3.2500, 3.2500, 3.2500),
        (25, 3.3794, 3.3857, 3.4615, 3.4678),
        (35, 3.5087, 3.5209, 3.6730, 3.6852),
        (40, 3.5734, 3.5884, 3.7787, 3.7937),
    ],
)
def test_extension_against_temperature(
    temperature_c: float, ideal_dry: float, real_dry: float, ideal_fluid: float, real_fluid: float
) -> None:
    found = [
        float(
            extension_in(charge_mol(3.25, 59.0, 800.0, strut), fahrenheit(temperature_c), 800.0, strut).extension_in
        )
        for strut in (strut_a(Gas.IDEAL, fluid=False), strut_a(fluid=False), IDEAL, REAL)
    ]
    assert found == pytest.approx([ideal_dry, real_dry, ideal_fluid, real_fluid], abs=0.5e-4)


@pytest.mark.parametrize(
    ("load_lbf", "ideal", "real"),
    [
        (500, 5.2974, 5.3056),
        (650, 4.0531, 4.0562),
        (700, 3.7495, 3.7514),
        (750, 3.4841, 3.4850),
        (850, 3.0420, 3.0413),
        (900, 2.8560, 2.8546),
        (1000, 2.5374, 2.5349),
    ],
)
def test_extension_against_load(load_lbf: float, ideal: float, real: float) -> None:
    for strut, printed in ((IDEAL, ideal), (REAL, real)):
        found = extension_in(charge_mol(3.25, 59.0, 800.0, strut), 59.0, load_lbf, strut)
        assert float(found.extension_in) == pytest.approx(printed, abs=0.5e-4)


@pytest.mark.parametrize(
    ("elevation_ft", "extension"), [(1000, 3.2573), (2000, 3.2643), (5000, 3.2845), (8000, 3.3031)]
)
def test_extension_against_elevation(elevation_ft: float, extension: float) -> None:
    charge = charge_mol(3.25, 59.0, 800.0, IDEAL)
    air = standard_pressure_psia(elevation_ft)
    found = extension_in(charge, 59.0, 800.0, IDEAL, atmosphere_psia=air)
    assert float(found.extension_in) == pytest.approx(extension, abs=0.5e-4)


def test_eight_thousand_feet_lengthen_it_a_little() -> None:
    charge = charge_mol(3.25, 59.0, 800.0, IDEAL)
    high = extension_in(charge, 59.0, 800.0, IDEAL, atmosphere_psia=standard_pressure_psia(8000.0)).extension_in
    assert 100 * (float(high) / 3.25 - 1) == pytest.approx(1.6, abs=0.05)


@pytest.mark.parametrize(
    ("lost", "extension"), [(0.01, 3.2127), (0.05, 3.0636), (0.10, 2.8773), (0.20, 2.5045), (0.50, 1.3863)]
)
def test_extension_against_gas_lost(lost: float, extension: float) -> None:
    charge = charge_mol(3.25, 59.0, 800.0, IDEAL) * (1 - lost)
    assert float(extension_in(charge, 59.0, 800.0, IDEAL).extension_in) == pytest.approx(extension, abs=0.5e-4)


def test_strut_bottoms_when_the_gas_left_is_what_bottoming_needs() -> None:
    charge = charge_mol(3.25, 59.0, 800.0, IDEAL)
    share = charge_mol(0.0, 59.0, 800.0, IDEAL) / charge
    assert float(share) == pytest.approx(0.1281, abs=0.5e-4)
    assert bool(extension_in(charge * share * 1.0001, 59.0, 800.0, IDEAL).within_travel)
    beyond = extension_in(charge * share * 0.999, 59.0, 800.0, IDEAL)
    assert not bool(beyond.within_travel)
    assert float(beyond.extension_in) < 0  # told, not clipped


def test_jacked_and_bottomed_pressures() -> None:
    charge = charge_mol(3.25, 59.0, 800.0, IDEAL)
    jacked = float(pressure_at_psia(charge, 8.0, 59.0, IDEAL))
    assert jacked == pytest.approx(118.428, abs=0.5e-3)
    assert jacked - STANDARD_ATMOSPHERE_PSI == pytest.approx(103.732, abs=0.5e-3)
    assert float(pressure_at_psia(charge, 0.0, 59.0, IDEAL)) == pytest.approx(2102.7, abs=0.05)


def test_right_extension_with_fluid_missing_has_other_pressures_only_at_the_stops() -> None:
    # 50.0 cm3 of fluid gone and gas topped up to the same 3.25 in.
    short = StrutFigures(
        2.0, (1.5 + 50.0e-6 / CUBIC_INCH_M3) / AREA_IN2, 30.0, 8.0, 800.0, 59.0, 8.6e-4, 59.0, Gas.IDEAL
    )
    charge = charge_mol(3.25, 59.0, 800.0, short)
    assert float(charge) == pytest.approx(0.187500, abs=0.5e-6)
    assert float(charge / charge_mol(3.25, 59.0, 800.0, IDEAL)) == pytest.approx(1.26, abs=0.5e-2)
    jacked_psig = float(pressure_at_psia(charge, 8.0, 59.0, short)) - STANDARD_ATMOSPHERE_PSI
    assert jacked_psig == pytest.approx(119.245, abs=0.5e-3)
    assert float(pressure_at_psia(charge, 0.0, 59.0, short)) == pytest.approx(873.6, abs=0.05)


def test_all_faults_are_told_together() -> None:
    nonsense = StrutFigures(-2.0, -1.0, -30.0, 0.0, 0.0, 400.0, -1.0, 400.0)
    with pytest.raises(CalculationError) as caught:
        charge_mol(-1.0, 300.0, -5.0, nonsense, atmosphere_psia=-1.0)
    assert {fault.field for fault in caught.value.faults} == {
        "extension_in",
        "temperature_f",
        "load_lbf",
        "atmosphere_psia",
        "tube_diameter_in",
        "gas_column_in",
        "fluid_volume_in3",
        "full_extension_in",
        "reference_load_lbf",
        "reference_temperature_f",
        "fluid_expansion_per_k",
        "figures_temperature_f",
    }


@pytest.mark.parametrize(
    ("extension", "load", "code"),
    [
        (8.001, 800.0, "extension_beyond_tube"),
        (3.25, 17000.0, "pressure_outside_gas_table"),
        (3.25, 0.0, "not_positive"),
        (-0.01, 800.0, "negative"),
    ],
)
def test_impossible_reading_is_refused(extension: float, load: float, code: str) -> None:
    with pytest.raises(CalculationError) as caught:
        charge_mol(extension, 59.0, load, REAL)
    assert [fault.code for fault in caught.value.faults] == [code]


def test_fluid_that_would_fill_the_strut_is_refused() -> None:
    tight = StrutFigures(2.0, 0.1, 60.0, 8.0, 800.0)
    with pytest.raises(CalculationError) as caught:
        charge_mol(0.1, 120.0, 800.0, tight)
    assert [(fault.field, fault.code) for fault in caught.value.faults] == [("gas_column_in", "no_gas_space")]


def test_charge_that_would_burst_the_table_is_refused() -> None:
    with pytest.raises(CalculationError) as caught:
        pressure_at_psia(5.0, 0.0, 59.0, REAL)
    assert [fault.code for fault in caught.value.faults] == ["pressure_outside_gas_table"]


def test_screen_agrees_with_refusals() -> None:
    extension = np.array([3.25, -1.0, 9.0, np.nan, 3.25, 3.25, 3.25])
    temperature = np.array([59.0, 59.0, 59.0, 59.0, 200.0, 59.0, 59.0])
    load = np.array([800.0, 800.0, 800.0, 800.0, 800.0, 0.0, 20000.0])
    found = correctable(extension, temperature, load, REAL)
    assert found.tolist() == [True, False, False, False, False, False, False]
    for index in range(extension.size):
        if not found[index]:
            with pytest.raises(CalculationError):
                charge_mol(extension[index], temperature[index], load[index], REAL)


def test_screen_sees_the_strut_that_fluid_would_fill() -> None:
    tight = StrutFigures(2.0, 0.1, 60.0, 8.0, 800.0)
    assert correctable([0.1, 3.0], 120.0, 800.0, tight).tolist() == [False, True]


@st.composite
def struts(draw: st.DrawFn) -> StrutFigures:
    return StrutFigures(
        tube_diameter_in=draw(st.floats(1.5, 3.5)),
        gas_column_in=draw(st.floats(0.5, 5.0)),
        fluid_volume_in3=draw(st.floats(0.0, 60.0)),
        full_extension_in=12.0,
        reference_load_lbf=draw(st.floats(200.0, 1500.0)),
        reference_temperature_f=draw(st.floats(30.0, 90.0)),
        gas=draw(st.sampled_from(Gas)),
    )


extensions = st.floats(0.5, 11.0)
temperatures = st.floats(-40.0, 110.0)
loads = st.floats(200.0, 1500.0)


@given(struts(), extensions, temperatures, loads)
def test_extension_and_charge_are_each_others_inverse(
    strut: StrutFigures, extension: float, temperature: float, load: float
) -> None:
    charge = charge_mol(extension, temperature, load, strut)
    back = extension_in(charge, temperature, load, strut)
    assert float(back.extension_in) == pytest.approx(extension, rel=1e-11, abs=1e-11)


@given(struts(), extensions, temperatures, loads)
def test_pressure_of_a_resting_strut_is_its_pressure_at_that_extension(
    strut: StrutFigures, extension: float, temperature: float, load: float
) -> None:
    charge = charge_mol(extension, temperature, load, strut)
    held = float(pressure_at_psia(charge, extension, temperature, strut))
    assert held == pytest.approx(float(rest_pressure_psia(load, strut)), rel=1e-10)


@given(struts(), extensions, temperatures, loads)
def test_strut_moves_the_way_it_must(strut: StrutFigures, extension: float, temperature: float, load: float) -> None:
    charge = charge_mol(extension, temperature, load, strut)

    def at(more_charge: float = 0.0, warmer: float = 0.0, heavier: float = 0.0) -> float:
        rest = extension_in(charge * (1 + more_charge), temperature + warmer, load + heavier, strut)
        return float(rest.extension_in)

    assert at(more_charge=0.01) > at() > at(more_charge=-0.01)
    assert at(warmer=2.0) > at() > at(warmer=-2.0)
    assert at(heavier=5.0) < at() < at(heavier=-5.0)


@given(struts(), extensions, temperatures, loads)
def test_sensitivities_are_the_slopes_of_the_extension(
    strut: StrutFigures, extension: float, temperature: float, load: float
) -> None:
    charge = charge_mol(extension, temperature, load, strut)
    found = sensitivities(extension, temperature, load, strut)
    step_f, step_lbf, step_psi = 0.01, 0.05, 0.01
    warm, cold = (extension_in(charge, temperature + s, load, strut).extension_in for s in (step_f, -step_f))
    assert float(found.total_in_per_f) == pytest.approx(float(warm - cold) / (2 * step_f), rel=1e-5)
    heavy, light = (extension_in(charge, temperature, load + s, strut).extension_in for s in (step_lbf, -step_lbf))
    assert float(found.load_in_per_lbf) == pytest.approx(float(heavy - light) / (2 * step_lbf), rel=1e-5)
    dense, thin = (
        extension_in(charge, temperature, load, strut, atmosphere_psia=14.0 + s).extension_in
        for s in (step_psi, -step_psi)
    )
    level = extension_in(charge, temperature, load, strut, atmosphere_psia=14.0).extension_in
    if 0 <= float(level) <= 12:
        there = sensitivities(level, temperature, load, strut, atmosphere_psia=14.0)
        assert float(there.atmosphere_in_per_psi) == pytest.approx(float(dense - thin) / (2 * step_psi), rel=1e-5)


@given(struts(), extensions, temperatures, loads, st.floats(0.5, 2.0))
def test_similar_struts_behave_alike(
    strut: StrutFigures, extension: float, temperature: float, load: float, scale: float
) -> None:
    # Twice the area with twice the load, fluid and gas is two struts side by side.
    wide = StrutFigures(
        tube_diameter_in=np.asarray(strut.tube_diameter_in) * np.sqrt(scale),
        gas_column_in=strut.gas_column_in,
        fluid_volume_in3=np.asarray(strut.fluid_volume_in3) * scale,
        full_extension_in=12.0,
        reference_load_lbf=np.asarray(strut.reference_load_lbf) * scale,
        gas=strut.gas,
    )
    one = charge_mol(extension, temperature, load, strut)
    several = charge_mol(extension, temperature, load * scale, wide)
    assert float(several) == pytest.approx(float(one) * scale, rel=1e-11)
