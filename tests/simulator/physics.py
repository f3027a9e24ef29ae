"""The simulator's own strut: area, load and gas give the extension; no code shared with the product."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

GAS_CONSTANT_PSI_IN3 = 8.314462618 / 6894.757293168 / 1.6387064e-5  # [psi in3/(mol K)]
SEA_LEVEL_PSIA = 14.69595
CM3_PER_IN3 = 16.387064

# Second virial coefficient of nitrogen [cm3/mol]: rounded values of the usual compilations, from memory,
# source not seen. At strut pressures it moves an extension by some hundredths of an inch per 50 degF.
_KELVIN = np.array([200.0, 225.0, 250.0, 275.0, 300.0, 325.0, 350.0])
_VIRIAL_B = np.array([-35.2, -24.6, -16.2, -9.7, -4.5, -0.3, 3.2])


def kelvin(temperature_f: Array | float) -> Array:
    """Absolute temperature of a Fahrenheit one."""
    return (np.asarray(temperature_f, float) + 459.67) / 1.8


@dataclass(frozen=True)
class StrutBody:
    """Figures of the struts themselves; arrays, one entry per strut (or scalars for a sheet)."""

    area_in2: Array
    gas_column_in: Array
    fluid_in3: Array
    fluid_expansion_per_k: Array
    full_extension_in: Array

    def molar_volume_in3(self, pressure_psia: Array, temperature_k: Array) -> Array:
        """Volume of one mol, pressure-explicit virial equation cut after B."""
        virial = np.interp(temperature_k, _KELVIN, _VIRIAL_B) / CM3_PER_IN3
        return GAS_CONSTANT_PSI_IN3 * temperature_k / pressure_psia + virial

    def extension_in(self, charge_mol: Array, load_lbf: Array, temperature_f: Array) -> Array:
        """Rest position without friction."""
        pressure, absolute = self._state(load_lbf, temperature_f)
        gas = charge_mol * self.molar_volume_in3(pressure, absolute)
        swelling = self.fluid_in3 * self.fluid_expansion_per_k * (absolute - kelvin(70.0))
        return np.clip((gas + swelling) / self.area_in2 - self.gas_column_in, 0.0, self.full_extension_in)

    def charge_mol(self, extension_in: Array, load_lbf: Array, temperature_f: Array) -> Array:
        """Gas that holds the strut at this extension."""
        pressure, absolute = self._state(load_lbf, temperature_f)
        swelling = self.fluid_in3 * self.fluid_expansion_per_k * (absolute - kelvin(70.0))
        volume = self.area_in2 * (extension_in + self.gas_column_in) - swelling
        return volume / self.molar_volume_in3(pressure, absolute)

    def _state(self, load_lbf: Array, temperature_f: Array) -> tuple[Array, Array]:
        return SEA_LEVEL_PSIA + np.asarray(load_lbf) / self.area_in2, kelvin(temperature_f)

    def corrected_in(
        self, extension_in: Array, load_lbf: Array, temperature_f: Array, reference_load_lbf: Array | float
    ) -> Array:
        """Extension that the same charge would show at 70 degF and the reference load."""
        charge = self.charge_mol(extension_in, load_lbf, temperature_f)
        return self.extension_in(charge, np.asarray(reference_load_lbf, float), np.asarray(70.0))

    def slopes(self, extension_in: Array, load_lbf: Array | float) -> tuple[Array, Array]:
        """Sensitivities at 70 degF: [in/degF] and [in/lbf]."""
        load = np.asarray(load_lbf, float)
        charge = self.charge_mol(extension_in, load, np.asarray(70.0))
        warm, cold = (self.extension_in(charge, load, np.asarray(70.0 + d)) for d in (1.0, -1.0))
        heavy, light = (self.extension_in(charge, load + d, np.asarray(70.0)) for d in (1.0, -1.0))
        return (warm - cold) / 2.0, (heavy - light) / 2.0
