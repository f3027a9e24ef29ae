"""Drift: many histories at once, the real losses found early and the weather left alone."""

from calculations.drift.assess import Assessments, assess
from calculations.drift.findings import (
    DISPOSITIONS,
    FINDINGS,
    LOSSES,
    SET_ASIDE,
    CheckFirst,
    Disposition,
    Finding,
    Level,
    told_level,
)
from calculations.drift.fluid_evidence import fluid_probability
from calculations.drift.histories import Events, Histories, Readings, Seen, Struts, Work, arrange
from calculations.drift.mirror import learn_habits
from calculations.drift.model import LEVEL_MOVING
from calculations.drift.replay import Episodes, Replay, replay
from calculations.drift.settings import FleetHabits, Part, Settings
from calculations.drift.tyre_loss import TyreAssessments, TyreReadings, Tyres, arrange_tyres, assess_tyres
from calculations.drift.tyre_model import TYRE_HABITS, TYRE_SETTINGS
from calculations.drift.tyre_noise import learn_tyre_habits

__all__ = [
    "DISPOSITIONS",
    "FINDINGS",
    "LEVEL_MOVING",
    "LOSSES",
    "SET_ASIDE",
    "TYRE_HABITS",
    "TYRE_SETTINGS",
    "Assessments",
    "CheckFirst",
    "Disposition",
    "Episodes",
    "Events",
    "Finding",
    "FleetHabits",
    "Histories",
    "Level",
    "Part",
    "Readings",
    "Replay",
    "Seen",
    "Settings",
    "Struts",
    "TyreAssessments",
    "TyreReadings",
    "Tyres",
    "Work",
    "arrange",
    "arrange_tyres",
    "assess",
    "assess_tyres",
    "fluid_probability",
    "learn_habits",
    "learn_tyre_habits",
    "replay",
    "told_level",
]
