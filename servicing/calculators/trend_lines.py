"""Trend statistics: least squares, the slope of pairs, the rank test, time between services."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any, Final

from rest_framework import serializers

from calculations.errors import CalculationError, Fault
from calculations.trend.rank import mann_kendall, theil_sen
from calculations.trend.regression import fit_through_origin, fit_with_intercept
from calculations.trend.survival import kaplan_meier
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import MOST_ROWS, NumberField
from servicing.calculators.given import together

_MOST_PAIRED: Final = 1000  # every pair is looked at
_MOST_REGRESSORS: Final = 20
PLAIN: Final = "Plain numbers: the answer is in the units that you sent."


def numbers(most: int = MOST_ROWS, **kwargs: Any) -> serializers.ListField:
    """Return a field for a series of plain numbers."""
    return serializers.ListField(child=NumberField(), min_length=1, max_length=most, **kwargs)


def figures(**kwargs: Any) -> serializers.ListField:
    """Return a field for a series of results; null where there is none."""
    return serializers.ListField(child=serializers.FloatField(allow_null=True), **kwargs)


class LeastSquaresInput(InputSerializer):
    """Observations and what they may depend on."""

    regressors = serializers.ListField(
        child=numbers(_MOST_REGRESSORS), min_length=1, max_length=MOST_ROWS, help_text="One list per observation."
    )
    observed = numbers()
    intercept = serializers.BooleanField(default=True)
    confidence = NumberField(default=0.95)


class CoefficientAnswer(serializers.Serializer[Any]):
    """One coefficient; the intercept first, where there is one."""

    value = serializers.FloatField()
    standard_error = serializers.FloatField()
    low = serializers.FloatField(help_text="End of the interval.")
    high = serializers.FloatField()


class LeastSquaresAnswer(CalculatorAnswer):
    """The fitted line."""

    coefficients = CoefficientAnswer(many=True)
    residual_sd = serializers.FloatField()
    residual_sum_of_squares = serializers.FloatField()
    degrees_of_freedom = serializers.IntegerField()
    r_squared = serializers.FloatField()
    f_statistic = serializers.FloatField(allow_null=True, help_text="Null for an exact fit.")


class RankInput(InputSerializer):
    """A series of readings."""

    times = numbers(_MOST_PAIRED)
    values = numbers(_MOST_PAIRED)
    confidence = NumberField(default=0.95)


class RankAnswer(CalculatorAnswer):
    """Theil-Sen slope and Mann-Kendall test: one misreading does not move them."""

    slope = serializers.FloatField()
    intercept = serializers.FloatField()
    low = serializers.FloatField(allow_null=True, help_text="End of the interval of the slope.")
    high = serializers.FloatField(allow_null=True)
    score = serializers.IntegerField()
    variance = serializers.FloatField()
    z = serializers.FloatField()
    probability = serializers.FloatField(help_text="Two-sided.")
    tau_a = serializers.FloatField()
    tau_b = serializers.FloatField()


class SurvivalInput(InputSerializer):
    """How long each lasted, and whether it ended or is still going."""

    durations = numbers()
    failed = serializers.ListField(child=serializers.BooleanField(), min_length=1, max_length=MOST_ROWS)
    confidence = NumberField(default=0.95)


class SurvivalStepAnswer(serializers.Serializer[Any]):
    """One time with an event."""

    time = serializers.FloatField()
    at_risk = serializers.IntegerField()
    events = serializers.IntegerField()
    survival = serializers.FloatField()
    standard_error = serializers.FloatField()
    low = serializers.FloatField(allow_null=True)
    high = serializers.FloatField(allow_null=True)


class SurvivalAnswer(CalculatorAnswer):
    """Share that lasts beyond each time."""

    curve = SurvivalStepAnswer(many=True)
    median = serializers.FloatField(allow_null=True, help_text="Null while more than half still last.")


def _least_squares(values: Mapping[str, Any]) -> Worked:
    rows, confidence = values["regressors"], values["confidence"]
    faults = []
    if len({len(row) for row in rows}) > 1:
        faults.append(Fault("regressors", "shape", "must hold lists of one length"))
    if not 0 < confidence < 1:
        faults.append(Fault("confidence", "out_of_range", f"must be in (0, 1), is {confidence:g}"))
    if faults:
        raise CalculationError(faults)
    fit = (fit_with_intercept if values["intercept"] else fit_through_origin)(rows, values["observed"])
    intervals = [fit.interval(index, confidence) for index in range(len(fit.coefficients))]
    columns = zip(fit.coefficients, fit.standard_errors, intervals, strict=True)
    return Worked(
        {
            **asdict(fit),
            "coefficients": [
                {"value": value, "standard_error": error, "low": low, "high": high}
                for value, error, (low, high) in columns
            ],
        },
        sources=("Golub and Van Loan, Matrix Computations, 4th ed., 2013, section 5.3",),
        assumptions=(PLAIN, "Errors are independent, of one size, and in the observations alone."),
    )


def _rank(values: Mapping[str, Any]) -> Worked:
    series = (values["times"], values["values"])
    line, test = together(lambda: theil_sen(*series, values["confidence"]), lambda: mann_kendall(*series))
    return Worked(
        asdict(line) | asdict(test),
        sources=("Sen, J. Am. Stat. Assoc. 63 (1968) 1379", "Mann, Econometrica 13 (1945) 245", "Kendall, 1970"),
        assumptions=(PLAIN, "One test of one series: repeated at every new reading it finds what is not there."),
    )


def _survival(values: Mapping[str, Any]) -> Worked:
    found = kaplan_meier(values["durations"], values["failed"], values["confidence"])
    names = ("times", "at_risk", "events", "survival", "standard_error", "low", "high")
    columns = zip(*(getattr(found, name) for name in names), strict=True)
    curve = [dict(zip(("time", *names[1:]), row, strict=True)) for row in columns]
    return Worked(
        {"curve": curve, "median": found.median},
        sources=("Kaplan and Meier, J. Am. Stat. Assoc. 53 (1958) 457",),
        assumptions=(PLAIN, "Those still going are no better or worse than the others."),
    )


_TIMES: Final = [0, 1, 2, 3, 4]
_FALLING: Final = [4.5, 4.4, 4.4, 4.3, 4.1]
CALCULATORS: Final = (
    Calculator(
        "trend/least-squares",
        "fit_least_squares",
        "Ordinary least squares",
        LeastSquaresInput,
        LeastSquaresAnswer,
        _least_squares,
        {"regressors": [[time] for time in _TIMES], "observed": _FALLING},
    ),
    Calculator(
        "trend/rank",
        "test_trend_by_rank",
        "Theil-Sen slope and Mann-Kendall test",
        RankInput,
        RankAnswer,
        _rank,
        {"times": _TIMES, "values": _FALLING},
    ),
    Calculator(
        "trend/survival",
        "find_survival",
        "How long something lasts when not all have failed yet",
        SurvivalInput,
        SurvivalAnswer,
        _survival,
        {"durations": [90, 200, 250], "failed": [True, True, False]},
    ),
)
