"""Learn an operator's tyre noise from its own histories, as for struts (:mod:`calculations.drift.fleet_noise`).

Notes
-----
Gauges, thermometers, tyres read too soon after rolling, and how fast the operator's tyres let air through: with
these learned, false alarms come back to the rate of the table whatever the noise was
(``python -m tests.detectors.tyres --learning``), and nothing is left for the threshold. Struts turn their histories
upside down to learn that (:mod:`calculations.drift.mirror`). Tyres cannot: they are inflated as soon as they look
low, so upwards a history is of another kind than downwards.
"""

from typing import Final

from calculations.drift.fleet_noise import Teachable, learn_noise
from calculations.drift.histories import Histories
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


def learn_tyre_habits(histories: Histories, tyres: Tyres, after_work: TyreReadings | None = None) -> FleetHabits:
    """Return the habits of an operator's tyres, to be passed back in :class:`~calculations.drift.settings.Settings`.

    The arguments are those of :func:`~calculations.drift.tyre_loss.assess_tyres`.
    """
    return learn_noise(joined_histories(histories, tyres, after_work), TYRE_MODEL, TYRES_TEACH)
