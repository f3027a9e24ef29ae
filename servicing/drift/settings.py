"""An operator's choices and what was learned of its fleet, as the drift computation takes them."""

import uuid
from dataclasses import asdict
from datetime import datetime, timedelta
from typing import Final

from calculations.drift import FleetHabits, Settings
from fleet.operators.models import Operator
from servicing.drift.models import FleetNoise

LEARN_AGAIN_AFTER: Final = timedelta(days=7)


def settings_of(operator_id: uuid.UUID) -> Settings:
    """Return the operator's settings."""
    operator = Operator.objects.get(pk=operator_id)
    noise = FleetNoise.objects.of(operator_id).first()
    return Settings(
        false_alarms_per_year=operator.false_alarms_per_strut_year,
        notice_days=operator.notice_days,
        habits=FleetHabits(**noise.habits) if noise else FleetHabits(),
    )


def keep_habits(operator_id: uuid.UUID, habits: FleetHabits, *, now: datetime) -> None:
    """Store what was learned of an operator's fleet."""
    FleetNoise.objects.of(operator_id).update_or_create(
        operator_id=operator_id, defaults={"habits": asdict(habits), "learned_at": now}
    )
