"""Derived columns made anew after a sheet, an elevation or an installation changed; safe to run twice."""

from __future__ import annotations

import uuid
from collections.abc import Collection
from typing import Final

from django.db import transaction
from django.db.models import F, Q

from fleet.aircraft.outdated import outdated_legs, take_outdated_leg
from fleet.gear.models import StrutInstallation, TyreInstallation
from fleet.tenancy import OwnedQuerySet
from servicing.news.models import PartNews
from servicing.nudge import nudge
from servicing.readings.entries import TyreEntry
from servicing.readings.known_fleet import load_known_fleet
from servicing.readings.models import StrutReading, TyreReading
from servicing.readings.storing import recorrect, tell_news
from servicing.readings.tyre_correction import correct_tyres

_AT_ONCE: Final = 2000


def recorrect_stale(*, operator_id: uuid.UUID, sheet_id: uuid.UUID) -> int:
    """Correct anew every reading that was corrected with an older version of the sheet; return how many."""
    return _recorrect_struts(
        operator_id, _stale_struts(StrutReading.objects.of(operator_id)).filter(leg__sheet_id=sheet_id)
    ) + _recorrect_tyres(
        operator_id, _stale_tyres(TyreReading.objects.of(operator_id)).filter(leg__sheet_id=sheet_id)
    )


def recorrect_legs(*, operator_id: uuid.UUID, leg_ids: Collection[uuid.UUID]) -> int:
    """Correct anew every reading of some legs: after another sheet was put on them or the aircraft moved home."""
    return _recorrect_struts(
        operator_id, StrutReading.objects.of(operator_id).filter(leg_id__in=leg_ids)
    ) + _recorrect_tyres(operator_id, TyreReading.objects.of(operator_id).filter(leg_id__in=leg_ids))


def recorrect_all_stale() -> int:
    """Look through all readings of the installation for a sheet's older version; a nightly safety net."""
    sheets = {
        *_stale_struts(StrutReading.objects.across_operators())
        .values_list("operator_id", "leg__sheet_id")
        .distinct(),
        *_stale_tyres(TyreReading.objects.across_operators()).values_list("operator_id", "leg__sheet_id").distinct(),
    }
    return sum(
        recorrect_stale(operator_id=operator_id, sheet_id=sheet_id) for operator_id, sheet_id in sorted(sheets)
    )


def renew_outdated() -> int:
    """Join and correct anew the readings of every leg whose sheet, gear or home changed; for the schedule."""
    renewed = 0
    legs = outdated_legs()
    for leg in legs:
        with transaction.atomic():
            if take_outdated_leg(leg):
                renewed += rejoin_parts(operator_id=leg.operator_id, leg_ids=[leg.leg_id])
                renewed += recorrect_legs(operator_id=leg.operator_id, leg_ids=[leg.leg_id])
                _judge_anew(leg.operator_id, leg.leg_id)
    _tell_looks([leg.leg_id for leg in legs])
    return renewed


def _judge_anew(operator_id: uuid.UUID, leg_id: uuid.UUID) -> None:
    """Count as news that a part came to a leg or left it: other limits hold then, read or not."""
    struts = StrutInstallation.objects.of(operator_id).filter(leg=leg_id).values("strut")
    tyres = TyreInstallation.objects.of(operator_id).filter(leg=leg_id).values("tyre")
    known = PartNews.objects.of(operator_id).filter(Q(strut__in=struts) | Q(tyre__in=tyres))
    known.update(arrived=F("arrived") + 1)


def _tell_looks(leg_ids: Collection[uuid.UUID]) -> None:
    """Let looks follow the parts that came to these legs or left them; those that rested on a shelf come back."""
    if leg_ids:
        struts = StrutInstallation.objects.across_operators().filter(leg_id__in=leg_ids)
        tyres = TyreInstallation.objects.across_operators().filter(leg_id__in=leg_ids)
        nudge(
            "assess_parts",
            set(struts.values_list("strut_id", flat=True)),
            set(tyres.values_list("tyre_id", flat=True)),
        )


@transaction.atomic
def rejoin_parts(*, operator_id: uuid.UUID, leg_ids: Collection[uuid.UUID]) -> int:
    """Give each reading of some legs the part that was on the leg then, after an installation was changed."""
    fleet = load_known_fleet(operator_id, leg_ids=leg_ids, with_equipment=False)
    moved = 0
    for reading in StrutReading.objects.of(operator_id).filter(leg_id__in=leg_ids):
        strut_id = fleet.legs[reading.leg_id].strut_at(reading.taken_at)
        if strut_id and strut_id != reading.strut_id:
            StrutReading.objects.of(operator_id).filter(pk=reading.pk).update(strut_id=strut_id)
            tell_news(operator_id, strut_ids=[strut_id, reading.strut_id])
            moved += 1
    for tyre_reading in TyreReading.objects.of(operator_id).filter(leg_id__in=leg_ids):
        tyre_id = fleet.legs[tyre_reading.leg_id].tyre_at(tyre_reading.taken_at)
        if tyre_id and tyre_id != tyre_reading.tyre_id:
            TyreReading.objects.of(operator_id).filter(pk=tyre_reading.pk).update(tyre_id=tyre_id)
            tell_news(operator_id, tyre_ids=[tyre_id, tyre_reading.tyre_id])
            moved += 1
    return moved


def _stale_struts(rows: OwnedQuerySet[StrutReading]) -> OwnedQuerySet[StrutReading]:
    return rows.exclude(corrected_sheet_version=F("leg__sheet__version"))


def _stale_tyres(rows: OwnedQuerySet[TyreReading]) -> OwnedQuerySet[TyreReading]:
    return rows.exclude(corrected_sheet_version=F("leg__sheet__version"))


def _recorrect_struts(operator_id: uuid.UUID, rows: OwnedQuerySet[StrutReading]) -> int:
    ids = list(rows.order_by("strut_id", "taken_at", "id").values_list("id", flat=True))
    changed = 0
    for start in range(0, len(ids), _AT_ONCE):
        # A transaction for each portion: readings go on coming in while a large fleet is corrected.
        with transaction.atomic():
            some = list(StrutReading.objects.of(operator_id).filter(id__in=ids[start : start + _AT_ONCE]))
            fleet = load_known_fleet(operator_id, leg_ids={row.leg_id for row in some}, with_equipment=False)
            changed += recorrect(operator_id, some, fleet)
    return changed


def _recorrect_tyres(operator_id: uuid.UUID, rows: OwnedQuerySet[TyreReading]) -> int:
    with transaction.atomic():
        readings = list(rows)
        if not readings:
            return 0
        fleet = load_known_fleet(operator_id, leg_ids={row.leg_id for row in readings}, with_equipment=False)
        corrected = correct_tyres([_as_entry(row) for row in readings], fleet)
        for number, row in enumerate(readings):
            TyreReading.objects.of(operator_id).filter(pk=row.pk).update(
                corrected_psig=corrected.corrected_psig[number],
                uncertainty_psi=corrected.uncertainty_psi[number],
                corrected_sheet_version=corrected.corrected_sheet_version[number],
            )
        tell_news(operator_id, tyre_ids={row.tyre_id for row in readings})
    return len(readings)


def _as_entry(row: TyreReading) -> TyreEntry:
    return TyreEntry(
        id=row.id,
        leg_id=row.leg_id,
        taken_at=row.taken_at,
        pressure_psig=row.pressure_psig,
        temperature_f=row.temperature_f,
        hot=row.hot,
        loaded=row.loaded,
    )
