"""How readings of struts look in answers."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from calculations.strut_pressure import PRESSURE_VERDICTS
from fleet.web.quantities import QuantityField, quantity
from servicing.readings.answers import BasisAnswer, ReadingAnswer, reading_answer
from servicing.readings.models import StrutReading

VERDICTS = [verdict.value for verdict in PRESSURE_VERDICTS]


class CorrectionTermsAnswer(serializers.Serializer[Any]):
    """What is added to the reading, one by one."""

    gas = QuantityField("length")
    real_gas = QuantityField("length")
    fluid = QuantityField("length")
    load = QuantityField("length")
    air_pressure = QuantityField("length")


class CorrectedStrutAnswer(serializers.Serializer[Any]):
    """What the same charge would show at the sheet's load and temperature."""

    extension = QuantityField("length")
    uncertainty = QuantityField("length", help_text="1 standard deviation.")
    terms = CorrectionTermsAnswer()
    temperature_used = QuantityField("temperature")
    load_used = QuantityField("force")
    sheet_version = serializers.IntegerField()


class StrutReadingAnswer(ReadingAnswer):
    """A reading of a strut."""

    strut = serializers.UUIDField()
    extension = QuantityField("length")
    fuel = QuantityField("mass", allow_null=True)
    occupants = QuantityField("mass", allow_null=True)
    leg_load = QuantityField("force", allow_null=True)
    exercised = serializers.BooleanField()
    pressure = QuantityField("gauge_pressure", allow_null=True)
    fluid_seen = serializers.CharField()
    fluid_level = serializers.CharField()
    observations = serializers.ListField(child=serializers.CharField())
    corrected = CorrectedStrutAnswer()


class JudgementAnswer(serializers.Serializer[Any]):
    """Where the strut stands by this one reading, and what to do next."""

    place = serializers.CharField()
    looks = serializers.CharField(help_text="Where it would stand without correction.")
    because = serializers.CharField(allow_null=True)
    action = serializers.CharField()
    text = serializers.CharField()
    chance_low = serializers.FloatField()
    chance_high = serializers.FloatField()
    low_limit = QuantityField("length")
    target = QuantityField("length")
    high_limit = QuantityField("length")
    sigma_from_low_limit = serializers.FloatField()
    sigma_from_target = serializers.FloatField()
    sigma_from_high_limit = serializers.FloatField()
    top_up = serializers.CharField(allow_null=True, help_text="Where to plan a top-up, when that is next.")


class PressureCheckAnswer(serializers.Serializer[Any]):
    """What the gas carries against the load on the leg; of how much gas there is a pressure at rest says nothing."""

    verdict = serializers.ChoiceField(VERDICTS)
    carried = QuantityField("force", help_text="Pressure times the tube's area.")
    load = QuantityField("force", help_text="What stood on the strut.")
    excess_percent = serializers.FloatField(help_text="What the gas carries above the load, in percent of it.")
    excess_percent_uncertainty = serializers.FloatField(help_text="1 standard deviation.")
    text = serializers.CharField()


class JudgedStrutReadingAnswer(StrutReadingAnswer):
    """A reading of a strut with what it means."""

    judgement = JudgementAnswer()
    pressure_check = PressureCheckAnswer(allow_null=True, help_text="Null where no pressure was read at rest.")
    cautions = serializers.ListField(child=serializers.CharField())
    assumptions = serializers.ListField(child=serializers.CharField())
    basis = BasisAnswer()


class AddedStrutReadingsAnswer(serializers.Serializer[Any]):
    """What became of a batch."""

    readings = JudgedStrutReadingAnswer(many=True)
    saved = serializers.IntegerField()
    known = serializers.IntegerField(help_text="Readings that were sent before and left as they are.")


def strut_reading_answer(reading: StrutReading, unit_system: str) -> dict[str, Any]:
    """Return a reading of a strut in the caller's units."""

    def length(value_in: float) -> Any:
        return quantity(value_in, "length", unit_system)

    return {
        **reading_answer(reading, unit_system),
        "strut": str(reading.strut_id),
        "extension": length(reading.extension_in),
        "fuel": quantity(reading.fuel_lb, "mass", unit_system),
        "occupants": quantity(reading.occupants_lb, "mass", unit_system),
        "leg_load": quantity(reading.leg_load_lbf, "force", unit_system),
        "exercised": reading.exercised,
        "pressure": quantity(reading.pressure_psig, "gauge_pressure", unit_system),
        "fluid_seen": reading.fluid_seen,
        "fluid_level": reading.fluid_level,
        "observations": reading.observations,
        "corrected": {
            "extension": length(reading.corrected_in),
            "uncertainty": length(reading.uncertainty_in),
            "terms": {
                "gas": length(reading.gas_term_in),
                "real_gas": length(reading.real_gas_term_in),
                "fluid": length(reading.fluid_term_in),
                "load": length(reading.load_term_in),
                "air_pressure": length(reading.air_pressure_term_in),
            },
            "temperature_used": quantity(reading.temperature_used_f, "temperature", unit_system),
            "load_used": quantity(reading.load_lbf, "force", unit_system),
            "sheet_version": reading.corrected_sheet_version,
        },
    }
