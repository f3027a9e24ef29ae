"""Where a cold tyre pressure stands in the action table, as read and as corrected."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from rest_framework import serializers

from calculations.cautions import Step
from calculations.tyre import (
    is_cold,
    loaded_pressure_psig,
    pressure_at_temperature,
)
from calculations.tyre_bands import Band, action_for, assess_pressure, cold_pressure_band
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import NumberField, atmosphere_at, elevation_field
from servicing.calculators.given import together
from servicing.calculators.tyre_pressure import RIGID, TyreFiguresInput

ACTIONS: Final = "FAA AC 20-97B (all rows but the normal range from memory, source not seen)"
_BANDS: Final = f"One of {', '.join(band.name.lower() for band in Band)}."


class AssessmentInput(InputSerializer):
    """A cold reading."""

    tyre = TyreFiguresInput()
    pressure = QuantityField("gauge_pressure")
    temperature = QuantityField("temperature")
    reference_temperature = QuantityField("temperature", help_text="At which the tyre was or is to be set.")
    loaded = serializers.BooleanField(default=True, help_text="Did the wheel carry the aircraft?")
    hours_at_rest = NumberField(required=False, help_text="Two or more make a reading cold; three in hot weather.")
    elevation = elevation_field()


class BandAnswer(serializers.Serializer[Any]):
    """A pressure in the action table."""

    pressure = QuantityField("gauge_pressure")
    share = QuantityField("fraction", help_text="Of service pressure in the same state.")
    band = serializers.CharField(help_text=_BANDS)
    action = serializers.CharField()


class AssessmentAnswer(CalculatorAnswer):
    """As read and as corrected. Act on the corrected one; the raw one is what the gauge says."""

    service_pressure = QuantityField("gauge_pressure", help_text="In the state of the reading.")
    raw = BandAnswer()
    corrected = BandAnswer()
    cold = serializers.BooleanField(allow_null=True, help_text="Null when the hours at rest are not told.")


def _assessment(values: Mapping[str, Any]) -> Worked:
    tyre, pressure = values["tyre"], values["pressure"]
    wheels = tyre.get("wheels_per_axle", 1)

    def service() -> Any:
        return loaded_pressure_psig(tyre["service_pressure"]) if values["loaded"] else tyre["service_pressure"]

    def cold() -> Any:
        hours = values.get("hours_at_rest")
        return None if hours is None else is_cold(hours, values["temperature"])

    wanted, rested, _, _ = together(
        service,
        cold,
        lambda: cold_pressure_band(pressure, 1.0),
        lambda: pressure_at_temperature(
            pressure,
            temperature_f=values["temperature"],
            wanted_temperature_f=values["reference_temperature"],
            atmosphere_psia=atmosphere_at(values),
        ),
    )
    found = assess_pressure(
        pressure,
        temperature_f=values["temperature"],
        service_psig=wanted,
        reference_temperature_f=values["reference_temperature"],
        atmosphere_psia=atmosphere_at(values),
    )

    def band(shown: Any, share: Any, number: Any) -> dict[str, Any]:
        place = Band(int(number))
        return {"pressure": shown, "share": share, "band": place, "action": action_for(place, wheels)}

    return Worked(
        {
            "service_pressure": wanted,
            "raw": band(pressure, found.raw_share, found.raw_band),
            "corrected": band(found.corrected_psig, found.corrected_share, found.corrected_band),
            "cold": rested,
        },
        sources=(ACTIONS, "Ideal gas law", "FAA SAFO 09012 (cold after 2 h)"),
        assumptions=(RIGID, "A loaded wheel shows 4 % more than one off the ground."),
        estimated=() if "wheels_per_axle" in tyre else ("tyre.wheels_per_axle",),
        steps=(Step.TYRE_CHECK, Step.TYRE_INFLATION),
    )


CALCULATORS: Final = (
    Calculator(
        "tyres/assessment",
        "assess_tyre_pressure",
        "Where a cold pressure stands in the action table, raw and corrected",
        AssessmentInput,
        AssessmentAnswer,
        _assessment,
        {
            "tyre": {"service_pressure": "29 psi"},
            "pressure": "27.8 psi",
            "temperature": "32 degF",
            "reference_temperature": "59 degF",
        },
        names={
            "unloaded_psig": "tyre.service_pressure",
            "wanted_temperature_f": "reference_temperature",
            "air_temperature_f": "temperature",
        },
    ),
)
