"""A strut's extension at other temperatures and loads."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from rest_framework import serializers

from calculations.cautions import Step
from calculations.strut import correct_extension
from fleet.web.quantities import QuantityField, quantity
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.strut_figures import EXAMPLE, StrutInput, assumptions_about, atmosphere_at, figures_from

_TERMS: Final = ("gas", "real_gas", "fluid", "load", "atmosphere")


class CorrectionInput(InputSerializer):
    """One measured extension and the conditions it was measured in."""

    strut = StrutInput()
    extension = QuantityField("length", minimum=0.0)
    temperature = QuantityField("temperature")
    load = QuantityField("force", help_text="Load along the strut when it was measured.")
    elevation = QuantityField("elevation", required=False)
    exercised = serializers.BooleanField(default=True)


class TermsAnswer(serializers.Serializer[Any]):
    """What is added to the reading, one by one."""

    gas = QuantityField("length")
    real_gas = QuantityField("length")
    fluid = QuantityField("length")
    load = QuantityField("length")
    atmosphere = QuantityField("length")


class CorrectionAnswer(CalculatorAnswer):
    """The extension that the same charge would show at the sheet's conditions."""

    corrected = QuantityField("length")
    uncertainty = QuantityField("length", help_text="1 standard deviation.")
    terms = TermsAnswer()
    within_travel = serializers.BooleanField()
    on_stop = serializers.BooleanField()


def _work(values: Mapping[str, Any], unit_system: str) -> Worked:
    strut = figures_from(values["strut"])
    found = correct_extension(
        values["extension"].internal,
        values["temperature"].internal,
        values["load"].internal,
        strut.figures,
        atmosphere_psia=atmosphere_at(values),
        exercised=values["exercised"],
        figures_uncertainty=strut.uncertainty,
    )

    def length(name: str) -> Any:
        return quantity(float(getattr(found, name)), "length", unit_system)

    return Worked(
        {
            "corrected": length("corrected_in"),
            "uncertainty": length("uncertainty_in"),
            "terms": {name: length(f"{name}_in") for name in _TERMS},
            "within_travel": bool(found.within_travel),
            "on_stop": bool(found.on_stop),
        },
        sources=(
            "Span, Lemmon, Jacobsen, Wagner & Yokozeki, J. Phys. Chem. Ref. Data 29 (2000) 1361 (nitrogen)",
            "U.S. Standard Atmosphere, 1976",
        ),
        assumptions=(
            "At rest on level ground; the load alone sets the gas pressure.",
            *assumptions_about(strut),
        ),
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
