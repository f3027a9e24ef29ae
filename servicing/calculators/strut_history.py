"""Gas column, fluid volume and sensitivities of a strut, estimated from its own readings."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from rest_framework import serializers

from calculations.cautions import Step
from calculations.strut import StrutReadings, correctable, estimate_from_readings
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import MOST_ROWS, NumberField, atmosphere_at, elevation_field
from servicing.calculators.given import column
from servicing.calculators.strut_figures import EXAMPLE, StrutInput, strut_from
from servicing.calculators.strut_shapes import STRUT_SOURCES


class HistoryReadingInput(InputSerializer):
    """One reading of the strut."""

    day = NumberField(help_text="Days since any fixed day.")
    extension = QuantityField("length")
    temperature = QuantityField("temperature")
    load = QuantityField("force")
    exercised = serializers.BooleanField(default=True)
    service = serializers.IntegerField(
        default=0, min_value=0, max_value=MOST_ROWS, help_text="How many servicings came before."
    )


class HistoryInput(InputSerializer):
    """A strut and its readings, in the order of time; five or more."""

    strut = StrutInput()
    readings = HistoryReadingInput(many=True, min_length=1, max_length=MOST_ROWS)  # type: ignore[call-arg]  # DRF's
    elevation = elevation_field()


class HistoryAnswer(CalculatorAnswer):
    """What the readings say; each uncertainty is 1 standard deviation."""

    gas_column = QuantityField("length")
    gas_column_uncertainty = QuantityField("length")
    gas_column_learned = QuantityField("fraction", help_text="Share of the prior variance that the readings removed.")
    fluid_volume = QuantityField("volume")
    fluid_volume_uncertainty = QuantityField("volume")
    fluid_volume_learned = QuantityField("fraction")
    by_temperature = QuantityField("extension_per_temperature")
    by_temperature_uncertainty = QuantityField("extension_per_temperature")
    by_load = QuantityField("extension_per_force")
    by_load_uncertainty = QuantityField("extension_per_force")
    readings_used = serializers.IntegerField(help_text="The others looked like blunders.")
    noise_factor = serializers.FloatField(help_text="Scatter found over scatter expected.")


class CorrectableAnswer(CalculatorAnswer):
    """Which readings can be corrected at all."""

    correctable = serializers.ListField(child=serializers.BooleanField())


def _history(values: Mapping[str, Any]) -> Worked:
    strut, rows = strut_from(values["strut"]), values["readings"]

    def estimate() -> Any:
        readings = StrutReadings(
            column(rows, "day"),
            column(rows, "extension"),
            column(rows, "temperature"),
            column(rows, "load"),
            exercised=column(rows, "exercised"),
            service=column(rows, "service"),
            atmosphere_psia=atmosphere_at(values),
        )
        return estimate_from_readings(readings, strut.figures, strut.uncertainty)

    found, _ = strut.settle(estimate, lambda: strut.bear_each(column(rows, "load"), "load_lbf"))
    return Worked(
        {
            "gas_column": found.figures.gas_column_in,
            "gas_column_uncertainty": found.uncertainty.gas_column_in,
            "gas_column_learned": found.gas_column_share,
            "fluid_volume": found.figures.fluid_volume_in3,
            "fluid_volume_uncertainty": found.uncertainty.fluid_volume_in3,
            "fluid_volume_learned": found.fluid_volume_share,
            "by_temperature": found.temperature_in_per_f,
            "by_temperature_uncertainty": found.temperature_uncertainty_in_per_f,
            "by_load": found.load_in_per_lbf,
            "by_load_uncertainty": found.load_uncertainty_in_per_lbf,
            "readings_used": found.readings_used,
            "noise_factor": found.noise_factor,
        },
        sources=(*STRUT_SOURCES, "Gelman et al., Bayesian Data Analysis, 3rd ed., 2013, section 14.8"),
        assumptions=("One slow loss of gas after each servicing; the tube's diameter is right.", *strut.assumptions),
        estimated=strut.estimated,
        steps=(Step.MEASURE,),
    )


def _correctable(values: Mapping[str, Any]) -> Worked:
    strut, rows = strut_from(values["strut"]), values["readings"]
    found, _ = strut.settle(
        lambda: correctable(
            column(rows, "extension"),
            column(rows, "temperature"),
            column(rows, "load"),
            strut.figures,
            atmosphere_psia=atmosphere_at(values),
        ),
        strut.check,
    )
    return Worked(
        {"correctable": found}, sources=STRUT_SOURCES, assumptions=strut.assumptions, estimated=strut.estimated
    )


_READING: Final = {"day": 0, "extension": "3 1/4 in", "temperature": "59 degF", "load": "800 lbf"}
_EXAMPLE: Final = {
    "strut": {**EXAMPLE},
    "readings": [
        _READING,
        {**_READING, "day": 9, "extension": "2.70 in", "temperature": "14 degF"},
        {**_READING, "day": 20, "extension": "3.69 in", "temperature": "95 degF"},
        {**_READING, "day": 31, "extension": "4.06 in", "load": "650 lbf"},
        {**_READING, "day": 40, "extension": "2.53 in", "load": "1000 lbf"},
    ],
}
CALCULATORS: Final = (
    Calculator(
        "strut/history",
        "estimate_from_history",
        "Gas column, fluid and sensitivities from a strut's own readings",
        HistoryInput,
        HistoryAnswer,
        _history,
        _EXAMPLE,
    ),
    Calculator(
        "strut/correctable",
        "find_correctable",
        "Which readings of a list can be corrected at all",
        HistoryInput,
        CorrectableAnswer,
        _correctable,
        _EXAMPLE,
    ),
)
