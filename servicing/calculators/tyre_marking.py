"""What a tyre is marked with and withstood, and when its pressure wants looking at."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from rest_framework import serializers

from calculations.cautions import Step
from calculations.tyre_marking import (
    NEW_PROOF_FACTOR,
    RETREAD_PROOF_FACTOR,
    Marking,
    helicopter_load_lbf,
    missing_markings,
    pressure_check_due,
    proof_pressure_psig,
)
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import NumberField
from servicing.calculators.given import together


class MarkingsInput(InputSerializer):
    """What stands on the sidewall, and the rating."""

    markings = serializers.ListField(
        child=serializers.ChoiceField([str(one) for one in Marking]), max_length=len(Marking)
    )
    rated_pressure = QuantityField("gauge_pressure", help_text="Unloaded.")
    rated_load = QuantityField("force")


class MarkingsAnswer(CalculatorAnswer):
    """What is missing, and what the maker tested."""

    missing = serializers.ListField(child=serializers.CharField())
    proof_pressure = QuantityField("gauge_pressure", help_text="Of a new tyre, held 3 s; never inflate to it.")
    retread_proof_pressure = QuantityField("gauge_pressure")
    helicopter_load = QuantityField("force", help_text="Static load that the same tyre may carry on a helicopter.")


class CheckDueInput(InputSerializer):
    """When pressure was last read cold, and how much the aircraft flies."""

    hours_since_check = NumberField()
    flown_daily = serializers.BooleanField()
    flights_since_check = serializers.IntegerField(default=0, max_value=10_000)


class CheckDueAnswer(CalculatorAnswer):
    """Does pressure want looking at before the next flight?"""

    due = serializers.BooleanField()


def _markings(values: Mapping[str, Any]) -> Worked:
    new, retread, helicopter = together(
        lambda: proof_pressure_psig(values["rated_pressure"], NEW_PROOF_FACTOR),
        lambda: proof_pressure_psig(values["rated_pressure"], RETREAD_PROOF_FACTOR),
        lambda: helicopter_load_lbf(values["rated_load"]),
    )
    return Worked(
        {
            "missing": list(missing_markings(Marking(one) for one in values["markings"])),
            "proof_pressure": new,
            "retread_proof_pressure": retread,
            "helicopter_load": helicopter,
        },
        sources=("FAA TSO-C62d", "FAA TSO-C62c appendix 1", "FAA AC 145-4, as a tyre maker sums it up"),
        assumptions=("Tyre made to the technical standard order; other approvals mark otherwise.",),
        steps=(Step.TYRE_INFLATION,),
    )


def _check_due(values: Mapping[str, Any]) -> Worked:
    found = pressure_check_due(**values)
    return Worked(
        {"due": found},
        sources=("FAA AC 20-97B, as repeated by a trade page",),
        assumptions=("A look more than a day old is no look before the flight.",),
        steps=(Step.TYRE_CHECK,),
    )


CALCULATORS: Final = (
    Calculator(
        "tyres/markings",
        "check_tyre_markings",
        "What should stand on a sidewall, and what the tyre withstood",
        MarkingsInput,
        MarkingsAnswer,
        _markings,
        {"markings": ["maker", "size"], "rated_pressure": "29 psi", "rated_load": "1150 lbf"},
        names={"rated_psig": "rated_pressure"},
    ),
    Calculator(
        "tyres/check-due",
        "find_tyre_check_due",
        "When tyre pressure wants looking at",
        CheckDueInput,
        CheckDueAnswer,
        _check_due,
        {"hours_since_check": 20, "flown_daily": False, "flights_since_check": 1},
    ),
)
