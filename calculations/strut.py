"""A strut at rest and against its stops: everything the trade asks of it, in one place to import.

The load alone sets the pressure of a resting strut, so every relation is explicit, and a gauge
reading at rest says nothing about the charge. Only against a stop (jacked, or bottomed) does pressure
depend on the charge.
"""

from calculations.strut_correction import (
    Correction,
    UncertaintyParts,
    correct_extension,
    uncertainty_parts,
)
from calculations.strut_curve import (
    CompressionRatios,
    LoadStrokeCurve,
    Reserve,
    compression_ratios,
    load_stroke_curve,
    polytropic_pressure,
    reserve,
)
from calculations.strut_estimate import (
    EstimatedFigures,
    StrutSheet,
    diameter_from_pressure,
    estimate_missing,
)
from calculations.strut_figures import ReadingUncertainty, StrutFigures, StrutUncertainty
from calculations.strut_fluid import DissolvedGas, dissolved_gas
from calculations.strut_history import HistoryEstimate, estimate_from_readings
from calculations.strut_regression import StrutReadings
from calculations.strut_screen import correctable
from calculations.strut_service import FrictionBand, ServicingTable, friction_band, servicing_table
from calculations.strut_slopes import fluid_volume_from_temperature_slope, gas_column_from_load_slope
from calculations.strut_state import (
    RestExtension,
    Sensitivities,
    charge_mol,
    extension_in,
    pressure_at_psia,
    rest_pressure_psia,
    sensitivities,
)
from calculations.strut_two_state import (
    TwoStateReading,
    TwoStateResult,
    TwoStateUncertainty,
    two_state_method,
)

__all__ = [
    "CompressionRatios",
    "Correction",
    "DissolvedGas",
    "EstimatedFigures",
    "FrictionBand",
    "HistoryEstimate",
    "LoadStrokeCurve",
    "ReadingUncertainty",
    "Reserve",
    "RestExtension",
    "Sensitivities",
    "ServicingTable",
    "StrutFigures",
    "StrutReadings",
    "StrutSheet",
    "StrutUncertainty",
    "TwoStateReading",
    "TwoStateResult",
    "TwoStateUncertainty",
    "UncertaintyParts",
    "charge_mol",
    "compression_ratios",
    "correct_extension",
    "correctable",
    "diameter_from_pressure",
    "dissolved_gas",
    "estimate_from_readings",
    "estimate_missing",
    "extension_in",
    "fluid_volume_from_temperature_slope",
    "friction_band",
    "gas_column_from_load_slope",
    "load_stroke_curve",
    "polytropic_pressure",
    "pressure_at_psia",
    "reserve",
    "rest_pressure_psia",
    "sensitivities",
    "servicing_table",
    "two_state_method",
    "uncertainty_parts",
]
