"""Learn an operator's tyre noise from its own histories, as for struts (:mod:`calculations.drift.fleet_noise`).

Notes
-----
Gauges, thermometers, tyres read too soon after rolling, and how fast the operator's tyres let air through: with
these learned, false alarms come back near the rate of the table whatever the noise was
(``python -m tests.detectors.tyre_robustness``). What is left for the threshold is how often tyres are read, for each
reading is one more chance. Struts turn their histories upside down to learn their threshold
(:mod:`calculations.drift.mirror`). Tyres cannot: they are inflated as soon as they look low, so upwards a history is
of another kind than downwards.
"""

from dataclasses import replace
from typing import Final

import numpy as np

from calculations.drift.fleet_noise import Teachable, learn_noise
from calculations.drift.histories import Histories
from calculations.drift.mirror import years_watched
from calculations.drift.model import DAYS_PER_MONTH
from calculations.drift.settings import FleetHabits
from calculations.drift.tyre_loss import TyreReadings, Tyres, joined_histories
from calculations.drift.tyre_model import TYRE_HABITS, TYRE_MODEL

TYRES_TEACH: Final = Teachable(
    before=TYRE_HABITS,
    # A gauge a psi and a thermometer eight degrees out, and tyres read hot, make nine times the model's variance.
    factor_range=(0.5, 12.0),
    seep_mean_range=(-0.15 * DAYS_PER_MONTH, 0.0),
    seep_sd_range=(0.01 * DAYS_PER_MONTH, 0.1 * DAYS_PER_MONTH),
    wide_seep_sd=0.3 * DAYS_PER_MONTH,
)

READINGS_PER_YEAR: Final = 72.0
"""As often as that the tyres were read that the table was measured on."""
SHIFT_PER_FOLD: Final = 0.35
"""Evidence that keeps the rate when tyres are read e times as often; measured like the table."""
LARGEST_SHIFT: Final = 0.5
LEAST_YEARS: Final = 5.0
"""Tyre-years that tell how often an operator reads; a club's first days do not."""
AS_GOOD_AS_TYRES: Final = 40.0
"""What is believed of permeation beforehand counts like so many tyres; forty tell its spread to an eighth at best."""


def learn_tyre_habits(histories: Histories, tyres: Tyres, after_work: TyreReadings | None = None) -> FleetHabits:
    """Return the habits of an operator's tyres, to be passed back in :class:`~calculations.drift.settings.Settings`.

    The arguments are those of :func:`~calculations.drift.tyre_loss.assess_tyres`.
    """
    habits = learn_noise(joined_histories(histories, tyres, after_work), TYRE_MODEL, TYRES_TEACH)
    return replace(_with_permeation_of_few(habits, histories.count), threshold_shift=_shift_for_frequency(histories))


def _with_permeation_of_few(habits: FleetHabits, count: int) -> FleetHabits:
    """Weigh the permeation of so many tyres with what was believed beforehand, luck being what it is."""
    share = count / (count + AS_GOOD_AS_TYRES)
    believed = TYRE_HABITS
    mean = believed.seep_mean_per_month + share * (habits.seep_mean_per_month - believed.seep_mean_per_month)
    variance = share * habits.seep_sd_per_month**2 + (1.0 - share) * believed.seep_sd_per_month**2
    return replace(habits, seep_mean_per_month=mean, seep_sd_per_month=float(np.sqrt(variance)))


def _shift_for_frequency(histories: Histories) -> float:
    years = years_watched(histories)
    if years < LEAST_YEARS:
        return 0.0
    shift = SHIFT_PER_FOLD * np.log(len(histories.readings.day) / years / READINGS_PER_YEAR)
    return float(np.clip(shift, -LARGEST_SHIFT, LARGEST_SHIFT))
