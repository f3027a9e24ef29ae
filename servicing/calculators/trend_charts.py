"""Control charts: small shifts of a series."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from rest_framework import serializers

from calculations.trend.charts import cusum, cusum_run_length, ewma
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import NumberField
from servicing.calculators.given import given_only
from servicing.calculators.trend_lines import PLAIN, figures, numbers

_HANDBOOK: Final = "NIST/SEMATECH e-Handbook of Statistical Methods, section"


class CusumInput(InputSerializer):
    """Observations in order of time."""

    values = numbers()
    target = NumberField()
    allowance = NumberField(help_text="What each observation may differ by without counting.")
    decision = NumberField(help_text="Sum above which it signals.")


class CusumAnswer(CalculatorAnswer):
    """Sums above and below target."""

    high = figures()
    low = figures()
    cumulative = figures()
    first_signal = serializers.IntegerField(allow_null=True, help_text="Number of the observation, from 1.")


class RunLengthInput(InputSerializer):
    """A chart in units of the standard deviation."""

    allowance = NumberField()
    decision = NumberField()
    shift = NumberField()


class RunLengthAnswer(CalculatorAnswer):
    """Observations to a signal, on average."""

    run_length = serializers.FloatField()


class EwmaInput(InputSerializer):
    """Observations in order of time."""

    values = numbers()
    target = NumberField()
    sd = NumberField(help_text="Of one observation.")
    weight = NumberField(help_text="Of the newest, above 0 to 1.")
    width = NumberField(required=False, help_text="Of the limits, in standard deviations; 3 when left out.")


class EwmaAnswer(CalculatorAnswer):
    """The average and its limits."""

    smoothed = figures()
    lower = figures()
    upper = figures()
    lower_asymptote = serializers.FloatField()
    upper_asymptote = serializers.FloatField()
    first_signal = serializers.IntegerField(allow_null=True, help_text="Number of the observation, from 1.")


def _signal(index: Any) -> int | None:
    return int(index) + 1 if index >= 0 else None


def _cusum(values: Mapping[str, Any]) -> Worked:
    found = cusum(
        values["values"], target=values["target"], allowance=values["allowance"], decision=values["decision"]
    )
    return Worked(
        {
            "high": found.high,
            "low": found.low,
            "cumulative": found.cumulative,
            "first_signal": _signal(found.first_signal),
        },
        sources=(f"{_HANDBOOK} 6.3.2.3",),
        assumptions=(PLAIN,),
    )


def _run_length(values: Mapping[str, Any]) -> Worked:
    found = cusum_run_length(**values)
    return Worked(
        {"run_length": found},
        sources=("Brook and Evans, Biometrika 59 (1972) 539",),
        assumptions=("Normal observations, independent, two-sided chart.",),
    )


def _ewma(values: Mapping[str, Any]) -> Worked:
    found = ewma(
        values["values"],
        target=values["target"],
        sd=values["sd"],
        weight=values["weight"],
        **given_only(values, width="width"),
    )
    names = ("smoothed", "lower", "upper", "lower_asymptote", "upper_asymptote")
    results = {name: getattr(found, name) for name in names}
    return Worked(
        {**results, "first_signal": _signal(found.first_signal)},
        sources=(f"{_HANDBOOK} 6.3.2.4", "Montgomery, Introduction to Statistical Quality Control"),
        assumptions=(PLAIN,),
    )


CALCULATORS: Final = (
    Calculator(
        "trend/cusum",
        "chart_cusum",
        "Tabular CUSUM",
        CusumInput,
        CusumAnswer,
        _cusum,
        {"values": [324.9, 324.7, 328.3, 327.3], "target": 325, "allowance": 0.3175, "decision": 4.1959},
    ),
    Calculator(
        "trend/cusum-run-length",
        "find_cusum_run_length",
        "How long a CUSUM takes to signal",
        RunLengthInput,
        RunLengthAnswer,
        _run_length,
        {"allowance": 0.5, "decision": 5, "shift": 1},
    ),
    Calculator(
        "trend/ewma",
        "chart_ewma",
        "Exponentially weighted moving average",
        EwmaInput,
        EwmaAnswer,
        _ewma,
        {"values": [52.0, 47.0, 53.0, 49.3], "target": 50, "sd": 2.0539, "weight": 0.3},
    ),
)
