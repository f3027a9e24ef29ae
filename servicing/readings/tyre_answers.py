"""How readings of tyres look in answers."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from fleet.web.quantities import QuantityField, quantity
from servicing.readings.answers import BasisAnswer, ReadingAnswer, reading_answer
from servicing.readings.models import TyreReading


class CorrectedTyreAnswer(serializers.Serializer[Any]):
    """Pressure cold, at the reference temperature, without the wheel's load: as manuals state it."""

    pressure = QuantityField("gauge_pressure", allow_null=True)
    uncertainty = QuantityField("pressure_difference", allow_null=True)
    sheet_version = serializers.IntegerField()


class TyreReadingAnswer(ReadingAnswer):
    """A reading of a tyre."""

    tyre = serializers.UUIDField()
    pressure = QuantityField("gauge_pressure", allow_null=True)
    tread = QuantityField("length", allow_null=True)
    hot = serializers.BooleanField()
    loaded = serializers.BooleanField()
    corrected = CorrectedTyreAnswer()


class TyreJudgementAnswer(serializers.Serializer[Any]):
    """Where the tyre stands by this one reading, and what the published table asks for."""

    band = serializers.CharField(allow_null=True)
    looks = serializers.CharField(allow_null=True, help_text="The band without correction.")
    service_pressure = QuantityField("gauge_pressure", allow_null=True)
    share_of_service_pressure = serializers.FloatField(allow_null=True)
    worn = serializers.BooleanField(allow_null=True)
    text = serializers.CharField()


class JudgedTyreReadingAnswer(TyreReadingAnswer):
    """A reading of a tyre with what it means."""

    judgement = TyreJudgementAnswer()
    cautions = serializers.ListField(child=serializers.CharField())
    assumptions = serializers.ListField(child=serializers.CharField())
    basis = BasisAnswer()


class AddedTyreReadingsAnswer(serializers.Serializer[Any]):
    """What became of a batch."""

    readings = JudgedTyreReadingAnswer(many=True)
    saved = serializers.IntegerField()
    known = serializers.IntegerField(help_text="Readings that were sent before and left as they are.")


def tyre_reading_answer(reading: TyreReading, unit_system: str) -> dict[str, Any]:
    """Return a reading of a tyre in the caller's units."""
    return {
        **reading_answer(reading, unit_system),
        "tyre": str(reading.tyre_id),
        "pressure": quantity(reading.pressure_psig, "gauge_pressure", unit_system),
        "tread": quantity(reading.tread_in, "length", unit_system),
        "hot": reading.hot,
        "loaded": reading.loaded,
        "corrected": {
            "pressure": quantity(reading.corrected_psig, "gauge_pressure", unit_system),
            "uncertainty": quantity(reading.uncertainty_psi, "pressure_difference", unit_system),
            "sheet_version": reading.corrected_sheet_version,
        },
    }
