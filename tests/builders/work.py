"""Equipment, servicings and top-ups for tests."""

from datetime import datetime, timedelta
from typing import Any

from fleet.aircraft.models import Leg
from fleet.equipment.models import Equipment, EquipmentKind
from fleet.operators.models import Operator
from servicing.work.models import Work
from servicing.work.rows import ServicingRow
from servicing.work.top_up_rows import StepRow
from tests.builders.fleet import NOW, next_id, next_number


def a_hand_pump(operator: Operator, **values: Any) -> Equipment:
    """Return a hand pump of 1 1/4 in bore and 13 in stroke, unless said otherwise."""
    return Equipment.objects.create(
        id=next_id(),
        operator=operator,
        kind=EquipmentKind.HAND_PUMP,
        **{"name": f"Pump {next_number()}", "stroke_volume_in3": 16.0, **values},
    )


def equipment(operator: Operator, kind: str, **values: Any) -> Equipment:
    """Return equipment of a kind with the figures given."""
    return Equipment.objects.create(
        id=next_id(), operator=operator, kind=kind, **{"name": f"Equipment {next_number()}", **values}
    )


def servicing_row(leg: Leg, work: str = Work.GAS_ADDED, *, done_at: datetime = NOW, **values: Any) -> ServicingRow:
    """Return a row of work."""
    return ServicingRow(leg_id=leg.id, done_at=done_at, work=work, **values)


def look(extension_in: float, *, minutes: float = 0, exercised: str = "rocked", **values: Any) -> StepRow:
    """Return a look at a strut, minutes after `NOW`, at the builders' sheet's own temperature and fuel."""
    return StepRow(
        at=NOW + timedelta(minutes=minutes),
        extension_in=extension_in,
        exercised=exercised,
        **{"temperature_f": 70.0, "fuel_lb": 240.0, **values},
    )


def dose(strokes: float, extension_in: float, *, minutes: float, exercised: str = "rocked", **values: Any) -> StepRow:
    """Return a dose with the length after it."""
    return look(extension_in, minutes=minutes, exercised=exercised, amount=strokes, **values)
