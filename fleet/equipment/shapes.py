"""How equipment looks in requests and answers."""

from datetime import date
from typing import Any

from rest_framework import serializers

from fleet.equipment.figures import ALL_FIGURES, field_name
from fleet.equipment.models import CylinderPressure, Equipment, EquipmentKind
from fleet.equipment.queries import calibration_overdue
from fleet.web.quantities import Measured, QuantityField, quantity
from fleet.web.shapes import InputSerializer, MomentField

# Columns that hold a quantity, and its kind.
KINDS = {
    "stroke_volume_in3": "volume",
    "drive_pressure_psig": "gauge_pressure",
    "water_volume_in3": "cylinder_volume",
    "hose_volume_in3": "volume",
    "gauge_error_psi": "pressure_difference",
}


class EquipmentFigures(InputSerializer):
    """The figures that some kind of equipment has; each kind says which it needs."""

    stroke_volume = QuantityField("volume", required=False, minimum=0.01, maximum=500)
    clearance_fraction = serializers.FloatField(required=False, min_value=0, max_value=0.9)
    stages = serializers.IntegerField(required=False, min_value=1, max_value=5)
    area_ratio = serializers.FloatField(required=False, min_value=1, max_value=200)
    drive_pressure = QuantityField("gauge_pressure", required=False, minimum=0, maximum=5000)
    water_volume = QuantityField("cylinder_volume", required=False, minimum=1, maximum=20_000)
    hose_volume = QuantityField("volume", required=False, minimum=0, maximum=500)
    calibration_due = serializers.DateField(required=False)
    calibrated_on = serializers.DateField(
        required=False,
        help_text="Day of the last calibration, not ahead of today nor after `calibration_due`. Given with the next "
        "`calibration_due`, readings of the days between are marked as taken with an overdue gauge even where they "
        "arrive later. Given alone, or earlier than before, it puts a wrong day right.",
    )
    gauge_error = QuantityField("pressure_difference", required=False, minimum=0, maximum=500)


class EquipmentInput(EquipmentFigures):
    """A new piece of equipment."""

    id = serializers.UUIDField(required=False)
    name = serializers.CharField(max_length=80)
    kind = serializers.ChoiceField(EquipmentKind.choices)


class EquipmentChange(EquipmentFigures):
    """What changes; figures left out stay."""

    name = serializers.CharField(required=False, max_length=80)
    retired = serializers.BooleanField(required=False)


class EquipmentFilters(serializers.Serializer[Any]):
    """Which equipment to list."""

    kind = serializers.ChoiceField(EquipmentKind.choices, required=False)
    retired = serializers.BooleanField(required=False, default=False, help_text="Show retired equipment too.")


class EquipmentAnswer(serializers.Serializer[Any]):
    """A piece of equipment; figures that its kind has not are null."""

    id = serializers.UUIDField()
    name = serializers.CharField()
    kind = serializers.ChoiceField(EquipmentKind.choices)
    stroke_volume = QuantityField("volume", allow_null=True)
    clearance_fraction = serializers.FloatField(allow_null=True)
    stages = serializers.IntegerField(allow_null=True)
    area_ratio = serializers.FloatField(allow_null=True)
    drive_pressure = QuantityField("gauge_pressure", allow_null=True)
    water_volume = QuantityField("cylinder_volume", allow_null=True)
    hose_volume = QuantityField("volume", allow_null=True)
    calibration_due = serializers.DateField(allow_null=True)
    calibrated_on = serializers.DateField(allow_null=True)
    calibration_overdue = serializers.BooleanField()
    gauge_error = QuantityField("pressure_difference", allow_null=True)
    retired_at = serializers.DateTimeField(allow_null=True)
    version = serializers.IntegerField()


class CylinderPressureInput(InputSerializer):
    """What a cylinder's gauge shows."""

    id = serializers.UUIDField(required=False, help_text="Chosen by the client; sent again, nothing happens twice.")
    taken_at = MomentField()
    pressure = QuantityField("gauge_pressure", minimum=0, maximum=6000)
    temperature = QuantityField("temperature", required=False, minimum=-60, maximum=160)


class CylinderPressureAnswer(serializers.Serializer[Any]):
    """A pressure that was logged."""

    id = serializers.UUIDField()
    taken_at = serializers.DateTimeField()
    pressure = QuantityField("gauge_pressure")
    temperature = QuantityField("temperature", allow_null=True)
    as_read = serializers.JSONField()


def figures_from(values: dict[str, Any]) -> dict[str, Any]:
    """Return the columns that a checked body gives, in internal units."""
    columns = {field_name(column): column for column in ALL_FIGURES}
    return {
        columns[name]: value.internal if isinstance(value, Measured) else value
        for name, value in values.items()
        if name in columns
    }


def equipment_answer(equipment: Equipment, unit_system: str, today: date) -> dict[str, Any]:
    """Return a piece of equipment in the caller's units."""
    quantities = {
        field_name(column): quantity(getattr(equipment, column), kind, unit_system) for column, kind in KINDS.items()
    }
    return {
        "id": str(equipment.id),
        "name": equipment.name,
        "kind": str(equipment.kind),
        **quantities,
        "clearance_fraction": equipment.clearance_fraction,
        "stages": equipment.stages,
        "area_ratio": equipment.area_ratio,
        "calibration_due": equipment.calibration_due.isoformat() if equipment.calibration_due else None,
        "calibrated_on": equipment.calibrated_on.isoformat() if equipment.calibrated_on else None,
        "calibration_overdue": calibration_overdue(equipment, today),
        "retired_at": equipment.retired_at.isoformat() if equipment.retired_at else None,
        "version": equipment.version,
    }


def pressure_answer(reading: CylinderPressure, unit_system: str) -> dict[str, Any]:
    """Return a logged pressure in the caller's units."""
    return {
        "id": str(reading.id),
        "taken_at": reading.taken_at.isoformat(),
        "pressure": quantity(reading.pressure_psig, "gauge_pressure", unit_system),
        "temperature": quantity(reading.temperature_f, "temperature", unit_system),
        "as_read": reading.as_read,
    }
