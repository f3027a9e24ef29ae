"""Top-up of a strut dose by dose: rise per stroke learned, next dose planned, hidden rise watched."""

from calculations.dosing.calibration import (
    Calibration,
    DoseLog,
    Surprise,
    falls_short,
    learn,
    prior_calibration,
    surprise,
)
from calculations.dosing.plan import (
    CHANCE_PER_DOSE,
    CHANCE_PER_SESSION,
    Advice,
    DosePlan,
    Goal,
    SinceExercise,
    doses_to_expect,
    next_dose,
    next_release,
)

__all__ = [
    "CHANCE_PER_DOSE",
    "CHANCE_PER_SESSION",
    "Advice",
    "Calibration",
    "DoseLog",
    "DosePlan",
    "Goal",
    "SinceExercise",
    "Surprise",
    "doses_to_expect",
    "falls_short",
    "learn",
    "next_dose",
    "next_release",
    "prior_calibration",
    "surprise",
]
