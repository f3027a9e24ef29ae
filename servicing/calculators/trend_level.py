"""A level that wanders, seen through noise."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from rest_framework import serializers

from calculations.errors import refuse
from calculations.trend.local_level import diffuse_log_likelihood, filter_local_level, fit_local_level, steady_state
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import NumberField
from servicing.calculators.given import given_only, together
from servicing.calculators.trend_lines import PLAIN, figures, numbers

_KOOPMAN: Final = "Durbin and Koopman, Time Series Analysis by State Space Methods, 2nd ed., 2012, chapter 2"
_MOST_FITTED: Final = 1000


class LocalLevelInput(InputSerializer):
    """A series and its variances; without them they are fitted."""

    values = numbers(_MOST_FITTED)
    observation_variance = NumberField(required=False)
    level_variance = NumberField(required=False)
    first_level = NumberField(default=0.0)
    first_variance = NumberField(default=1e7, help_text="Large when nothing is known beforehand.")
    gaps = numbers(_MOST_FITTED, required=False, help_text="Time after each observation; 1 each when left out.")


class LocalLevelAnswer(CalculatorAnswer):
    """The level as it was predicted before each observation, and after the last."""

    observation_variance = serializers.FloatField()
    level_variance = serializers.FloatField()
    predicted = figures()
    predicted_variance = figures()
    innovation = figures()
    innovation_variance = figures()
    log_likelihood = serializers.FloatField()
    diffuse_log_likelihood = serializers.FloatField(allow_null=True, help_text="Null for one observation.")
    steady_variance = serializers.FloatField()
    steady_gain = serializers.FloatField()


def _local_level(values: Mapping[str, Any]) -> Worked:
    series = values["values"]
    names = ("observation_variance", "level_variance")
    variances = {name: values[name] for name in names if name in values}
    if len(variances) == 1:
        missing = next(name for name in names if name not in values)
        raise refuse(missing, "required", "give both variances or none")
    gaps = values.get("gaps")
    if gaps is not None and len(gaps) != len(series):
        raise refuse("gaps", "shape", "must hold one gap for each observation")
    fitted = not variances
    if fitted:
        fit = fit_local_level(series)
        variances = {"observation_variance": fit.observation_variance, "level_variance": fit.level_variance}
    found, steady = together(
        lambda: filter_local_level(
            series,
            **variances,
            first_level=values["first_level"],
            first_variance=values["first_variance"],
            **given_only(values, gaps="gaps"),
        ),
        lambda: steady_state(**variances),
    )
    diffuse = diffuse_log_likelihood(series, **variances) if len(series) > 1 and gaps is None else None
    return Worked(
        {
            **variances,
            "predicted": found.predicted,
            "predicted_variance": found.predicted_variance,
            "innovation": found.innovation,
            "innovation_variance": found.innovation_variance,
            "log_likelihood": found.log_likelihood,
            "diffuse_log_likelihood": diffuse,
            "steady_variance": steady[0],
            "steady_gain": steady[1],
        },
        sources=(_KOOPMAN,),
        assumptions=(PLAIN, "The level wanders as a random walk."),
        estimated=names if fitted else (),
    )


CALCULATORS: Final = (
    Calculator(
        "trend/local-level",
        "filter_level",
        "A level that wanders, seen through noise",
        LocalLevelInput,
        LocalLevelAnswer,
        _local_level,
        {"values": [1120, 1160, 963], "observation_variance": 15099, "level_variance": 1469.1},
    ),
)
