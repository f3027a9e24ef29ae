"""Reference Strut A: an invented strut of a light single, whose figures the check values are for."""

import numpy as np

from calculations.gas import Gas
from calculations.strut import StrutFigures

AREA_IN2 = np.pi
CUBIC_CM_IN3 = 1 / 2.54**3


def strut_a(gas: Gas = Gas.NITROGEN, *, fluid: bool = True) -> StrutFigures:
    """Bore 2 in, stroke 8 in, 1.5 in3 of gas when bottomed, 30 in3 of fluid; 800 lbf and 15 degC."""
    return StrutFigures(
        tube_diameter_in=2.0,
        gas_column_in=1.5 / AREA_IN2,
        fluid_volume_in3=30.0 if fluid else 0.0,
        full_extension_in=8.0,
        reference_load_lbf=800.0,
        reference_temperature_f=59.0,
        fluid_expansion_per_k=8.6e-4,  # from memory, source not seen
        figures_temperature_f=59.0,
        gas=gas,
    )


def fahrenheit(temperature_c: float) -> float:
    return temperature_c * 1.8 + 32
