"""Fluid of a strut: expansion, and gas taken up."""

import numpy as np
import pytest

from calculations.constants import CUBIC_INCH_M3, STANDARD_ATMOSPHERE_PSI
from calculations.errors import CalculationError
from calculations.strut import StrutFigures, charge_mol, dissolved_gas, extension_in, rest_pressure_psia
from tests.calculations.strut_a import strut_a


def test_fluid_of_strut_a_expands_by_half_an_inch_over_55_kelvin() -> None:
    # 491.612 cm3 x 8.6e-4 x 55 K = 23.253 cm3, or 0.452 in of a 2.000 in bore (expansion from memory).
    growth_in = float(strut_a().fluid_growth_in_per_k) * 55
    assert growth_in == pytest.approx(0.452, abs=0.5e-3)
    assert growth_in * np.pi * CUBIC_INCH_M3 * 1e6 == pytest.approx(23.253, abs=0.5e-3)


def test_fresh_fluid_can_take_up_a_quarter_of_the_gas() -> None:
    # Bunsen coefficient 0.10 (from memory, source not seen): 0.0402 mol, 27 % of 0.149 mol.
    found = dissolved_gas(3.25, 59.0, 800.0, strut_a())
    assert float(found.dissolved_mol) == pytest.approx(0.0402, abs=0.5e-4)
    assert float(found.charge_share) == pytest.approx(0.27, abs=0.5e-2)


def test_settling_of_the_main_strut() -> None:
    # Worked independently for this project: 40 in3 of fluid, Ostwald coefficient 0.08 to 0.1 (from memory, source
    # not seen), up to 0.7 to 0.8 in. Ours, L V / A, is 0.72 to 0.90 in: fluid that held none. Fluid that stood
    # open already holds its share at air pressure and takes up the rest, which gives the printed digits.
    # Bunsen's coefficient is Ostwald's times 273.15/294.26.
    main = StrutFigures(2.375, 2.0, 40.0, 9.0, 800.0)
    ostwald = np.array([0.08, 0.1])
    settling = dissolved_gas(4.5, 70.0, 800.0, main, solubility=ostwald * 273.15 / 294.26).settling_in
    assert settling.tolist() == pytest.approx([0.72, 0.90], abs=0.5e-2)
    from_open_air = 1 - STANDARD_ATMOSPHERE_PSI / float(rest_pressure_psia(800.0, main))
    assert (settling * from_open_air).tolist() == pytest.approx([0.7, 0.8], abs=0.05)


def test_settling_is_what_the_lost_gas_makes_the_strut_lose() -> None:
    found = dissolved_gas(3.25, 20.0, 800.0, strut_a(), solubility=1e-4)
    charge = charge_mol(3.25, 20.0, 800.0, strut_a())
    settled = extension_in(charge - found.dissolved_mol, 20.0, 800.0, strut_a()).extension_in
    assert float(found.settling_in) == pytest.approx(3.25 - float(settled), rel=1e-6)


def test_fluid_that_takes_up_nothing_settles_nothing() -> None:
    assert float(dissolved_gas(3.25, 59.0, 800.0, strut_a(), solubility=0.0).settling_in) == 0.0


def test_negative_solubility_is_refused() -> None:
    with pytest.raises(CalculationError):
        dissolved_gas(3.25, 59.0, 800.0, strut_a(), solubility=-0.1)
