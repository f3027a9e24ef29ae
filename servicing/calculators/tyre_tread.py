"""Tread and how many landings it lasts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar, Final

from rest_framework import serializers

from calculations.cautions import Step
from calculations.tread import (
    LEAST_TREAD_IN,
    REMOVAL_CRITERIA,
    TURNING_ADVICE,
    landings_left,
)
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import MOST_ROWS, NumberField
from servicing.calculators.given import column, given_only
from servicing.calculators.of_leg import FiguresOfLeg

_NAVY: Final = "NAVEDTRA 14018, ch. 11"


class TreadReadingInput(InputSerializer):
    """One reading at the most worn spot."""

    landings = NumberField(help_text="On this tyre so far.")
    depth = QuantityField("length")


class WearLimitInput(FiguresOfLeg):
    """Depth at which the tyre comes off."""

    from_sheet: ClassVar = {"wear_limit": "tyre_wear_limit_in"}
    wear_limit = QuantityField("length", required=False, help_text="1/32 in when neither you nor the sheet give it.")


class TreadInput(InputSerializer):
    """A tyre's tread over its landings."""

    tyre = WearLimitInput(required=False)
    new_depth = QuantityField("length", help_text="As the maker gives it, or as first read.")
    readings = TreadReadingInput(many=True, min_length=1, max_length=MOST_ROWS)  # type: ignore[call-arg]  # DRF's
    confidence = NumberField(required=False, help_text="Of the interval; 0.8 when left out.")


class TreadAnswer(CalculatorAnswer):
    """Wear, and landings to removal."""

    depth_now = QuantityField("length", help_text="Fitted.")
    wear_per_landing = QuantityField("length")
    wear_uncertainty = QuantityField("length")
    landings_left = serializers.FloatField(allow_null=True, help_text="Null: no wear is seen.")
    low = serializers.FloatField(allow_null=True)
    high = serializers.FloatField(allow_null=True)
    removal_criteria = serializers.ListField(child=serializers.CharField())
    turning = serializers.CharField()


def _tread(values: Mapping[str, Any]) -> Worked:
    rows, limit = values["readings"], values.get("tyre", {}).get("wear_limit")
    found = landings_left(
        column(rows, "landings"),
        column(rows, "depth"),
        limit_in=LEAST_TREAD_IN if limit is None else limit,
        new_depth_in=values["new_depth"],
        **given_only(values, confidence="confidence"),
    )
    return Worked(
        {
            "depth_now": found.depth_now_in,
            "wear_per_landing": found.wear_in,
            "wear_uncertainty": found.wear_uncertainty_in,
            "landings_left": found.landings_left,
            "low": found.low,
            "high": found.high,
            "removal_criteria": list(REMOVAL_CRITERIA),
            "turning": TURNING_ADVICE,
        },
        sources=("FAA AC 43.13-1B, paragraph 9-14", _NAVY, "Gelman et al., Bayesian Data Analysis, 3rd ed., 2013"),
        assumptions=("Even wear with landings; priors of a light aircraft until readings speak.",),
        estimated=("tyre.wear_limit",) if limit is None else (),
        steps=(Step.TYRE_CHECK,),
    )


CALCULATORS: Final = (
    Calculator(
        "tyres/tread",
        "forecast_tread",
        "Landings left in a tread",
        TreadInput,
        TreadAnswer,
        _tread,
        {
            "new_depth": "0.274 in",
            "readings": [
                {"landings": 0, "depth": "0.274 in"},
                {"landings": 120, "depth": "0.195 in"},
                {"landings": 240, "depth": "0.125 in"},
            ],
        },
        names={
            "landings": "readings.landings",
            "depths_in": "readings.depth",
            "limit_in": "tyre.wear_limit",
            "new_depth_in": "new_depth",
        },
    ),
)
