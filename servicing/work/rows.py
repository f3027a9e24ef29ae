"""Rows of work as they come in: resolved to the part that was on the leg then, and checked."""

import math
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any, Final

from fleet.equipment.models import Equipment
from fleet.refusals import FieldFault
from servicing.readings.entries import same_content
from servicing.readings.figures import sheet_figures
from servicing.readings.known_fleet import KnownFleet, load_known_fleet
from servicing.readings.naming import unknown_leg
from servicing.row_faults import RowFault
from servicing.work.models import TYRE_WORK, Servicing, Work

CLOCK_AHEAD: Final = timedelta(minutes=10)  # a phone's clock may run ahead by so much
FIGURES: Final = (
    "extension_before_in",
    "extension_after_in",
    "pressure_before_psig",
    "pressure_after_psig",
    "temperature_f",
    "strokes",
    "fluid_added_in3",
)
PRESSURES: Final = ("pressure_before_psig", "pressure_after_psig")
TYRE_PSIG_AT_MOST: Final = 500.0  # as of readings
LENGTHS: Final = ("extension_before_in", "extension_after_in")
STRUT_FIGURES: Final = ("extension_before_in", "extension_after_in", "fluid_added_in3")


@dataclass(frozen=True, slots=True)
class ServicingRow:
    """Work of one kind, done at one time on the strut or tyre of one leg."""

    leg_id: uuid.UUID
    done_at: datetime
    work: str
    extension_before_in: float | None = None
    extension_after_in: float | None = None
    pressure_before_psig: float | None = None
    pressure_after_psig: float | None = None
    temperature_f: float | None = None
    strokes: float | None = None
    fluid_added_in3: float | None = None
    equipment_id: uuid.UUID | None = None
    done_by: str = ""
    note: str = ""
    as_read: Mapping[str, Any] = field(default_factory=dict)
    top_up_id: uuid.UUID | None = None
    id: uuid.UUID | None = None


@dataclass(frozen=True, slots=True)
class PreparedServicings:
    """Rows ready to be written, those known already, and what is wrong with the rest."""

    in_order: tuple[Servicing, ...]
    new: tuple[Servicing, ...]
    faults: tuple[RowFault, ...]


def prepare_servicings(*, operator_id: uuid.UUID, now: datetime, rows: Sequence[ServicingRow]) -> PreparedServicings:
    """Check every row; each fault comes with the number of its row, counted from 0.

    A row with an id is known by it; one without is known by leg, moment and work, so that the same
    file sent twice changes nothing.
    """
    fleet = load_known_fleet(operator_id, leg_ids={row.leg_id for row in rows}, with_equipment=False)
    equipment = {row.equipment_id for row in rows if row.equipment_id}
    ours = set(Equipment.objects.of(operator_id).filter(pk__in=equipment).values_list("pk", flat=True))
    longest = _longest_in(fleet)
    known = _KnownServicings(operator_id, rows)
    in_order: list[Servicing] = []
    new: list[Servicing] = []
    faults: list[RowFault] = []
    for number, row in enumerate(rows):
        wrong = faults_of_row(row, fleet, ours, now)
        wrong += _beyond_tube(row, longest.get(row.leg_id, math.inf))
        before, clash = known.find(row)
        if clash:
            wrong.append(clash)
        if wrong:
            faults.extend((number, fault) for fault in wrong)
            continue
        servicing = before or known.add(servicing_from(row, fleet, operator_id, now))
        in_order.append(servicing)
        if before is None:
            new.append(servicing)
    return PreparedServicings(tuple(in_order), tuple(new), tuple(faults))


def faults_of_row(row: ServicingRow, fleet: KnownFleet, equipment: set[uuid.UUID], now: datetime) -> list[FieldFault]:
    """Return everything that is wrong with one row, without looking at other rows."""
    faults = []
    if row.work not in Work.values:
        faults.append(FieldFault("work", "unknown_work", f"must be one of {', '.join(Work.values)}"))
    elif row.leg_id not in fleet.legs:
        faults.append(unknown_leg(row.leg_id))
    elif part_worked_on(row, fleet) is None:
        part = "tyre" if is_tyre_work(row.work) else "strut"
        faults.append(FieldFault("done_at", "no_part_installed", f"no {part} was on this leg at that time"))
    if row.done_at > now + CLOCK_AHEAD:
        faults.append(FieldFault("done_at", "in_the_future", f"must not lie ahead of {now.isoformat()}"))
    if row.equipment_id and row.equipment_id not in equipment:
        faults.append(FieldFault("equipment", "unknown_equipment", "no such equipment"))
    faults += [
        FieldFault(name.rsplit("_", 1)[0], "negative", "must be 0 or more")
        for name in FIGURES
        if name != "temperature_f" and (getattr(row, name) or 0) < 0
    ]
    if is_tyre_work(row.work):
        faults += [
            FieldFault(name.rsplit("_", 1)[0], "out_of_range", f"at most {TYRE_PSIG_AT_MOST:g} psi in a tyre")
            for name in PRESSURES
            if (getattr(row, name) or 0.0) > TYRE_PSIG_AT_MOST
        ]
        faults += [
            FieldFault(name.rsplit("_", 1)[0], "not_of_a_tyre", "belongs to work on a strut")
            for name in STRUT_FIGURES
            if getattr(row, name) is not None
        ]
    return faults


