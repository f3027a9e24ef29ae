"""What the requests of strut calculators share."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar, Final

from calculations.cautions import Step
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Worked
from servicing.calculators.fields import elevation_field
from servicing.calculators.strut_figures import EXAMPLE, KnownStrut, StrutInput

STRUT_SOURCES: Final = (
    "Span, Lemmon, Jacobsen, Wagner & Yokozeki, J. Phys. Chem. Ref. Data 29 (2000) 1361 (nitrogen)",
    "U.S. Standard Atmosphere, 1976",
)
AT_REST: Final = "At rest on level ground, free of friction; the load alone sets the gas pressure."
REST_EXAMPLE: Final = {"strut": EXAMPLE, "extension": "3 1/4 in", "temperature": "59 degF", "load": "800 lbf"}


class TargetStrutInput(StrutInput):
    """A strut whose target extension is known."""

    needed: ClassVar = ("target_extension",)


class LoadedInput(InputSerializer):
    """A strut that carries a load."""

    strut = StrutInput()
    temperature = QuantityField("temperature", help_text="Of the strut.")
    load = QuantityField("force", help_text="Along the strut.")
    elevation = elevation_field()


class AtRestInput(LoadedInput):
    """A strut that carries a load, and its extension."""

    extension = QuantityField("length")


def rest_of(values: Mapping[str, Any]) -> tuple[float, float, float]:
    """Return extension, temperature and load."""
    return values["extension"], values["temperature"], values["load"]


def strut_worked(
    strut: KnownStrut, results: Mapping[str, Any], *assumptions: str, steps: tuple[Step, ...] = (Step.MEASURE,)
) -> Worked:
    """Return results that rest on a strut's figures."""
    return Worked(
        results,
        sources=STRUT_SOURCES,
        assumptions=(*assumptions, *strut.assumptions),
        estimated=strut.estimated,
        steps=steps,
    )
