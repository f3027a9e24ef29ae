"""How readings of struts and tyres look in answers."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from fleet.web.quantities import QuantityField, quantity
from servicing.readings.models import StrutReading, TyreReading


class ReadingAnswer(serializers.Serializer[Any]):
    """What readings share."""

    id = serializers.UUIDField()
    aircraft = serializers.UUIDField()
    registration = serializers.CharField()
    leg = serializers.UUIDField()
    position = serializers.CharField()
    taken_at = serializers.DateTimeField()
    received_at = serializers.DateTimeField()
    as_read = serializers.JSONField(help_text="Each quantity with the unit in which it was read.")
    temperature = QuantityField("temperature", allow_null=True)
    gauge = serializers.UUIDField(allow_null=True)
    gauge_overdue = serializers.BooleanField()
    taken_by = serializers.CharField()
    note = serializers.CharField()
    source = serializers.CharField()  # type: ignore[assignment]  # a field of that name, not DRF's own attribute
    corrects = serializers.UUIDField(allow_null=True)
    correction_reason = serializers.CharField()
    withdrawn = serializers.BooleanField()
    superseded = serializers.BooleanField()


class BasisAnswer(serializers.Serializer[Any]):
    """Where the figures come from."""

    type_sheet = serializers.ListField(child=serializers.CharField())
    estimated = serializers.ListField(child=serializers.CharField())
    manual = serializers.CharField()
    sheet_version = serializers.IntegerField()


def reading_answer(reading: StrutReading | TyreReading, unit_system: str) -> dict[str, Any]:
    """Return what readings share, in the caller's units."""
    return {
        "id": str(reading.id),
        "aircraft": str(reading.leg.aircraft_id),
        "registration": reading.leg.aircraft.registration,
        "leg": str(reading.leg_id),
        "position": str(reading.leg.position),
        "taken_at": reading.taken_at.isoformat(),
        "received_at": reading.received_at.isoformat(),
        "as_read": reading.as_read,
        "temperature": quantity(reading.temperature_f, "temperature", unit_system),
        "gauge": str(reading.gauge_id) if reading.gauge_id else None,
        "gauge_overdue": reading.gauge_overdue,
        "taken_by": reading.taken_by,
        "note": reading.note,
        "source": reading.source,
        "corrects": str(reading.corrects_id) if reading.corrects_id else None,
        "correction_reason": reading.correction_reason,
        "withdrawn": reading.withdrawn,
        "superseded": reading.superseded,
    }
