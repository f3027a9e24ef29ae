"""Amounts, volumes, densities and virial coefficients against the property library asked state by state."""

import numpy as np
import pytest
from CoolProp import CoolProp
from numpy.testing import assert_allclose

from calculations.gas import Gas, amount_mol, density_kg_m3, molar_volume_in3, virial_coefficients

RELATIVE = 1e-6
PSI = 4.4482216152605 / 0.0254**2  # [Pa]
CUBIC_INCH = 0.0254**3  # [m3]
NAMES = {Gas.NITROGEN: "Nitrogen", Gas.AIR: "Air"}

gases = pytest.mark.parametrize("gas", list(NAMES))


@gases
def test_amount_volume_and_density_of_any_state(gas: Gas) -> None:
    rng = np.random.default_rng(41)
    state = CoolProp.AbstractState("HEOS", NAMES[gas])
    for _ in range(300):
        temperature_k, pressure_pa = rng.uniform(220.0, 350.0), np.exp(rng.uniform(np.log(4e3), np.log(350e5)))
        volume = rng.uniform(0.1, 900.0)
        state.update(CoolProp.PT_INPUTS, pressure_pa, temperature_k)
        asked = (pressure_pa / PSI, temperature_k * 1.8 - 459.67)
        assert_allclose(density_kg_m3(*asked, gas), state.rhomass(), rtol=RELATIVE)
        assert_allclose(molar_volume_in3(*asked, gas) * CUBIC_INCH, 1 / state.rhomolar(), rtol=RELATIVE)
        assert_allclose(
            amount_mol(asked[0], volume, asked[1], gas), volume * CUBIC_INCH * state.rhomolar(), rtol=RELATIVE
        )


@gases
def test_virial_coefficients_of_any_temperature(gas: Gas) -> None:
    """Not from the library's own virials: from its density, as the pressure goes to nothing."""
    rng = np.random.default_rng(42)
    state = CoolProp.AbstractState("HEOS", NAMES[gas])
    for temperature_k in rng.uniform(220.0, 350.0, 40):
        # (Z - 1)/rho = B + C rho + D rho^2 + ..., a polynomial through states of known density.
        density = 400.0 * (1 - np.cos(np.pi * (np.arange(8) + 0.5) / 8)) + 20.0  # [mol/m3]
        departure = []
        for molar in density:
            state.update(CoolProp.DmolarT_INPUTS, molar, temperature_k)
            departure.append((state.p() / (molar * state.gas_constant() * temperature_k) - 1) / molar)
        fit = np.polynomial.Polynomial.fit(density, departure, 5).convert().coef
        second, third = virial_coefficients(temperature_k * 1.8 - 459.67, gas)
        assert_allclose(second, fit[0] * 1e6, rtol=RELATIVE, atol=1e-5)  # B passes through zero near 327 K
        assert_allclose(third, fit[1] * 1e12, rtol=1e-4)  # the fit's own digits end there
