"""A strut at rest: charge from extension and back, pressures, sensitivities, corrections.

The load alone sets the pressure of a resting strut, so every relation here is explicit, and a gauge
reading at rest says nothing about the charge. Only against a stop (jacked, or bottomed) does pressure
depend on the charge.
"""

from calculations.strut_correction import (
    Correction,
    UncertaintyParts,
    correct_extension,
    uncertainty_parts,
)
from calculations.strut_figures import ReadingUncertainty, StrutFigures, StrutUncertainty
from calculations.strut_state import (
    RestExtension,
    Sensitivities,
    charge_mol,
    extension_in,
    pressure_at_psia,
    rest_pressure_psia,
    sensitivities,
)

__all__ = [
    "Correction",
    "ReadingUncertainty",
    "RestExtension",
    "Sensitivities",
    "StrutFigures",
    "StrutUncertainty",
    "UncertaintyParts",
    "charge_mol",
    "correct_extension",
    "extension_in",
    "pressure_at_psia",
    "rest_pressure_psia",
    "sensitivities",
    "uncertainty_parts",
]
