"""Everything that dispatch needs of an operator, in a fixed number of queries whatever the size of the fleet."""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from django.db.models import OuterRef, Subquery

from calculations.drift import Disposition
from fleet.aircraft.models import Aircraft, Leg
from fleet.gear.models import StrutInstallation, TyreInstallation
from fleet.operators.local_day import today_at
from fleet.operators.models import Operator
from servicing.alerts.models import Alert
from servicing.dispatch.judging import (
    AgainstIt,
    LastStrutReading,
    Readiness,
    against_by_age,
    against_by_alert,
    against_by_look,
    against_by_strut,
    readiness_of,
)
from servicing.readings.models import StrutReading, TyreReading
from servicing.reinspection.models import Reinspection
from servicing.reinspection.queries import judge_looks


@dataclass(frozen=True, slots=True)
class LegState:
    """One leg: what is on it and its last reading."""

    leg: Leg
    strut: StrutInstallation | None
    tyre: TyreInstallation | None
    last_strut_reading: LastStrutReading | None
    last_tyre_reading_at: datetime | None

    @property
    def part_ids(self) -> tuple[uuid.UUID, ...]:
        """The ids of strut and tyre, as far as they are there."""
        struts = (self.strut.strut_id,) if self.strut else ()
        return (*struts, self.tyre.tyre_id) if self.tyre else struts


@dataclass(frozen=True, slots=True)
class AircraftState:
    """One aircraft with all that is known against it."""

    aircraft: Aircraft
    legs: list[LegState] = field(default_factory=list)
    reasons: list[AgainstIt] = field(default_factory=list)

    @property
    def readiness(self) -> Readiness:
        """What to do next."""
        return readiness_of(self.reasons)


def dispatch_states(operator: Operator, now: datetime, registration: str | None = None) -> list[AircraftState]:
    """Return every aircraft in service, or the one of that registration."""
    aircraft = Aircraft.objects.of(operator).filter(retired_at__isnull=True).order_by("registration")
    if registration is not None:
        aircraft = aircraft.filter(registration=registration)
    states = {one.id: AircraftState(one) for one in aircraft}
    today = today_at(operator.time_zone, now)
    for state in _legs(operator, states):
        owner = states[state.leg.aircraft_id]
        owner.legs.append(state)
        owner.reasons.extend(_against_leg(state, today, operator.time_zone))
    where: dict[uuid.UUID | None, Leg] = {
        part_id: state.leg for owner in states.values() for state in owner.legs for part_id in state.part_ids
    }
    for alert in Alert.objects.of(operator).filter(closed_at__isnull=True).order_by("id"):
        if leg := where.get(alert.strut_id or alert.tyre_id):
            states[leg.aircraft_id].reasons.append(against_by_alert(alert, leg.position, today))
    looks = _of_aircraft(Reinspection.objects.of(operator).filter(done_at__isnull=True), states)
    for judged in judge_looks(operator, looks, now):
        if reason := against_by_look(judged):
            states[judged[0].leg.aircraft_id].reasons.append(reason)
    return list(states.values())


def _of_aircraft(rows: Any, states: dict[uuid.UUID, AircraftState]) -> Any:
    return rows.filter(leg__aircraft__in=list(states)).select_related("leg__aircraft").order_by("leg__position", "id")


def _legs(operator: Operator, states: dict[uuid.UUID, AircraftState]) -> list[LegState]:
    legs = list(
        Leg.objects.of(operator).filter(aircraft__in=list(states)).select_related("sheet").order_by("position")
    )
    on_legs = {"leg__in": legs, "removed_at__isnull": True}
    struts = StrutInstallation.objects.of(operator).filter(**on_legs).select_related("strut__standing")
    tyres = TyreInstallation.objects.of(operator).filter(**on_legs).select_related("tyre__standing")
    strut_on = {row.leg_id: row for row in struts.annotate(last=_last_reading(operator, StrutReading, "strut"))}
    tyre_on = {row.leg_id: row for row in tyres.annotate(last=_last_reading(operator, TyreReading, "tyre", "hot"))}
    strut_readings = _by_id(StrutReading.objects.of(operator), [row.last for row in strut_on.values()])
    tyre_readings = _by_id(TyreReading.objects.of(operator), [row.last for row in tyre_on.values()])
    return [
        LegState(
            leg,
            strut := strut_on.get(leg.id),
            tyre := tyre_on.get(leg.id),
            _judged(strut, strut_readings.get(strut.last) if strut else None),
            tyre_readings[tyre.last].taken_at if tyre and tyre.last in tyre_readings else None,
        )
        for leg in legs
    ]


def _last_reading(operator: Operator, model: Any, part: str, *least: str) -> Subquery:
    live = model.objects.of(operator).filter(**{part: OuterRef(part)}, superseded=False, withdrawn=False)
    return Subquery(live.order_by(*least, "-taken_at", "-id").values("id")[:1])


def _by_id(rows: Any, ids: Sequence[uuid.UUID | None]) -> dict[uuid.UUID, Any]:
    return {row.id: row for row in rows.filter(id__in=[row_id for row_id in ids if row_id])}


def _judged(strut: Any, reading: StrutReading | None) -> LastStrutReading | None:
    if reading is None:
        return None
    standing = getattr(strut.strut, "standing", None)
    entries = standing.evidence.get("set_aside", ()) if standing else ()
    # A reading on the upper stop is no evidence of drift, but of a strut that stands high it is.
    aside = {entry["reading"] for entry in entries if entry["reason"] != Disposition.TOPPED_OUT}
    return LastStrutReading(reading.taken_at, reading.corrected_in, reading.uncertainty_in, str(reading.id) in aside)


def _against_leg(state: LegState, today: date, time_zone: str) -> list[AgainstIt]:
    position, sheet = state.leg.position, state.leg.sheet
    found = against_by_age(position, "tyre", state.last_tyre_reading_at, today, time_zone)
    if state.strut is None:
        words = "no strut is recorded on this leg"
        return [*found, AgainstIt(Readiness.NO_READINGS, "nothing_installed", position, "strut", words)]
    last = state.last_strut_reading
    found += against_by_strut(position, last, sheet.low_limit_in, sheet.high_limit_in)
    return found + against_by_age(position, "strut", last.taken_at if last else None, today, time_zone)
