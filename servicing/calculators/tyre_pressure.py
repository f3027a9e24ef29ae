"""Tyre pressure at another temperature, what to set for a colder airfield, loaded and unloaded."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar, Final

from rest_framework import serializers

from calculations.cautions import Step
from calculations.tyre import (
    is_excursion,
    loaded_pressure_psig,
    pressure_at_temperature,
    pressure_by_rule_of_thumb,
    pressure_to_set_psig,
    share_per_5_f,
    unloaded_pressure_psig,
)
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import atmosphere_at, elevation_field
from servicing.calculators.given import together
from servicing.calculators.of_leg import FiguresOfLeg

RIGID: Final = "Ideal gas in a rigid tyre."


class TyreFiguresInput(FiguresOfLeg):
    """A tyre as the type sheet gives it."""

    from_sheet: ClassVar = {"service_pressure": "tyre_service_pressure_psig", "wheels_per_axle": "wheels_per_axle"}
    needed: ClassVar = ("service_pressure",)

    service_pressure = QuantityField(
        "gauge_pressure", required=False, help_text="Of the manual, wheel off the ground."
    )
    wheels_per_axle = serializers.IntegerField(required=False, min_value=1, max_value=12)


class TyreTemperatureInput(InputSerializer):
    """A reading, and the temperature at which it is wanted."""

    pressure = QuantityField("gauge_pressure")
    temperature = QuantityField("temperature", help_text="Of the tyre when it was read.")
    wanted_temperature = QuantityField("temperature")
    elevation = elevation_field()


class TyreTemperatureAnswer(CalculatorAnswer):
    """What the gauge would show, by the gas law and by the rule of thumb."""

    pressure = QuantityField("gauge_pressure", help_text="Below 0: it would fall below the air outside.")
    by_rule_of_thumb = QuantityField("gauge_pressure", help_text="1 % per 5 degF: for comparison, not for advice.")
    share_per_5_degf = QuantityField("fraction")


class SettingInput(InputSerializer):
    """Where the tyre is set and where it goes."""

    tyre = TyreFiguresInput()
    temperature = QuantityField("temperature", help_text="Of the tyre now.")
    coldest_temperature = QuantityField("temperature", help_text="At the airfields it goes to.")
    elevation = elevation_field()


class SettingAnswer(CalculatorAnswer):
    """What to set now, so that the tyre holds service pressure there."""

    pressure = QuantityField("gauge_pressure")
    excursion = serializers.BooleanField(help_text="Over 50 degF colder there: the colder field sets the pressure.")


class TyreLoadedInput(InputSerializer):
    """A pressure, and whether the wheel carried the aircraft."""

    pressure = QuantityField("gauge_pressure")
    loaded = serializers.BooleanField()


class TyreLoadedAnswer(CalculatorAnswer):
    """The same gas on and off the ground."""

    loaded = QuantityField("gauge_pressure")
    unloaded = QuantityField("gauge_pressure")


def _temperature(values: Mapping[str, Any]) -> Worked:
    pressure, now, wanted = values["pressure"], values["temperature"], values["wanted_temperature"]
    corrected, rule, share = together(
        lambda: pressure_at_temperature(
            pressure, temperature_f=now, wanted_temperature_f=wanted, atmosphere_psia=atmosphere_at(values)
        ),
        lambda: pressure_by_rule_of_thumb(pressure, temperature_f=now, wanted_temperature_f=wanted),
        lambda: share_per_5_f(pressure, now, atmosphere_at(values)),
    )
    return Worked(
        {"pressure": corrected, "by_rule_of_thumb": rule, "share_per_5_degf": share},
        sources=("Ideal gas law", "FAA AC 20-97B (rule of thumb)"),
        assumptions=(RIGID,),
        steps=(Step.TYRE_CHECK,),
    )


def _setting(values: Mapping[str, Any]) -> Worked:
    now, coldest = values["temperature"], values["coldest_temperature"]
    found = pressure_to_set_psig(
        values["tyre"]["service_pressure"],
        tyre_temperature_f=now,
        coldest_temperature_f=coldest,
        atmosphere_psia=atmosphere_at(values),
    )
    return Worked(
        {"pressure": found, "excursion": is_excursion(tyre_temperature_f=now, coldest_temperature_f=coldest)},
        sources=("Ideal gas law", "FAA AC 20-97B (from memory, source not seen)"),
        assumptions=(RIGID,),
        steps=(Step.TYRE_INFLATION,),
    )


def _loaded(values: Mapping[str, Any]) -> Worked:
    given = values["pressure"]
    if values["loaded"]:
        results = {"loaded": given, "unloaded": unloaded_pressure_psig(given)}
    else:
        results = {"loaded": loaded_pressure_psig(given), "unloaded": given}
    return Worked(
        results, sources=("FAA AC 20-97B",), assumptions=("Loaded is 4 % above unloaded.",), steps=(Step.TYRE_CHECK,)
    )


CALCULATORS: Final = (
    Calculator(
        "tyres/pressure-at-temperature",
        "find_tyre_pressure_at_temperature",
        "What the gauge would show at another temperature",
        TyreTemperatureInput,
        TyreTemperatureAnswer,
        _temperature,
        {"pressure": "29 psi", "temperature": "59 degF", "wanted_temperature": "32 degF"},
    ),
    Calculator(
        "tyres/pressure-to-set",
        "find_tyre_pressure_to_set",
        "What to set for a colder airfield",
        SettingInput,
        SettingAnswer,
        _setting,
        {"tyre": {"service_pressure": "29 psi"}, "temperature": "80 degF", "coldest_temperature": "20 degF"},
        names={
            "service_psig": "tyre.service_pressure",
            "tyre_temperature_f": "temperature",
            "coldest_temperature_f": "coldest_temperature",
        },
    ),
    Calculator(
        "tyres/loaded-pressure",
        "find_loaded_tyre_pressure",
        "The same tyre on and off the ground",
        TyreLoadedInput,
        TyreLoadedAnswer,
        _loaded,
        {"pressure": "29 psi", "loaded": False},
        names={"unloaded_psig": "pressure", "loaded_psig": "pressure"},
    ),
)
