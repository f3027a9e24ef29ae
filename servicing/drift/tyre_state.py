"""What a tyre's last cold pressure and its tread say by themselves, beside the drift of its pressure."""

from __future__ import annotations

import math
import uuid
from bisect import bisect_right
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import accumulate
from typing import Any, Final

from calculations.atmosphere import standard_pressure_psia
from calculations.drift import Work as Baseline
from calculations.tread import LEAST_TREAD_IN, landings_left
from calculations.tyre import LOADED_OVER_UNLOADED
from calculations.tyre_bands import Band, PressureAssessment, action_for, assess_pressure
from fleet.gear.models import Tyre
from servicing.drift.gather_tyres import TyreHistories, TyreRow
from servicing.drift.places import LegStay, Place
from servicing.drift.work_done import Done, day_of
from servicing.usage.models import Usage

_SETS_PRESSURE: Final = frozenset({Baseline.INFLATED, Baseline.GAS_RELEASED, Baseline.INSTALLED, Baseline.VALVE_CORE})

State = dict[str, Any]


def tyre_states(operator_id: uuid.UUID, gathered: TyreHistories, *, now: datetime) -> list[State]:
    """Return columns and evidence of each tyre, by the names of `TyreStanding`."""
    worked: list[list[Done]] = [[] for _ in gathered.places]
    for one in gathered.done:
        worked[one.series].append(one)
    set_on = [_last_day(own, _SETS_PRESSURE) for own in worked]
    # A tyre changed on the wheel without a new row of its own has other tread from then on.
    renewed = [_last_day(own, {Baseline.INSTALLED}) for own in worked]
    pressed = map(_pressure_state, gathered.places, gathered.rows, gathered.reference_f, set_on)
    return [state | wear for state, wear in zip(pressed, _wear(operator_id, gathered, renewed, now), strict=True)]


def _last_day(done: Sequence[Done], kinds: Collection[Baseline]) -> float:
    return max((one.day for one in done if one.kind in kinds), default=0.0)


def _pressure_state(place: Place, rows: Sequence[TyreRow], reference_f: float, set_on_day: float) -> State:
    sheet = place.leg.sheet
    service = sheet.tyre_service_pressure_psig
    cold = [row for row in rows if row.pressure_psig is not None and not row.hot]
    if service is None or not cold or day_of(cold[-1].taken_at) <= set_on_day:
        return {"band": "", "pressure_check": None}
    last = cold[-1]
    compared = assess_pressure(
        last.pressure_psig or 0.0,
        temperature_f=reference_f if last.temperature_f is None else last.temperature_f,
        service_psig=service * LOADED_OVER_UNLOADED if last.loaded else service,
        reference_temperature_f=reference_f,
        atmosphere_psia=standard_pressure_psia(place.leg.home_elevation_ft or 0.0),
    )
    return _told(compared, last.taken_at, sheet.wheels_per_axle)


def _told(compared: PressureAssessment, read_at: datetime, wheels_per_axle: int) -> State:
    band = Band(int(compared.corrected_band))
    return {
        "band": band.name.lower(),
        "pressure_check": {
            "read_at": read_at.isoformat(),
            "band_as_read": Band(int(compared.raw_band)).name.lower(),
            "band": band.name.lower(),
            "share_as_read": round(float(compared.raw_share), 4),
            "share": round(float(compared.corrected_share), 4),
            "action": action_for(band, wheels_per_axle),
        },
    }


@dataclass(frozen=True, slots=True)
class _Landings:
    """Landings of each aircraft, summed up in order of time."""

    moments: dict[uuid.UUID, list[datetime]]
    sums: dict[uuid.UUID, list[int]]

    def until(self, aircraft_id: uuid.UUID, moment: datetime) -> int:
        number = bisect_right(self.moments.get(aircraft_id, []), moment)
        return self.sums[aircraft_id][number - 1] if number else 0

    def on_part(self, stays: Sequence[LegStay], moment: datetime) -> int:
        """Return the landings that a part has made on whatever aircraft it was."""
        total = 0
        for stay in stays:
            if stay.since < moment:
                until = moment if stay.until is None else min(stay.until, moment)
                aircraft_id = stay.leg.aircraft_id
                total += self.until(aircraft_id, until) - self.until(aircraft_id, stay.since)
        return total


def _wear(
    operator_id: uuid.UUID, gathered: TyreHistories, renewed_on_day: Sequence[float], now: datetime
) -> list[State]:
    treads = [
        [row for row in rows if row.tread_in is not None and day_of(row.taken_at) >= since]
        for rows, since in zip(gathered.rows, renewed_on_day, strict=True)
    ]
    read = [place for place, rows in zip(gathered.places, treads, strict=True) if rows]
    if not read:
        return [{"landings_to_wear_limit": None, "tread": None} for _ in treads]
    landings = _landings(operator_id, {stay.leg.aircraft_id for place in read for stay in place.stays})
    wanted = Tyre.objects.of(operator_id).filter(pk__in=[place.part_id for place in read])
    new_in: dict[uuid.UUID, float | None] = dict(wanted.values_list("pk", "new_tread_in"))
    return [
        _worn(place, rows, landings, None if since else new_in.get(place.part_id), now)
        for place, rows, since in zip(gathered.places, treads, renewed_on_day, strict=True)
    ]


def _worn(place: Place, rows: Sequence[TyreRow], landings: _Landings, new_in: float | None, now: datetime) -> State:
    if not rows:
        return {"landings_to_wear_limit": None, "tread": None}
    limit_in = place.leg.sheet.tyre_wear_limit_in or LEAST_TREAD_IN
    depths = [float(row.tread_in or 0.0) for row in rows]
    counts = [landings.on_part(place.stays, row.taken_at) for row in rows]
    last = counts[-1]
    if new_in is None:  # then the first look is what wear is counted from
        counts = [count - counts[0] for count in counts]
    start_in = new_in or depths[0]
    tread: State = {"read_at": rows[-1].taken_at.isoformat(), "tread_in": depths[-1], "limit_in": limit_in}
    if start_in <= limit_in or depths[-1] <= limit_in:
        return {"landings_to_wear_limit": 0.0, "tread": tread}
    wear = landings_left(counts, depths, limit_in=limit_in, new_depth_in=start_in)
    left = {"landings_left": wear.landings_left, "landings_low": wear.low, "landings_high": wear.high}
    tread |= {name: _whole(float(value)) for name, value in left.items()}
    tread["wear_in_per_100_landings"] = round(100.0 * float(wear.wear_in), 5)
    since = landings.on_part(place.stays, now) - last
    left_now = None if tread["landings_left"] is None else max(tread["landings_left"] - since, 0.0)
    return {"landings_to_wear_limit": left_now, "tread": tread}


def _landings(operator_id: uuid.UUID, aircraft_ids: set[uuid.UUID]) -> _Landings:
    rows = Usage.objects.of(operator_id).filter(aircraft_id__in=aircraft_ids, superseded=False, brought_forward=False)
    moments: dict[uuid.UUID, list[datetime]] = {}
    counts: dict[uuid.UUID, list[int]] = {}
    for aircraft_id, ended_at, count in rows.order_by("ended_at").values_list("aircraft_id", "ended_at", "landings"):
        moments.setdefault(aircraft_id, []).append(ended_at)
        counts.setdefault(aircraft_id, []).append(count)
    return _Landings(moments, {key: list(accumulate(own)) for key, own in counts.items()})


def _whole(value: float) -> float | None:
    return float(round(value)) if math.isfinite(value) else None
