"""How far a cylinder may be filled, and which regulator fits it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from rest_framework import serializers

from calculations.cautions import Step
from calculations.supply.cylinder_marking import Outlet, filling_pressure_psig, outlet_for
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked


class CylinderMarksInput(InputSerializer):
    """What is stamped on a cylinder."""

    service_pressure = QuantityField("gauge_pressure", help_text='2400 psi of "3AA 2400".')
    plus_mark = serializers.BooleanField(default=False, help_text='Is there a "+" after the date of the last test?')


class CylinderMarksAnswer(CalculatorAnswer):
    """The full cylinder."""

    filling_pressure = QuantityField("gauge_pressure", help_text="At 70 degF; the filler decides.")
    outlet = serializers.ChoiceField([str(one) for one in Outlet], help_text="The regulator's must be the same.")


def _marks(values: Mapping[str, Any]) -> Worked:
    filled = filling_pressure_psig(values["service_pressure"], values["plus_mark"])
    return Worked(
        {"filling_pressure": filled, "outlet": str(outlet_for(float(filled)))},
        sources=(
            "49 CFR 178.37",
            "49 CFR 173.302a(b) (10 % from memory, source not seen)",
            "Compressed Gas Association V-1 (from memory, source not seen)",
        ),
        assumptions=("Nitrogen in a cylinder marked to 49 CFR; elsewhere other marks and outlets hold.",),
        steps=(Step.CYLINDER,),
    )


CALCULATORS: Final = (
    Calculator(
        "supply/cylinder-marks",
        "read_cylinder_marks",
        "How far a cylinder may be filled, and which regulator fits it",
        CylinderMarksInput,
        CylinderMarksAnswer,
        _marks,
        {"service_pressure": "2400 psi", "plus_mark": True},
        names={"service_psig": "service_pressure", "filling_psig": "service_pressure"},
    ),
)
