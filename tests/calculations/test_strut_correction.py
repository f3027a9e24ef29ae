"""Correction of a measured extension to reference conditions, and its uncertainty.

Uncertainty: JCGM 100:2008. Strut A is the invented reference strut of `strut_a`.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculations.errors import CalculationError
from calculations.gas import Gas
from calculations.strut import (
    ReadingUncertainty,
    StrutFigures,
    StrutUncertainty,
    charge_mol,
    correct_extension,
    extension_in,
    uncertainty_parts,
)
from tests.calculations.strut_a import fahrenheit, strut_a
from tests.calculations.test_strut_state import extensions, loads, struts, temperatures

EXACT = ReadingUncertainty(0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
KNOWN = StrutUncertainty(fluid_expansion_per_k=0.0)


def test_uncertainty_budget_of_strut_a() -> None:
    # Ruler 1/32 in; temperature 2 K; load 20 lbf; seal friction 2 % of 800 lbf; root sum square.
    parts = uncertainty_parts(
        3.25,
        59.0,
        800.0,
        strut_a(Gas.IDEAL),
        figures_uncertainty=KNOWN,
        reading_uncertainty=ReadingUncertainty(1 / 32, 3.6, 20.0, 0.0, 0.02, 0.05),
    )
    assert abs(float(parts.temperature_in)) == pytest.approx(0.042, abs=0.5e-3)
    assert float(parts.load_in) == pytest.approx(0.088, abs=0.5e-3)
    assert float(parts.friction_in) == pytest.approx(0.070, abs=0.5e-3)
    found = correct_extension(
        3.25,
        59.0,
        800.0,
        strut_a(Gas.IDEAL),
        figures_uncertainty=KNOWN,
        reading_uncertainty=ReadingUncertainty(1 / 32, 3.6, 20.0, 0.0, 0.02, 0.05),
    )
    assert float(found.uncertainty_in) == pytest.approx(0.1245, abs=0.5e-4)
    assert float(found.uncertainty_in) / 0.03727 == pytest.approx(3.3, abs=0.05)  # percent of gas


def test_strut_that_was_not_exercised_is_less_sure() -> None:
    parts = uncertainty_parts(
        3.25,
        59.0,
        800.0,
        strut_a(Gas.IDEAL),
        exercised=False,
        reading_uncertainty=ReadingUncertainty(1 / 32, 3.6, 20.0, 0.0, 0.02, 0.05),
    )
    assert float(parts.friction_in) == pytest.approx(0.176, abs=0.5e-3)  # 5 % of load alone


@pytest.mark.parametrize(("temperature_c", "reading"), [(-20.0, 2.4831), (35.0, 3.6852)])
def test_winter_and_summer_readings_of_a_sound_strut_correct_to_the_same(
    temperature_c: float, reading: float
) -> None:
    found = correct_extension(reading, fahrenheit(temperature_c), 800.0, strut_a())
    assert float(found.corrected_in) == pytest.approx(3.25, abs=1e-4)


def test_terms_have_the_signs_of_their_causes() -> None:
    cold_and_heavy = correct_extension(3.0, 20.0, 900.0, strut_a(), atmosphere_psia=12.0)
    assert cold_and_heavy.gas_in > 0
    assert cold_and_heavy.fluid_in > 0
    assert cold_and_heavy.real_gas_in != 0
    assert cold_and_heavy.load_in > 0
    assert cold_and_heavy.atmosphere_in < 0


def test_reading_at_reference_conditions_stays_as_it_is() -> None:
    found = correct_extension(3.25, 59.0, 800.0, strut_a())
    assert float(found.corrected_in) == pytest.approx(3.25, abs=1e-15)
    for term in (found.gas_in, found.real_gas_in, found.fluid_in, found.load_in, found.atmosphere_in):
        assert float(term) == 0.0


def test_corrected_extension_beyond_a_stop_is_flagged_not_clipped() -> None:
    found = correct_extension([7.9, 0.2], [-20.0, 100.0], [800.0, 700.0], strut_a())
    assert found.within_travel.tolist() == [False, False]
    assert found.corrected_in[0] > 8.0
    assert found.corrected_in[1] < 0.0


def test_reading_on_a_stop_is_flagged() -> None:
    found = correct_extension([0.0, 3.25, 8.0], 59.0, 800.0, strut_a())
    assert found.on_stop.tolist() == [True, False, True]


def test_estimated_full_extension_lets_a_longer_reading_pass() -> None:
    with pytest.raises(CalculationError):
        correct_extension(8.5, 59.0, 800.0, strut_a())
    wide = StrutUncertainty(full_extension_in=0.5)
    assert bool(correct_extension(8.5, 59.0, 800.0, strut_a(), figures_uncertainty=wide).on_stop)


def test_every_uncertainty_widens() -> None:
    strut = strut_a()
    base = float(
        correct_extension(
            3.0, 20.0, 850.0, strut, figures_uncertainty=KNOWN, reading_uncertainty=EXACT
        ).uncertainty_in
    )
    assert base == 0.0
    for name in ("tube_diameter_in", "gas_column_in", "fluid_volume_in3", "fluid_expansion_per_k"):
        wider = StrutUncertainty(**{"fluid_expansion_per_k": 0.0, name: 1e-3})
        found = correct_extension(3.0, 20.0, 850.0, strut, figures_uncertainty=wider, reading_uncertainty=EXACT)
        assert found.uncertainty_in > 0, name
    for position in range(5):
        values = [0.0] * 6
        values[position] = 0.1
        found = correct_extension(
            3.0,
            20.0,
            850.0,
            strut,
            figures_uncertainty=KNOWN,
            reading_uncertainty=ReadingUncertainty(*values),
        )
        assert found.uncertainty_in > 0, position


def test_faults_of_every_kind_are_told_by_field() -> None:
    with pytest.raises(CalculationError) as caught:
        correct_extension(
            -1.0,
            300.0,
            -5.0,
            StrutFigures(2.0, 1.0, 30.0, 8.0, 800.0),
            figures_uncertainty=StrutUncertainty(tube_diameter_in=-1.0),
            reading_uncertainty=ReadingUncertainty(load_lbf=-1.0),
        )
    assert {fault.field for fault in caught.value.faults} == {
        "extension_in",
        "temperature_f",
        "load_lbf",
        "uncertainty.tube_diameter_in",
        "uncertainty.load_lbf",
    }


def test_load_that_would_press_the_gas_out_of_the_table_is_refused() -> None:
    heavy = StrutFigures(1.0, 1.0, 5.0, 8.0, 5000.0)
    with pytest.raises(CalculationError) as caught:
        correct_extension(9.0, 59.0, 5000.0, heavy)
    assert [(fault.field, fault.code) for fault in caught.value.faults] == [
        ("extension_in", "extension_beyond_tube"),
        ("load_lbf", "pressure_outside_gas_table"),
        ("reference_load_lbf", "pressure_outside_gas_table"),
    ]


def test_strut_full_of_fluid_is_refused() -> None:
    tight = StrutFigures(2.0, 0.1, 60.0, 8.0, 800.0)
    for compute in (correct_extension, uncertainty_parts):
        with pytest.raises(CalculationError, match="leave room for gas"):
            compute(0.1, 120.0, 800.0, tight)  # type: ignore[operator]  # two functions, one signature


def test_many_readings_equal_single_ones_whatever_the_shape() -> None:
    rng = np.random.default_rng(3)
    size = 20_000  # several blocks
    extension, temperature, load = (
        rng.uniform(1, 7, size),
        rng.uniform(0, 100, size),
        rng.uniform(500, 1000, size),
    )
    exercised = rng.random(size) < 0.5
    together = correct_extension(extension, temperature, load, strut_a(), exercised=exercised)
    for index in (0, 4095, 4096, size - 1):
        alone = correct_extension(
            extension[index], temperature[index], load[index], strut_a(), exercised=exercised[index]
        )
        assert float(alone.corrected_in) == pytest.approx(float(together.corrected_in[index]), rel=1e-14)
        assert float(alone.uncertainty_in) == pytest.approx(float(together.uncertainty_in[index]), rel=1e-13)
    grid = correct_extension(extension[:3, np.newaxis], temperature[:4], 800.0, strut_a())
    assert grid.corrected_in.shape == (3, 4)
    assert correct_extension(extension[:0], 59.0, 800.0, strut_a()).corrected_in.shape == (0,)


@given(struts(), extensions, temperatures, loads)
def test_terms_sum_to_the_total(strut: StrutFigures, extension: float, temperature: float, load: float) -> None:
    found = correct_extension(extension, temperature, load, strut, atmosphere_psia=13.0)
    total = extension + found.gas_in + found.real_gas_in + found.fluid_in + found.load_in + found.atmosphere_in
    assert float(total) == float(found.corrected_in)


@given(struts(), extensions, temperatures, loads)
def test_correction_is_the_charge_seen_at_reference_conditions(
    strut: StrutFigures, extension: float, temperature: float, load: float
) -> None:
    charge = charge_mol(extension, temperature, load, strut)
    there = extension_in(charge, strut.reference_temperature_f, strut.reference_load_lbf, strut)
    found = correct_extension(extension, temperature, load, strut)
    assert float(found.corrected_in) == pytest.approx(float(there.extension_in), rel=1e-10, abs=1e-10)
    assert bool(found.within_travel) == bool(there.within_travel)


@given(struts(), extensions, temperatures, loads)
def test_correcting_there_and_back_gives_the_reading(
    strut: StrutFigures, extension: float, temperature: float, load: float
) -> None:
    there = correct_extension(extension, temperature, load, strut)
    if bool(there.within_travel):
        back_strut = StrutFigures(
            strut.tube_diameter_in,
            strut.gas_column_in,
            strut.fluid_volume_in3,
            strut.full_extension_in,
            load,
            temperature,
            gas=strut.gas,
        )
        back = correct_extension(
            there.corrected_in, strut.reference_temperature_f, strut.reference_load_lbf, back_strut
        )
        assert float(back.corrected_in) == pytest.approx(extension, rel=1e-10, abs=1e-10)


@given(struts(), extensions, temperatures, loads, st.floats(0.01, 1.0))
def test_longer_reading_is_a_longer_corrected_extension(
    strut: StrutFigures, extension: float, temperature: float, load: float, more: float
) -> None:
    short, long = correct_extension([extension, extension + more], temperature, load, strut).corrected_in
    assert long > short
