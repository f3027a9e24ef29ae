"""Writing readings with everything derived from them, and what their arrival moves."""

from __future__ import annotations

import uuid
from collections.abc import Collection, Mapping, Sequence
from datetime import datetime
from typing import Any, Final

from servicing.news.actions import mark_news
from servicing.nudge import nudge
from servicing.readings.bulk import append_rows, update_rows
from servicing.readings.conditions import Noted
from servicing.readings.correction import CORRECTED_COLUMNS, Corrected, correct, join
from servicing.readings.entries import STRUT_CONTENT, TYRE_CONTENT, StrutEntry, TyreEntry
from servicing.readings.known_fleet import KnownFleet, load_known_fleet
from servicing.readings.models import StrutReading, TyreReading
from servicing.readings.neighbours import neighbours_of, readings_estimated_near
from servicing.readings.tyre_correction import correct_tyres

_PARTS_IN_ONE_NUDGE: Final = 500


def fleet_for(operator_id: uuid.UUID, entries: Sequence[StrutEntry] | Sequence[TyreEntry]) -> KnownFleet:
    """Return as much of the fleet as the entries concern."""
    return load_known_fleet(
        operator_id,
        leg_ids={entry.leg_id for entry in entries},
        with_equipment=any(entry.gauge_id for entry in entries),
    )


def store_struts(
    fleet: KnownFleet, entries: Sequence[StrutEntry], *, now: datetime, source: str, **same_for_all: Any
) -> None:
    """Append checked, new entries with their corrected columns, in the caller's transaction."""
    if not entries:
        return
    operator_id = fleet.operator_id
    joined = join(entries, fleet)
    moments = [entry.taken_at for entry in entries]
    aircraft = {fleet.legs[entry.leg_id].aircraft_id for entry in entries}
    standing = neighbours_of(operator_id, joined, aircraft, min(moments), max(moments))
    corrected = correct(joined, Noted.joined([standing, joined.noted]))
    strut_ids = [fleet.legs[entry.leg_id].strut_at(entry.taken_at) for entry in entries]
    append_rows(
        StrutReading,
        {
            **_columns_of(entries, (*STRUT_CONTENT, "id", "as_read")),
            "gauge_overdue": _gauges_overdue(fleet, entries),
            "strut_id": strut_ids,
            **columns_of(corrected),
        },
        _same(fleet, now, source, same_for_all),
    )
    tell_news(operator_id, strut_ids=[one for one in strut_ids if one])
    renew_estimates(operator_id, aircraft, min(moments), max(moments), except_ids=[entry.id for entry in entries])


def store_tyres(
    fleet: KnownFleet, entries: Sequence[TyreEntry], *, now: datetime, source: str, **same_for_all: Any
) -> None:
    """Append checked, new entries of tyres, in the caller's transaction."""
    if not entries:
        return
    tyre_ids = [fleet.legs[entry.leg_id].tyre_at(entry.taken_at) for entry in entries]
    corrected = correct_tyres(entries, fleet)
    append_rows(
        TyreReading,
        {
            **_columns_of(entries, (*TYRE_CONTENT, "id", "as_read")),
            "gauge_overdue": _gauges_overdue(fleet, entries),
            "tyre_id": tyre_ids,
            "corrected_psig": corrected.corrected_psig,
            "uncertainty_psi": corrected.uncertainty_psi,
            "corrected_sheet_version": corrected.corrected_sheet_version,
        },
        _same(fleet, now, source, same_for_all),
    )
    tell_news(fleet.operator_id, tyre_ids=[one for one in tyre_ids if one])


def columns_of(corrected: Corrected) -> dict[str, list[Any]]:
    """Return the corrected columns as plain values."""
    return {name: getattr(corrected, name).tolist() for name in CORRECTED_COLUMNS}


def recorrect(operator_id: uuid.UUID, rows: Sequence[StrutReading], fleet: KnownFleet) -> int:
    """Correct stored readings anew from their raw values; return how many changed and mark their struts."""
    if not rows:
        return 0
    joined = join(rows, fleet)
    moments = [row.taken_at for row in rows]
    aircraft = {fleet.legs[row.leg_id].aircraft_id for row in rows}
    noted = neighbours_of(operator_id, joined, aircraft, min(moments), max(moments))
    columns = columns_of(correct(joined, noted))
    changed = [
        number
        for number, row in enumerate(rows)
        if any(columns[name][number] != getattr(row, name) for name in CORRECTED_COLUMNS)
    ]
    update_rows(
        StrutReading,
        [rows[number].id for number in changed],
        {name: [values[number] for number in changed] for name, values in columns.items()},
    )
    tell_news(operator_id, strut_ids={rows[number].strut_id for number in changed})
    return len(changed)


def renew_estimates(
    operator_id: uuid.UUID,
    aircraft_ids: Collection[uuid.UUID],
    since: datetime,
    until: datetime,
    *,
    except_ids: Collection[uuid.UUID] = (),
) -> None:
    """Correct anew those older readings whose estimated temperature or fuel the change in that time moves."""
    moved = readings_estimated_near(operator_id, aircraft_ids, since, until, except_ids)
    if moved:
        fleet = load_known_fleet(operator_id, leg_ids={row.leg_id for row in moved}, with_equipment=False)
        recorrect(operator_id, moved, fleet)


def tell_news(
    operator_id: uuid.UUID, *, strut_ids: Collection[uuid.UUID] = (), tyre_ids: Collection[uuid.UUID] = ()
) -> None:
    """Count the arrival for each part, and tell a worker after the commit."""
    struts, tyres = sorted(set(strut_ids)), sorted(set(tyre_ids))
    mark_news(operator_id=operator_id, strut_ids=struts, tyre_ids=tyres)
    for start in range(0, max(len(struts), len(tyres)), _PARTS_IN_ONE_NUDGE):
        part = slice(start, start + _PARTS_IN_ONE_NUDGE)
        nudge("assess_parts", struts[part], tyres[part])


def _columns_of(entries: Sequence[StrutEntry] | Sequence[TyreEntry], names: tuple[str, ...]) -> dict[str, list[Any]]:
    return {name: [getattr(entry, name) for entry in entries] for name in names}


def _same(fleet: KnownFleet, now: datetime, source: str, others: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "operator_id": fleet.operator_id,
        "received_at": now,
        "source": source,
        "corrects_id": None,
        "correction_reason": "",
        "withdrawn": False,
        "superseded": False,
        **others,
    }


def _gauges_overdue(fleet: KnownFleet, entries: Sequence[StrutEntry] | Sequence[TyreEntry]) -> list[bool]:
    return [entry.gauge_id is not None and fleet.gauge_overdue(entry.gauge_id, entry.taken_at) for entry in entries]