def _longest_in(fleet: KnownFleet) -> dict[uuid.UUID, float]:
    """Return the greatest length that each leg's strut can have [in]."""
    legs = list(fleet.legs.values())
    return {} if not legs else dict(zip(fleet.legs, sheet_figures(legs).longest_in.tolist(), strict=True))


def _beyond_tube(row: ServicingRow, longest_in: float) -> list[FieldFault]:
    return [
        FieldFault(name.rsplit("_", 1)[0], "beyond_tube", f"longer than this strut can be, {longest_in:.1f} in")
        for name in LENGTHS
        if (getattr(row, name) or 0.0) > longest_in
    ]


def is_tyre_work(work: str) -> bool:
    """Say whether work is done on the tyre and wheel rather than the strut."""
    return work in TYRE_WORK


def part_worked_on(row: ServicingRow, fleet: KnownFleet) -> uuid.UUID | None:
    """Return the strut or tyre that was on the leg when the work was done."""
    leg = fleet.legs[row.leg_id]
    return leg.tyre_at(row.done_at) if is_tyre_work(row.work) else leg.strut_at(row.done_at)


def servicing_from(row: ServicingRow, fleet: KnownFleet, operator_id: uuid.UUID, now: datetime) -> Servicing:
    """Return the unsaved servicing of a row without faults."""
    tyre = is_tyre_work(row.work)
    part_id = part_worked_on(row, fleet)
    return Servicing(
        id=row.id or uuid.uuid4(),
        operator_id=operator_id,
        leg_id=row.leg_id,
        strut_id=None if tyre else part_id,
        tyre_id=part_id if tyre else None,
        done_at=row.done_at,
        received_at=now,
        work=row.work,
        as_read=dict(row.as_read),
        equipment_id=row.equipment_id,
        top_up_id=row.top_up_id,
        done_by=row.done_by,
        note=row.note,
        **{name: getattr(row, name) for name in FIGURES},
    )


def servicing_as_json(servicing: Servicing) -> dict[str, Any]:
    """Return what a servicing says, JSON-ready, for the audit trail."""
    figures = {name: getattr(servicing, name) for name in FIGURES if getattr(servicing, name) is not None}
    return {
        "leg": str(servicing.leg_id),
        "done_at": servicing.done_at.astimezone(UTC).isoformat(),
        "work": str(servicing.work),
        "done_by": servicing.done_by,
        **figures,
    }


class _KnownServicings:
    """Finds a row that was sent before."""

    def __init__(self, operator_id: uuid.UUID, rows: Sequence[ServicingRow]) -> None:
        self._by_id: dict[uuid.UUID, Servicing] = {}
        self._by_moment: dict[tuple[uuid.UUID, datetime, str], Servicing] = {}
        servicings = Servicing.objects.of(operator_id)
        for servicing in servicings.filter(pk__in=[row.id for row in rows if row.id]):
            self.add(servicing)
        moments = [row.done_at for row in rows if row.id is None]
        if moments:
            legs = {row.leg_id for row in rows}
            span = (min(moments), max(moments))
            # Those corrected since count as well: the same file again must not bring the mistake back.
            for servicing in servicings.filter(leg_id__in=legs, done_at__range=span):
                self.add(servicing)

    def find(self, row: ServicingRow) -> tuple[Servicing | None, FieldFault | None]:
        if row.id is None:
            return self._by_moment.get(_moment(row)), None
        before = self._by_id.get(row.id)
        if before is None or _says_the_same(before, row):
            return before, None
        return None, FieldFault("id", "already_recorded_otherwise", "this id was recorded with other figures")

    def add(self, servicing: Servicing) -> Servicing:
        self._by_id[servicing.id] = servicing
        self._by_moment.setdefault(_moment(servicing), servicing)
        return servicing


def _moment(row: Servicing | ServicingRow) -> tuple[uuid.UUID, datetime, str]:
    return row.leg_id, row.done_at, str(row.work)


def _says_the_same(servicing: Servicing, row: ServicingRow) -> bool:
    return _moment(servicing) == _moment(row) and same_content(servicing, row, FIGURES)
