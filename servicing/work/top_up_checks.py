"""What a top-up needs before it may begin."""

import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from typing import Final

from fleet.equipment.models import Equipment, EquipmentKind
from fleet.refusals import Clash, FieldFault, Refused
from servicing.readings.known_fleet import KnownFleet, KnownLeg, load_known_fleet
from servicing.readings.naming import unknown_leg
from servicing.work.models import Counted, TopUp

USUAL_TOLERANCE_IN: Final = 0.25
USUAL_OVERSHOOT_CHANCE: Final = 0.05  # per dose; keeps whole sessions at about 5 % (own Monte Carlo)
COUNTED_BY_KIND: Final = {
    EquipmentKind.HAND_PUMP: Counted.STROKES,
    EquipmentKind.MULTIPLIER: Counted.CYCLES,
    EquipmentKind.CYLINDER: Counted.SECONDS,
    EquipmentKind.COMPRESSOR: Counted.SECONDS,
}


@contextmanager
def gathered(faults: list[FieldFault], place: str = "") -> Iterator[None]:
    """Add the fields that a check refuses to ``faults``, so that all are told at once."""
    try:
        yield
    except Refused as refusal:
        if not refusal.faults:
            raise
        faults += [replace(fault, field=place + fault.field) for fault in refusal.faults]


def known_leg(operator_id: uuid.UUID, leg_id: uuid.UUID) -> tuple[KnownFleet, KnownLeg]:
    """Return a leg with its sheet and parts, or refuse."""
    fleet = load_known_fleet(operator_id, leg_ids=[leg_id], with_equipment=False)
    if leg_id not in fleet.legs:
        fault = unknown_leg(leg_id)
        raise Refused(fault.message, code="top_up_refused", faults=[fault])
    return fleet, fleet.legs[leg_id]


def strut_on_leg(leg: KnownLeg, at: datetime) -> uuid.UUID:
    """Return the strut that is on a leg, or refuse."""
    strut_id = leg.strut_at(at)
    if strut_id is None:
        fault = FieldFault("leg", "no_part_installed", "no strut is on this leg")
        raise Refused(fault.message, code="top_up_refused", faults=[fault])
    return strut_id


def target_within_limits(leg: KnownLeg, target_in: float | None, tolerance_in: float | None) -> tuple[float, float]:
    """Return target and tolerance [in] at the sheet's conditions; by default the sheet's target."""
    sheet = leg.sheet
    target = sheet.target_extension_in if target_in is None else target_in
    room = min(target - sheet.low_limit_in, sheet.high_limit_in - target)
    if room <= 0:
        message = f"must lie between the sheet's limits, {sheet.low_limit_in:g} and {sheet.high_limit_in:g} in"
        raise Refused(message, code="top_up_refused", faults=[FieldFault("target", "outside_limits", message)])
    if tolerance_in is not None and not 0 < tolerance_in <= room:
        message = f"must be above 0 and keep within the limits, at most {room:g} in"
        raise Refused(message, code="top_up_refused", faults=[FieldFault("tolerance", "outside_limits", message)])
    return target, tolerance_in if tolerance_in is not None else min(USUAL_TOLERANCE_IN, room)


def filling_equipment(operator_id: uuid.UUID, equipment_id: uuid.UUID | None) -> Equipment | None:
    """Return what gas comes or came from, also where it was retired since, or refuse what cannot put gas in."""
    if equipment_id is None:
        return None
    equipment = Equipment.objects.of(operator_id).filter(pk=equipment_id).first()
    if equipment is None:
        raise _unfit("no such equipment")
    if equipment.kind not in COUNTED_BY_KIND:
        raise _unfit("a gauge cannot put gas in")
    return equipment


def refuse_unfit(operator_id: uuid.UUID, equipment_id: uuid.UUID | None) -> None:
    """Refuse equipment that is not in use, or that cannot put gas in."""
    equipment = filling_equipment(operator_id, equipment_id)
    if equipment is not None and equipment.retired_at is not None:
        raise _unfit("no such equipment in use")


def _unfit(message: str) -> Refused:
    fault = FieldFault("equipment", "unfit_equipment", message)
    return Refused(message, code="top_up_refused", faults=[fault])


def refuse_second(operator_id: uuid.UUID, strut_id: uuid.UUID, leg_id: uuid.UUID) -> None:
    """Refuse a second top-up of a strut on which one is running; one begun on another leg can only be finished."""
    running = TopUp.objects.of(operator_id).filter(strut_id=strut_id, finished_at__isnull=True).first()
    if running is None:
        return
    if running.leg_id == leg_id:
        message = f"a top-up of this strut is running already: go on with {running.id}"
    else:
        message = f"a top-up of this strut was begun on another leg: finish {running.id} first"
    raise Clash(message, code="top_up_running")
