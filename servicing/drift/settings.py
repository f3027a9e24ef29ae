"""An operator's choices and what was learned of its fleet, as the drift computation takes them."""

import uuid
from datetime import timedelta
from typing import Final

from calculations.drift import TYRE_HABITS, FleetHabits, Part, Settings
from fleet.operators.models import Operator
from servicing.drift.models import FleetNoise

LEARN_AGAIN_AFTER: Final = timedelta(days=7)
# Where thresholds are known and promises can be kept.
FALSE_ALARMS_PER_YEAR: Final = (0.005, 0.5)
NOTICE_DAYS: Final = (0.0, 365.0)


UNLEARNED: Final = {Part.STRUT: FleetHabits(), Part.TYRE: TYRE_HABITS}


def settings_of(operator_id: uuid.UUID, part: Part = Part.STRUT) -> Settings:
    """Return the operator's settings for its parts of a kind."""
    return settings_by_part(operator_id)[part]


def settings_by_part(operator_id: uuid.UUID) -> dict[Part, Settings]:
    """Return the operator's settings for each kind of part."""
    return settings_with(operator_id, FleetNoise.objects.of(operator_id).first())


def settings_with(operator_id: uuid.UUID, noise: FleetNoise | None) -> dict[Part, Settings]:
    """Return the operator's settings for each kind of part, given what was learned of its noise, if anything."""
    operator = Operator.objects.get(pk=operator_id)
    return {
        part: Settings(
            false_alarms_per_year=operator.false_alarms_per_strut_year,
            notice_days=operator.notice_days,
            habits=FleetHabits(**noise.habits[part]) if noise else UNLEARNED[part],
            part=part,
        )
        for part in Part
    }
