"""A strut's extension at other temperatures and loads."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from typing import Any, Final

from rest_framework import serializers

from calculations.cautions import Step
from calculations.strut import ReadingUncertainty, UncertaintyParts, correct_extension, uncertainty_parts
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import NumberField, atmosphere_at
from servicing.calculators.given import given_only
from servicing.calculators.strut_figures import EXAMPLE, strut_from
from servicing.calculators.strut_shapes import AT_REST, STRUT_SOURCES, AtRestInput

_TERMS: Final = ("gas", "real_gas", "fluid", "load", "atmosphere")
_PARTS: Final = tuple(field.name.removesuffix("_in") for field in fields(UncertaintyParts))


class ReadingUncertaintyInput(InputSerializer):
    """1 standard deviation of what was read; leave out what you do not know."""

    extension = QuantityField("length", required=False)
    temperature = QuantityField("temperature_difference", required=False)
    load = QuantityField("force", required=False)
    atmosphere = QuantityField("pressure_difference", required=False)
    friction_exercised = NumberField(required=False, help_text="Share of the load, after exercising.")
    friction_resting = NumberField(required=False, help_text="Share of the load, without.")


class CorrectionInput(AtRestInput):
    """One measured extension and the conditions it was measured in."""

    exercised = serializers.BooleanField(default=True)
    uncertainty = ReadingUncertaintyInput(required=False)


TermsAnswer = type(
    "TermsAnswer",
    (serializers.Serializer,),
    {"__doc__": "What is added to the reading, one by one.", **{name: QuantityField("length") for name in _TERMS}},
)
UncertaintyPartsAnswer = type(
    "UncertaintyPartsAnswer",
    (serializers.Serializer,),
    {"__doc__": "What each input adds, signed.", **{name: QuantityField("length") for name in _PARTS}},
)


class CorrectionAnswer(CalculatorAnswer):
    """The extension that the same charge would show at the sheet's conditions."""

    corrected = QuantityField("length")
    uncertainty = QuantityField("length", help_text="1 standard deviation.")
    terms = TermsAnswer()
    uncertainty_parts = UncertaintyPartsAnswer()
    within_travel = serializers.BooleanField()
    on_stop = serializers.BooleanField()


def _reading_uncertainty(values: Mapping[str, Any]) -> ReadingUncertainty:
    return ReadingUncertainty(
        **given_only(
            values.get("uncertainty", {}),
            extension_in="extension",
            temperature_f="temperature",
            load_lbf="load",
            atmosphere_psi="atmosphere",
            friction_exercised="friction_exercised",
            friction_resting="friction_resting",
        )
    )


def _work(values: Mapping[str, Any]) -> Worked:
    strut = strut_from(values["strut"])
    reading = (values["extension"], values["temperature"], values["load"], strut.figures)

    def known() -> dict[str, Any]:
        return {
            "atmosphere_psia": atmosphere_at(values),
            "exercised": values["exercised"],
            "figures_uncertainty": strut.uncertainty,
            "reading_uncertainty": _reading_uncertainty(values),
        }

    found, parts, _ = strut.settle(
        lambda: correct_extension(*reading, **known()),
        lambda: uncertainty_parts(*reading, **known()),
        lambda: strut.bear(values["load"]),
    )
    return Worked(
        {
            "corrected": found.corrected_in,
            "uncertainty": found.uncertainty_in,
            "terms": {name: getattr(found, f"{name}_in") for name in _TERMS},
            "uncertainty_parts": {name: getattr(parts, f"{name}_in") for name in _PARTS},
            "within_travel": found.within_travel,
            "on_stop": found.on_stop,
        },
        sources=STRUT_SOURCES,
        assumptions=(AT_REST, *strut.assumptions),
        estimated=strut.estimated,
        steps=(Step.MEASURE,),
    )


CALCULATORS: Final = (
    Calculator(
        "strut/correction",
        "correct_extension",
        "Extension at the sheet's load and temperature",
        CorrectionInput,
        CorrectionAnswer,
        _work,
        {"strut": EXAMPLE, "extension": "2.703 in", "temperature": "-10 degC", "load": "800 lbf"},
    ),
)
