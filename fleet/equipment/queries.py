"""Reading the equipment: which gauges are overdue, what a cylinder last showed."""

import uuid
from datetime import date
from typing import Any

from fleet.equipment.calibration import lapsed
from fleet.equipment.models import CylinderPressure, Equipment, EquipmentKind
from fleet.operators.models import Operator
from fleet.tenancy import OwnedQuerySet


def equipment_matching(operator: Operator, filters: dict[str, Any]) -> OwnedQuerySet[Equipment]:
    """Return the equipment that the documented filters keep."""
    rows = Equipment.objects.of(operator)
    if kind := filters.get("kind"):
        rows = rows.filter(kind=kind)
    return rows if filters.get("retired") else rows.filter(retired_at__isnull=True)


def calibration_overdue(equipment: Equipment, on: date) -> bool:
    """Say whether a gauge's calibration had run out on a day, before it was renewed; other equipment has none."""
    if equipment.kind != EquipmentKind.GAUGE or equipment.calibration_due is None:
        return False
    return equipment.calibration_due < on or lapsed(equipment, on)


def pressures_of(operator: Operator | uuid.UUID, equipment_id: uuid.UUID) -> OwnedQuerySet[CylinderPressure]:
    """Return what a cylinder's gauge showed, newest first."""
    return CylinderPressure.objects.of(operator).filter(equipment_id=equipment_id).order_by("-taken_at", "-id")
