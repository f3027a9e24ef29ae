"""How fast a tyre may lose pressure, what a new one needs, and what gas is in it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from rest_framework import serializers

from calculations.cautions import Step
from calculations.tyre_gas import (
    GREATEST_OXYGEN_SHARE,
    gas_share_after_fill,
    pressure_for_oxygen_share_psig,
    second_fill_advised,
)
from calculations.tyre_loss import LossVerdict, StretchStage, pressure_loss, stretch_stage
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import NumberField, atmosphere_at, elevation_field
from servicing.calculators.given import together, told

_LOSS_SOURCES: Final = ("FAA AC 20-97B", "NAVEDTRA 14018 ch. 11", "A tyre maker's care manual (12 h, 10 %)")


class ColdReadingInput(InputSerializer):
    """One cold reading."""

    pressure = QuantityField("gauge_pressure")
    temperature = QuantityField("temperature", help_text="Of the tyre.")


class LossInput(InputSerializer):
    """Two cold readings of one tyre in the same state."""

    before = ColdReadingInput()
    after = ColdReadingInput()
    hours = NumberField(help_text="Between them.")
    elevation = elevation_field()


class LossAnswer(CalculatorAnswer):
    """The loss against 5 % in 24 h."""

    loss = QuantityField("fraction", help_text="Of the earlier gauge pressure, at one temperature.")
    allowed = QuantityField("fraction")
    percent_per_day = serializers.FloatField(help_text="Of absolute pressure.")
    verdict = serializers.CharField(help_text=f"One of {', '.join(one.name.lower() for one in LossVerdict)}.")
    long_enough = serializers.BooleanField(help_text="False under 12 h.")


class StretchInput(InputSerializer):
    """A newly mounted tyre."""

    hours_since_inflation = NumberField()
    hours_since_readjustment = NumberField(required=False, help_text="Leave out when it was not set again yet.")


class StretchAnswer(CalculatorAnswer):
    """What it needs next."""

    stage = serializers.CharField(help_text=f"One of {', '.join(one.name.lower() for one in StretchStage)}.")


class OxygenInput(InputSerializer):
    """A flat tyre full of air that is filled."""

    pressure = QuantityField("gauge_pressure", help_text="Of each fill.")
    oxygen_in_source = QuantityField("fraction", help_text="0 for pure nitrogen; 3 % for 97 % nitrogen.")
    fills = serializers.IntegerField(default=1, min_value=1, max_value=20, help_text="2: fill, bleed, fill again.")
    wanted_oxygen = QuantityField("fraction", required=False, help_text="5 % when left out.")
    elevation = elevation_field()


class OxygenAnswer(CalculatorAnswer):
    """Oxygen in the tyre."""

    oxygen = QuantityField("fraction")
    pressure_for_wanted = QuantityField(
        "gauge_pressure", allow_null=True, help_text="Of one fill; null if none does."
    )
    second_fill_advised = serializers.BooleanField(help_text="One fill leaves more than 5 %.")


def _loss(values: Mapping[str, Any]) -> Worked:
    before, after = values["before"], values["after"]
    names = {
        "before_psig": "before.pressure",
        "after_psig": "after.pressure",
        "pressure_psig": "after.pressure",
        "temperature_f": "after.temperature",
        "wanted_temperature_f": "before.temperature",
    }
    found = told(
        names,
        lambda: pressure_loss(
            before["pressure"],
            after["pressure"],
            values["hours"],
            before_temperature_f=before["temperature"],
            after_temperature_f=after["temperature"],
            atmosphere_psia=atmosphere_at(values),
        ),
    )()
    return Worked(
        {
            "loss": found.loss_share,
            "allowed": found.allowed_share,
            "percent_per_day": found.percent_per_day,
            "verdict": LossVerdict(int(found.verdict)),
            "long_enough": found.long_enough,
        },
        sources=_LOSS_SOURCES,
        assumptions=("Both readings cold and in the same state; ideal gas in a rigid tyre.",),
        steps=(Step.TYRE_CHECK,),
    )


def _stretch(values: Mapping[str, Any]) -> Worked:
    since = values.get("hours_since_readjustment", float("nan"))
    return Worked(
        {"stage": StretchStage(int(stretch_stage(values["hours_since_inflation"], since)))},
        sources=("FAA AC 20-97B, as tabulated by a tyre maker",),
        assumptions=("A readjustment before 12 h are over does not count.",),
        steps=(Step.TYRE_INFLATION,),
    )


def _oxygen(values: Mapping[str, Any]) -> Worked:
    source, pressure = values["oxygen_in_source"], values["pressure"]

    def for_wanted() -> Any:
        wanted = values.get("wanted_oxygen", GREATEST_OXYGEN_SHARE)
        if "wanted_oxygen" not in values and source >= wanted:
            return None
        air = atmosphere_at(values)
        return pressure_for_oxygen_share_psig(wanted, share_in_source=source, atmosphere_psia=air)

    oxygen, needed, second = together(
        lambda: gas_share_after_fill(
            pressure, share_in_source=source, fills=values["fills"], atmosphere_psia=atmosphere_at(values)
        ),
        for_wanted,
        lambda: second_fill_advised(pressure, share_in_source=source, atmosphere_psia=atmosphere_at(values)),
    )
    return Worked(
        {"oxygen": oxygen, "pressure_for_wanted": needed, "second_fill_advised": second},
        sources=("Dalton's law", "14 CFR 25.733(e): rule for large aircraft, advisory here"),
        assumptions=("The tyre was flat and full of air; gases mix fully.",),
        steps=(Step.TYRE_INFLATION, Step.CYLINDER),
    )


_COLD: Final = {"pressure": "42 psi", "temperature": "60 degF"}
CALCULATORS: Final = (
    Calculator(
        "tyres/loss",
        "judge_tyre_loss",
        "Loss of pressure against 5 % in 24 h",
        LossInput,
        LossAnswer,
        _loss,
        {"before": _COLD, "after": {**_COLD, "pressure": "39.9 psi"}, "hours": 24},
    ),
    Calculator(
        "tyres/stretch",
        "find_tyre_stretch_stage",
        "What a newly mounted tyre needs next",
        StretchInput,
        StretchAnswer,
        _stretch,
        {"hours_since_inflation": 13},
    ),
    Calculator(
        "tyres/oxygen",
        "find_tyre_oxygen",
        "Oxygen left after filling with nitrogen",
        OxygenInput,
        OxygenAnswer,
        _oxygen,
        {"pressure": "29 psi", "oxygen_in_source": "0 %"},
        names={"share_in_source": "oxygen_in_source", "oxygen_share": "wanted_oxygen"},
    ),
)
