"""Servicing table and friction band of a strut."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculations.errors import CalculationError
from calculations.gas import Gas
from calculations.strut import (
    StrutFigures,
    StrutUncertainty,
    charge_mol,
    correct_extension,
    extension_in,
    friction_band,
    servicing_table,
)
from tests.calculations.strut_a import fahrenheit, strut_a
from tests.calculations.test_strut_state import extensions, loads, struts, temperatures


def test_table_holds_the_extensions_of_strut_a() -> None:
    # Reference Strut A, real gas with fluid at 800 lbf, and without change of temperature by load.
    by_temperature = servicing_table(3.25, [fahrenheit(c) for c in (-20, 0, 25, 40)], [800.0], strut_a())
    printed = [2.4831, 2.9223, 3.4678, 3.7937]
    assert by_temperature.extension_in[:, 0].tolist() == pytest.approx(printed, abs=0.5e-4)
    by_load = servicing_table(3.25, 59.0, [500.0, 700.0, 1000.0], strut_a())
    assert by_load.extension_in[0].tolist() == pytest.approx([5.3056, 3.7514, 2.5349], abs=0.5e-4)


def test_table_at_elevation() -> None:
    # Reference Strut A, ideal gas: 5000 ft 3.2845 in.
    found = servicing_table(3.25, 59.0, 800.0, strut_a(Gas.IDEAL), atmosphere_psia=12.2277)
    assert float(found.extension_in[0, 0]) == pytest.approx(3.2845, abs=0.5e-4)


def test_cell_where_the_strut_would_rest_on_a_stop_is_flagged() -> None:
    found = servicing_table(3.25, [59.0], [100.0, 800.0], strut_a())
    assert found.within_travel.tolist() == [[False, True]]


def test_cell_at_reference_is_the_target_without_doubt() -> None:
    found = servicing_table(3.25, [59.0, 20.0], [800.0], strut_a(), figures_uncertainty=StrutUncertainty(0.02, 0.5))
    assert float(found.extension_in[0, 0]) == pytest.approx(3.25)
    assert float(found.uncertainty_in[0, 0]) == pytest.approx(0.0, abs=1e-12)
    assert float(found.uncertainty_in[1, 0]) > 0.01


@given(struts(), extensions, temperatures, loads)
def test_strut_set_by_the_table_corrects_to_its_target(
    strut: StrutFigures, target: float, temperature: float, load: float
) -> None:
    cell = servicing_table(target, temperature, load, strut)
    if bool(cell.within_travel[0, 0]):
        back = correct_extension(cell.extension_in[0, 0], temperature, load, strut)
        assert float(back.corrected_in) == pytest.approx(target, rel=1e-10)


def test_no_friction_no_band() -> None:
    band = friction_band(3.25, 59.0, 800.0, 0.0, strut_a())
    assert float(band.lowest_in) == float(band.highest_in) == pytest.approx(3.25)


def test_band_that_reaches_a_stop_is_flagged() -> None:
    assert not bool(friction_band(7.9, 59.0, 800.0, 80.0, strut_a()).within_travel)


@given(struts(), extensions, temperatures, loads, st.floats(0.01, 0.5))
def test_band_holds_the_frictionless_extension(
    strut: StrutFigures, extension: float, temperature: float, load: float, share: float
) -> None:
    band = friction_band(extension, temperature, load, share * load, strut)
    assert float(band.lowest_in) < extension < float(band.highest_in)
    held = extension_in(charge_mol(extension, temperature, load, strut), temperature, load * (1 + share), strut)
    assert float(band.lowest_in) == pytest.approx(float(held.extension_in))


def test_friction_that_could_carry_the_load_is_refused() -> None:
    with pytest.raises(CalculationError) as caught:
        friction_band(3.25, 59.0, 800.0, np.array([40.0, 800.0]), strut_a())
    assert [fault.code for fault in caught.value.faults] == ["friction_above_load"]
