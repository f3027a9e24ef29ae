"""The figures of a strut and how well each is known."""

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from calculations.checks import Checks
from calculations.gas import Gas, check_temperature

Array = npt.NDArray[np.float64]

FLUID_EXPANSION_PER_K: Final = 8.6e-4  # petroleum strut fluid; from memory, source not seen
FLUID_EXPANSION_UNCERTAINTY_PER_K: Final = 0.6e-4  # from memory, source not seen
FIGURES_TEMPERATURE_F: Final = 70.0  # where gas column and fluid volume are quoted, by convention here


@dataclass(frozen=True, slots=True)
class StrutFigures:
    """One strut, or one per element where the fields are arrays.

    Attributes
    ----------
    tube_diameter_in : array_like
        Diameter of the tube at the seal [in].
    gas_column_in : array_like
        Height of gas left when fully compressed [in of tube], at `figures_temperature_f`.
    fluid_volume_in3 : array_like
        Fluid in the strut [in3], at `figures_temperature_f`.
    full_extension_in : array_like
        Extension against the upper stop [in].
    reference_load_lbf, reference_temperature_f : array_like
        Load along the strut [lbf] and temperature [degF] that the type sheet's extension holds for.
    fluid_expansion_per_k : array_like
        Volumetric expansion of the fluid less that of its housing [1/K].
    figures_temperature_f : array_like
        Temperature [degF] for which gas column and fluid volume are quoted.
    gas : Gas
        Fill gas, one for all elements.
    """

    tube_diameter_in: npt.ArrayLike
    gas_column_in: npt.ArrayLike
    fluid_volume_in3: npt.ArrayLike
    full_extension_in: npt.ArrayLike
    reference_load_lbf: npt.ArrayLike
    reference_temperature_f: npt.ArrayLike = FIGURES_TEMPERATURE_F
    fluid_expansion_per_k: npt.ArrayLike = FLUID_EXPANSION_PER_K
    figures_temperature_f: npt.ArrayLike = FIGURES_TEMPERATURE_F
    gas: Gas = Gas.NITROGEN

    @property
    def area_in2(self) -> Array:
        """Area of the tube [in2]."""
        return np.pi / 4 * np.square(np.asarray(self.tube_diameter_in, dtype=np.float64))

    @property
    def fluid_growth_in_per_k(self) -> Array:
        """Extension that a kelvin adds by expanding the fluid [in/K]."""
        volume = np.asarray(self.fluid_volume_in3, dtype=np.float64)
        return np.asarray(volume * np.asarray(self.fluid_expansion_per_k) / self.area_in2)


@dataclass(frozen=True, slots=True)
class StrutUncertainty:
    """Standard uncertainty (1 sigma) of each figure of a strut.

    The defaults are for figures taken from a type sheet: the tube is made to a closer limit than
    anything here needs; the expansion of the fluid is never on a sheet. All ASSUMED.
    """

    tube_diameter_in: npt.ArrayLike = 0.0
    gas_column_in: npt.ArrayLike = 0.0
    fluid_volume_in3: npt.ArrayLike = 0.0
    fluid_expansion_per_k: npt.ArrayLike = FLUID_EXPANSION_UNCERTAINTY_PER_K
    full_extension_in: npt.ArrayLike = 0.0


@dataclass(frozen=True, slots=True)
class ReadingUncertainty:
    """Standard uncertainty (1 sigma) of what was read beside a strut. Defaults ASSUMED.

    Attributes
    ----------
    extension_in : array_like
        Ruler and eye [in]: 0.05 for the eye with a ruler of 1/8 in.
    temperature_f : array_like
        Temperature of the gas, not of the air [degF].
    load_lbf : array_like
        Load along the strut: fuel, people, baggage [lbf].
    atmosphere_psi : array_like
        Air pressure [psi]: weather at a known elevation.
    friction_exercised, friction_resting : array_like
        Load that seal friction may hold, as a share of the load [-], after the strut was exercised
        and when it was not.
    """

    extension_in: npt.ArrayLike = 0.0616
    temperature_f: npt.ArrayLike = 4.0
    load_lbf: npt.ArrayLike = 8.0
    atmosphere_psi: npt.ArrayLike = 0.15
    friction_exercised: npt.ArrayLike = 0.010
    friction_resting: npt.ArrayLike = 0.035


def check_figures(checks: Checks, figures: StrutFigures) -> None:
    """Note a fault for each figure that no strut can have."""
    checks.positive("tube_diameter_in", figures.tube_diameter_in)
    checks.not_negative("gas_column_in", figures.gas_column_in)
    checks.not_negative("fluid_volume_in3", figures.fluid_volume_in3)
    checks.positive("full_extension_in", figures.full_extension_in)
    checks.positive("reference_load_lbf", figures.reference_load_lbf)
    checks.not_negative("fluid_expansion_per_k", figures.fluid_expansion_per_k)
    check_temperature(checks, "reference_temperature_f", figures.reference_temperature_f)
    check_temperature(checks, "figures_temperature_f", figures.figures_temperature_f)


def check_uncertainties(checks: Checks, strut: StrutUncertainty, reading: ReadingUncertainty) -> None:
    """Note a fault for each uncertainty that is negative or no number."""
    checks.not_negative("uncertainty.tube_diameter_in", strut.tube_diameter_in)
    checks.not_negative("uncertainty.gas_column_in", strut.gas_column_in)
    checks.not_negative("uncertainty.fluid_volume_in3", strut.fluid_volume_in3)
    checks.not_negative("uncertainty.fluid_expansion_per_k", strut.fluid_expansion_per_k)
    checks.not_negative("uncertainty.full_extension_in", strut.full_extension_in)
    checks.not_negative("uncertainty.extension_in", reading.extension_in)
    checks.not_negative("uncertainty.temperature_f", reading.temperature_f)
    checks.not_negative("uncertainty.load_lbf", reading.load_lbf)
    checks.not_negative("uncertainty.atmosphere_psi", reading.atmosphere_psi)
    checks.not_negative("uncertainty.friction_exercised", reading.friction_exercised)
    checks.not_negative("uncertainty.friction_resting", reading.friction_resting)
