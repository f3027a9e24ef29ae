"""How much stroke a touchdown asks for."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from calculations.strut_sizing import stroke_for_descent_in
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import NumberField
from servicing.calculators.given import given_only

_INDICATION: Final = "A textbook's rule for new gear: an indication, not a limit and not a permission to fly."


class TouchdownInput(InputSerializer):
    """A touchdown, and how well strut and tyre take it up."""

    descent = QuantityField("speed", help_text="Vertical.")
    load_factor = NumberField(help_text="Greatest load on the leg over its load at rest; utility aircraft 2 to 3.")
    efficiency = NumberField(required=False, help_text="0.65 to 0.80 fixed orifice, 0.75 to 0.90 metered.")
    tyre_deflection = QuantityField("length", required=False, help_text="Under that load; 0 when left out.")
    tyre_efficiency = NumberField(required=False)


class TouchdownAnswer(CalculatorAnswer):
    """Vertical stroke from full extension."""

    stroke = QuantityField("length")


def _stroke(values: Mapping[str, Any]) -> Worked:
    told = given_only(
        values, efficiency="efficiency", tyre_efficiency="tyre_efficiency", tyre_deflection_in="tyre_deflection"
    )
    found = stroke_for_descent_in(values["descent"], values["load_factor"], **told)
    return Worked(
        {"stroke": found},
        sources=(
            "Raymer, Aircraft Design: A Conceptual Approach, AIAA (from memory, source not seen)",
            "Roskam, Airplane Design, part IV (from memory, source not seen)",
        ),
        assumptions=(
            "The wing carries the weight until the strut has stopped.",
            "Efficiency 0.65 of the strut and 0.47 of the tyre unless told.",
            _INDICATION,
        ),
    )


CALCULATORS: Final = (
    Calculator(
        "strut/stroke-for-descent",
        "find_stroke_for_descent",
        "Stroke that a descent at touchdown asks for",
        TouchdownInput,
        TouchdownAnswer,
        _stroke,
        {"descent": "10 ft/s", "load_factor": 3, "efficiency": 0.8, "tyre_deflection": "2 in"},
        _INDICATION,
        {"descent_ft_s": "descent"},
    ),
)
