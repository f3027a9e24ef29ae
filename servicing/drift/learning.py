"""Learning an operator's noise from its own histories, and judging everything anew where that changes much."""

from __future__ import annotations

import uuid
from dataclasses import asdict, replace
from datetime import datetime
from typing import Final

from django.db import transaction
from django.db.models import F

from calculations.drift import FleetHabits, Part, Settings, learn_habits, learn_tyre_habits
from servicing.drift.gather import gather_struts
from servicing.drift.gather_tyres import gather_tyres
from servicing.drift.models import FleetNoise
from servicing.drift.settings import LEARN_AGAIN_AFTER, UNLEARNED, settings_with
from servicing.news.models import PartNews

PARTS_LEARNED_FROM: Final = 2000  # more would only cost time: what is learned are a few figures of the whole fleet
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
# Of a tyre: percent a month, a hundredth of a percent a day.
_MATERIAL_OF: Final = {
    Part.STRUT: _MATERIAL,
    Part.TYRE: _MATERIAL | {"seep_mean_per_month": 0.3, "seep_sd_per_month": 0.3},
}


def renew_settings(operator_id: uuid.UUID, *, now: datetime) -> dict[Part, Settings]:
    """Learn the operator's noise when it is time, queue every part where settings moved; return those that now hold.

    Settings moved when the operator chose others, or when what was learned differs much from what the parts were
    judged by. What differs little is not kept, so that the same figures hold for every part.
    """
    kept = FleetNoise.objects.of(operator_id).first()
    settings = settings_with(operator_id, kept)
    judged_by = {part: own.habits for part, own in settings.items()}
    habits, learned_at = judged_by, kept.learned_at if kept else None
    if learned_at is None or now - learned_at >= LEARN_AGAIN_AFTER:
        habits, learned_at = _learn_anew(operator_id, judged_by), now
    own = settings[Part.STRUT]
    chosen = {"false_alarms_per_year": own.false_alarms_per_year, "notice_days": own.notice_days}
    values = {
        "habits": {part.value: asdict(figures) for part, figures in habits.items()},
        "learned_at": learned_at,
        **chosen,
    }
    # Nobody knows by what choices the parts were judged before the first night.
    moved = kept is None or habits != judged_by or _chosen_before(kept) != chosen
    if kept is None or moved or kept.learned_at != learned_at:
        _keep(operator_id, values, queue_all=moved)
    return {part: replace(one, habits=habits[part]) for part, one in settings.items()}


def differs_much(one: FleetHabits, other: FleetHabits, part: Part) -> bool:
    """Say whether two fleets' habits differ enough to judge parts of that kind differently."""
    return any(abs(getattr(one, name) - getattr(other, name)) > much for name, much in _MATERIAL_OF[part].items())


def _learn_anew(operator_id: uuid.UUID, judged_by: dict[Part, FleetHabits]) -> dict[Part, FleetHabits]:
    learned = {Part.STRUT: _learn_struts(operator_id), Part.TYRE: _learn_tyres(operator_id)}
    return {part: learned[part] if differs_much(learned[part], old, part) else old for part, old in judged_by.items()}


# By id, which says nothing about a part: the same sample whatever arrived when.
def _learn_struts(operator_id: uuid.UUID) -> FleetHabits:
    rows = PartNews.objects.of(operator_id).filter(strut__isnull=False).order_by("strut_id")
    strut_ids = list(rows.values_list("strut_id", flat=True)[:PARTS_LEARNED_FROM])
    return learn_habits(gather_struts(operator_id, strut_ids).histories) if strut_ids else UNLEARNED[Part.STRUT]


def _learn_tyres(operator_id: uuid.UUID) -> FleetHabits:
    rows = PartNews.objects.of(operator_id).filter(tyre__isnull=False).order_by("tyre_id")
    tyre_ids = list(rows.values_list("tyre_id", flat=True)[:PARTS_LEARNED_FROM])
    if not tyre_ids:
        return UNLEARNED[Part.TYRE]
    gathered = gather_tyres(operator_id, tyre_ids)
    return learn_tyre_habits(gathered.histories, gathered.tyres, gathered.after_work)


def _chosen_before(kept: FleetNoise) -> dict[str, float]:
    return {"false_alarms_per_year": kept.false_alarms_per_year, "notice_days": kept.notice_days}


@transaction.atomic
def _keep(operator_id: uuid.UUID, values: dict[str, object], *, queue_all: bool) -> None:
    FleetNoise.objects.of(operator_id).update_or_create(operator_id=operator_id, defaults=values)
    if queue_all:  # in the same transaction: a worker killed here leaves both or neither
        PartNews.objects.of(operator_id).update(arrived=F("arrived") + 1)
