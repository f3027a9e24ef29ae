"""The figures of the drift model for tyres: lengths are percent of the charge at service pressure."""

import math
from typing import Final

import numpy as np

from calculations.drift.histories import Work
from calculations.drift.model import DAYS_PER_MONTH, Baseline, DriftModel, Rules, Steps
from calculations.drift.settings import FleetHabits, Part, Settings

PERMEATION_PERCENT_PER_DAY: Final = 0.05
PERMEATION_SD_PERCENT_PER_DAY: Final = 0.03
FAST_PERCENT_PER_DAY: Final = 0.3
"""Above this a rate's upper end is not to be relied on: say "fast"."""
COLD_SD_PERCENT: Final = 0.3
"""What is left beside gauge and thermometer; a tyre just used is warmer than the air by nobody knows how much."""
FILLING_WARMS_F, FILLING_WARMS_SD_F = 5.0, 5.0
"""How much warmer than the air the gas is when the pressure after an inflation is read; ASSUMED.

A tenth more gas let in at air temperature warms a tyre without walls by (1.4 - 1) 530 / 10 = 21 degF; they take up
most of it within a minute or two."""

AS_SET_SD_PERCENT: Final[dict[Work, float]] = {
    Work.INFLATED: 2.5,
    Work.GAS_RELEASED: 2.5,
    Work.VALVE_CORE: 2.5,
    # A casing just mounted stretches for a day, and takes up to a twentieth of its pressure with it (AC 20-97B).
    Work.INSTALLED: 5.0,
}
"""How near to service pressure work leaves a tyre; ASSUMED, for people inflate in cold air and in warm."""

# What the tyre held before says next to nothing about what it holds afterwards.
_RESET: Final = Baseline(reopen_sd=12.0, settle_sd=0.0)
_REPAIRED: Final = Baseline(reopen_sd=12.0, settle_sd=0.0, restarts=True)

TYRE_MODEL: Final = DriftModel(
    first_level_sd=3.0,
    seep_mean_per_month=-PERMEATION_PERCENT_PER_DAY * DAYS_PER_MONTH,
    seep_sd_per_month=PERMEATION_SD_PERCENT_PER_DAY * DAYS_PER_MONTH,
    level_walk_per_month=0.1,
    baselines={
        Work.INFLATED: _RESET,
        Work.GAS_RELEASED: _RESET,
        Work.INSTALLED: _REPAIRED,
        Work.VALVE_CORE: _REPAIRED,
    },
    reader_sd=0.0,
    huber=1.2,
    leak_bound=4.0,
    look_huber=1.2,
    # Wide, because a puncture takes ten percent between two looks as a misread gauge does; what keeps blunders out is
    # that a reading in doubt adds nothing to the evidence.
    outlier=8.0,
    outlier_above=5.0,
    # What an inflation leaves is known to 2.5 percent: that alone must not make ten psi too little believable.
    level_excuses=0.5,
    # A tyre that was hot when read, after a gauge misread by far, is no inflation that nobody wrote down.
    agreeing_share=0.7,
    doubtful=math.inf,  # the work itself tells how high a tyre stands after it
    friction_exercised_sd=COLD_SD_PERCENT,
    friction_resting_sd=math.inf,  # a hot tyre is set aside
    unrecorded_top_up_sd=5.0,
    slot_days=7.0,
    slots=16,
    # A tyre that goes flat in a week is not read often enough to wait for small steps, or for a third reading.
    steps=Steps(largest=5.0, low=0.0, suspects_wait=False),
    rules=Rules(
        settling_days=0.0,
        sticky_factor=np.inf,
        looks_low=3.0,
        service_now_loss=FAST_PERCENT_PER_DAY * DAYS_PER_MONTH,
        service_now_gap=1.0,
    ),
    rates_per_month=tuple(DAYS_PER_MONTH * rate for rate in (0.05, 0.09, 0.17, 0.31, 0.58, 1.1, 2.0, 3.7)),
    rate_weights=(1.0,) * 8,
)

TYRE_HABITS: Final = FleetHabits(
    seep_mean_per_month=TYRE_MODEL.seep_mean_per_month, seep_sd_per_month=TYRE_MODEL.seep_sd_per_month
)
TYRE_SETTINGS: Final = Settings(habits=TYRE_HABITS, part=Part.TYRE)
