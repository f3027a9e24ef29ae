"""What to set when servicing a strut, and between which extensions friction may hold it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from rest_framework import serializers

from calculations.cautions import Step
from calculations.strut import friction_band, servicing_table
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import atmosphere_at, elevation_field
from servicing.calculators.strut_figures import EXAMPLE, strut_from
from servicing.calculators.strut_shapes import (
    AT_REST,
    REST_EXAMPLE,
    STRUT_SOURCES,
    AtRestInput,
    TargetStrutInput,
    rest_of,
)

_MOST_CELLS: Final = 50


class ServicingTableInput(InputSerializer):
    """For which temperatures and loads the extension to set is wanted."""

    strut = TargetStrutInput()
    temperatures = serializers.ListField(
        child=QuantityField("temperature"), min_length=1, max_length=_MOST_CELLS, help_text="One row each."
    )
    loads = serializers.ListField(
        child=QuantityField("force"), min_length=1, max_length=_MOST_CELLS, help_text="One column each."
    )
    elevation = elevation_field()


class ServicingRowAnswer(serializers.Serializer[Any]):
    """One temperature; one value per load."""

    temperature = QuantityField("temperature")
    extensions = serializers.ListField(child=QuantityField("length"))
    uncertainties = serializers.ListField(child=QuantityField("length"), help_text="1 standard deviation.")
    within_travel = serializers.ListField(child=serializers.BooleanField())


class ServicingTableAnswer(CalculatorAnswer):
    """Extension to set, so that the strut has its target at the sheet's conditions."""

    loads = serializers.ListField(child=QuantityField("force"))
    rows = ServicingRowAnswer(many=True)


class FrictionInput(AtRestInput):
    """Extension after exercising, and the friction of the seals."""

    friction = QuantityField("force", help_text="Along the strut.")


class FrictionAnswer(CalculatorAnswer):
    """Between these extensions friction may hold the strut; not clipped to the tube."""

    lowest = QuantityField("length")
    highest = QuantityField("length")
    within_travel = serializers.BooleanField()


def _table(values: Mapping[str, Any]) -> Worked:
    strut = strut_from(values["strut"])
    found, *_ = strut.settle(
        lambda: servicing_table(
            values["strut"]["target_extension"],
            values["temperatures"],
            values["loads"],
            strut.figures,
            atmosphere_psia=atmosphere_at(values),
            figures_uncertainty=strut.uncertainty,
        ),
        lambda: strut.bear_each(values["loads"], "loads"),
    )
    columns = (found.temperatures_f, found.extension_in, found.uncertainty_in, found.within_travel)
    names = ("temperature", "extensions", "uncertainties", "within_travel")
    return Worked(
        {
            "loads": found.loads_lbf,
            "rows": [dict(zip(names, row, strict=True)) for row in zip(*columns, strict=True)],
        },
        sources=STRUT_SOURCES,
        assumptions=(AT_REST, "The strut is set after it has been exercised.", *strut.assumptions),
        estimated=strut.estimated,
        steps=(Step.MEASURE, Step.GAS_CHARGE),
    )


def _friction(values: Mapping[str, Any]) -> Worked:
    strut = strut_from(values["strut"])
    extension, temperature, load = rest_of(values)
    found, _ = strut.settle(
        lambda: friction_band(
            extension,
            temperature,
            load,
            values["friction"],
            strut.figures,
            atmosphere_psia=atmosphere_at(values),
        ),
        lambda: strut.bear(load),
    )
    return Worked(
        {"lowest": found.lowest_in, "highest": found.highest_in, "within_travel": found.within_travel},
        sources=STRUT_SOURCES,
        assumptions=("The extension given is that of the exercised strut.", *strut.assumptions),
        estimated=strut.estimated,
        steps=(Step.MEASURE, Step.EXERCISE),
    )


CALCULATORS: Final = (
    Calculator(
        "strut/servicing-table",
        "make_servicing_table",
        "Extension to set against temperature and load",
        ServicingTableInput,
        ServicingTableAnswer,
        _table,
        {"strut": EXAMPLE, "temperatures": ["32 degF", "59 degF", "95 degF"], "loads": ["700 lbf", "800 lbf"]},
        names={
            "extension_in": "strut.target_extension",
            "reference_temperature_f": "temperatures",
            "reference_load_lbf": "loads",
            "temperature_f": "strut.reference_temperature",
            "load_lbf": "strut.reference_load",
            "reference_atmosphere_psia": "elevation",
        },
    ),
    Calculator(
        "strut/friction-band",
        "find_friction_band",
        "Extensions between which friction may hold a strut",
        FrictionInput,
        FrictionAnswer,
        _friction,
        {**REST_EXAMPLE, "friction": "40 lbf"},
        names={"frictionless_extension_in": "extension"},
    ),
)
