"""Learning an operator's noise from its own histories, and judging everything anew where that changes much."""

from __future__ import annotations

import uuid
from dataclasses import asdict
from datetime import datetime
from typing import Final

from django.db import transaction
from django.db.models import F

from calculations.drift import FleetHabits, learn_habits
from servicing.drift.gather import gather_struts
from servicing.drift.models import FleetNoise
from servicing.drift.settings import LEARN_AGAIN_AFTER, settings_of
from servicing.news.models import PartNews

STRUTS_LEARNED_FROM: Final = 2000  # more would only cost time: what is learned are a few figures of the whole fleet
# A change below these moves no finding but the few that hang on a thread; each in the figure's own unit.
_MATERIAL: Final = {
    "noise_factor_exercised": 0.1,
    "noise_factor_resting": 0.1,
    "noise_prior_count": 5.0,
    "seep_mean_per_month": 0.001,
    "seep_sd_per_month": 0.001,
    "temperature_trust": 0.1,
    "load_trust": 0.1,
    "season_mean_f": 5.0,
    "season_cos_f": 5.0,
    "season_sin_f": 5.0,
    "usual_load_lbf": 20.0,
    "threshold_shift": 0.1,
}


def renew_settings(operator_id: uuid.UUID, *, now: datetime) -> bool:
    """Learn the operator's noise when it is time, and queue every part where settings moved; say whether they did.

    Settings moved when the operator chose others, or when what was learned differs much from what the parts were
    judged by. What differs little is not kept, so that the same figures hold for every part.
    """
    kept = FleetNoise.objects.of(operator_id).first()
    settings = settings_of(operator_id)
    habits, learned_at = settings.habits, kept.learned_at if kept else None
    if learned_at is None or now - learned_at >= LEARN_AGAIN_AFTER:
        learned = _learn(operator_id)
        learned_at = now
        if differs_much(learned, habits):
            habits = learned
    chosen = {"false_alarms_per_year": settings.false_alarms_per_year, "notice_days": settings.notice_days}
    values = {"habits": asdict(habits), "learned_at": learned_at, **chosen}
    # Nobody knows by what choices the parts were judged before the first night.
    moved = kept is None or habits != settings.habits or _chosen_before(kept) != chosen
    if kept is None or moved or kept.learned_at != learned_at:
        _keep(operator_id, values, queue_all=moved)
    return moved


def differs_much(one: FleetHabits, other: FleetHabits) -> bool:
    """Say whether two fleets' habits differ enough to judge struts differently."""
    return any(abs(getattr(one, name) - getattr(other, name)) > much for name, much in _MATERIAL.items())


def _learn(operator_id: uuid.UUID) -> FleetHabits:
    # By id, which says nothing about a strut: the same sample whatever arrived when.
    rows = PartNews.objects.of(operator_id).filter(strut__isnull=False).order_by("strut_id")
    strut_ids = list(rows.values_list("strut_id", flat=True)[:STRUTS_LEARNED_FROM])
    return learn_habits(gather_struts(operator_id, strut_ids).histories) if strut_ids else FleetHabits()


def _chosen_before(kept: FleetNoise) -> dict[str, float]:
    return {"false_alarms_per_year": kept.false_alarms_per_year, "notice_days": kept.notice_days}


@transaction.atomic
def _keep(operator_id: uuid.UUID, values: dict[str, object], *, queue_all: bool) -> None:
    FleetNoise.objects.of(operator_id).update_or_create(operator_id=operator_id, defaults=values)
    if queue_all:  # in the same transaction: a worker killed here leaves both or neither
        PartNews.objects.of(operator_id).update(arrived=F("arrived") + 1)
