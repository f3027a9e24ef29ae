"""One step of a top-up as it comes in: checked, and corrected the way that readings are."""

import uuid
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any, Final

from fleet.refusals import FieldFault, Refused
from servicing.readings.checks import physics_faults, strut_entry_faults
from servicing.readings.conditions import Noted
from servicing.readings.correction import Corrected, correct, join
from servicing.readings.entries import StrutEntry
from servicing.readings.known_fleet import KnownFleet, KnownLeg
from servicing.readings.neighbours import neighbours_of
from servicing.work.models import Exercise, TopUpStep

# Named as in a request, and as in a row.
CONDITIONS: Final = {"temperature": "temperature_f", "fuel": "fuel_lb", "occupants": "occupants_lb"}
SAME_SITTING: Final = timedelta(hours=3)  # for so long temperature and fuel of the step before still hold


@dataclass(frozen=True, slots=True)
class StepRow:
    """A look at the strut, or a dose with the length that it led to; amount 0 is a look."""

    at: datetime
    extension_in: float
    exercised: str = Exercise.NOT
    temperature_f: float | None = None
    fuel_lb: float | None = None
    occupants_lb: float | None = None
    amount: float = 0.0
    counted: str = ""
    released: bool = False
    extension_before_in: float | None = None
    hose_connected: bool | None = None  # None: as usual, see `_hose_is_connected`
    equipment_id: uuid.UUID | None = None
    as_read: Mapping[str, Any] = field(default_factory=dict)
    id: uuid.UUID | None = None


def step_from(
    row: StepRow, *, fleet: KnownFleet, leg: KnownLeg, before: TopUpStep | None, now: datetime
) -> TopUpStep:
    """Return the unsaved step with its corrected lengths, or refuse it with every fault."""
    row = completed_from(before, row)
    entries = [_entry(row, leg, row.extension_in)]
    if row.extension_before_in is not None:
        entries.append(_entry(row, leg, row.extension_before_in))
    corrected = _corrected(entries, fleet, leg, now)
    return TopUpStep(
        id=row.id or uuid.uuid4(),
        operator_id=fleet.operator_id,
        at=row.at,
        received_at=now,
        amount=row.amount,
        counted=row.counted,
        released=row.released,
        hose_connected=bool(row.hose_connected),
        equipment_id=row.equipment_id,
        as_read=dict(row.as_read),
        extension_before_in=row.extension_before_in,
        extension_in=row.extension_in,
        exercised=row.exercised,
        temperature_f=row.temperature_f,
        fuel_lb=row.fuel_lb,
        occupants_lb=row.occupants_lb,
        temperature_used_f=float(corrected.temperature_used_f[0]),
        load_lbf=float(corrected.load_lbf[0]),
        corrected_before_in=float(corrected.corrected_in[1]) if len(entries) > 1 else None,
        corrected_in=float(corrected.corrected_in[0]),
        uncertainty_in=float(corrected.uncertainty_in[0]),
    )


def row_of(step: TopUpStep) -> StepRow:
    """Return what a stored step says."""
    return StepRow(**{name: getattr(step, name) for name in StepRow.__dataclass_fields__})


def row_as_json(row: StepRow) -> dict[str, Any]:
    """Return what a row says, JSON-ready, for the audit trail."""
    values = {name: value for name, value in asdict(row).items() if value not in (None, "", {})}
    return {name: str(value) if isinstance(value, uuid.UUID | datetime) else value for name, value in values.items()}


def same_step(step: TopUpStep, row: StepRow) -> bool:
    """Say whether a stored step holds what the row says, so that a repeat is known for one."""
    return (
        step.at == row.at
        and abs(step.extension_in - row.extension_in) < 1e-6
        and step.amount == row.amount
        and step.released == row.released
        and step.exercised == row.exercised
    )


def completed_from(before: TopUpStep | None, row: StepRow) -> StepRow:
    """Return a row with what the step before it tells: temperature and fuel while they still hold, and the hose."""
    row = replace(row, hose_connected=_hose_is_connected(row, before))
    if before is None or not timedelta(0) <= row.at - before.at <= SAME_SITTING:
        return row
    unsaid = [name for name in CONDITIONS.values() if getattr(row, name) is None]
    taken: dict[str, Any] = {name: getattr(before, name) for name in unsaid}
    return replace(row, **taken)


def _hose_is_connected(row: StepRow, before: TopUpStep | None) -> bool:
    """Say whether a dose begins by connecting the hose: nobody rocks or taxies with a hose on."""
    if not row.amount or row.released:
        return False
    if row.hose_connected is not None:
        return row.hose_connected
    if before is None or not before.amount or row.at - before.at > SAME_SITTING:
        return True
    return before.exercised != Exercise.NOT or before.equipment_id != row.equipment_id


def _entry(row: StepRow, leg: KnownLeg, extension_in: float) -> StrutEntry:
    return StrutEntry(
        id=row.id or uuid.uuid4(),
        leg_id=leg.id,
        taken_at=row.at,
        extension_in=extension_in,
        as_read={name: dict(value) for name, value in row.as_read.items()},
        temperature_f=row.temperature_f,
        fuel_lb=row.fuel_lb,
        occupants_lb=row.occupants_lb,
        exercised=row.exercised != Exercise.NOT,
    )


def _corrected(entries: list[StrutEntry], fleet: KnownFleet, leg: KnownLeg, now: datetime) -> Corrected:
    faults = list(strut_entry_faults(entries[0], fleet, now))
    if faults:
        raise Refused("this step cannot be right", code="step_refused", faults=_renamed(faults))
    joined = join(entries, fleet)
    beyond = [fault for _, fault in physics_faults(joined)]
    if beyond:
        raise Refused("this step cannot be right", code="step_refused", faults=_renamed(beyond))
    at = entries[0].taken_at
    standing = neighbours_of(fleet.operator_id, joined, [leg.aircraft_id], at, at)
    return correct(joined, Noted.joined([standing, joined.noted]))


def _renamed(faults: list[FieldFault]) -> list[FieldFault]:
    return [replace(fault, field="at") if fault.field == "taken_at" else fault for fault in faults]
