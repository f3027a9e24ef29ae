"""Figures that a calculator takes from the type sheet of one of the operator's legs."""

from __future__ import annotations

from typing import Any, ClassVar

from rest_framework import serializers

from fleet.aircraft.models import Leg
from fleet.operators.models import Operator
from fleet.refusals import FieldFault, Missing, Refused
from fleet.web.shapes import InputSerializer


class FiguresOfLeg(InputSerializer):
    """Figures that may be given, or left to the type sheet of a leg; what is given goes first."""

    # Field -> attribute of the type sheet.
    from_sheet: ClassVar[dict[str, str]] = {}
    # Fields without which nothing can be calculated; required unless the sheet has them.
    needed: ClassVar[tuple[str, ...]] = ()

    of_leg = serializers.UUIDField(
        required=False, help_text="A leg of your fleet: figures that are not given come from its type sheet."
    )

    def of_sheet(self, leg: Leg) -> dict[str, Any]:
        """Return what the leg's sheet says, in internal units."""
        found = {name: getattr(leg.sheet, attribute) for name, attribute in self.from_sheet.items()}
        return {name: value for name, value in found.items() if value not in (None, "")}


def complete_from_sheets(shape: serializers.Serializer[Any], values: dict[str, Any], operator: Operator) -> list[str]:
    """Fill in what the sheets of named legs say, and return the names of what came from them."""
    taken: list[str] = []
    lacking: list[FieldFault] = []
    for place, part in shape.fields.items():
        if not isinstance(part, FiguresOfLeg) or place not in values:
            continue
        given = values[place]
        if leg_id := given.get("of_leg"):
            sheet = part.of_sheet(_leg(operator, leg_id, f"{place}.of_leg"))
            more = {name: value for name, value in sheet.items() if name not in given}
            given.update(more)
            taken += [f"{place}.{name}" for name in sorted(more)]
        lacking += [
            FieldFault(f"{place}.{name}", "required", "Needed, and no type sheet gives it.")
            for name in part.needed
            if name not in given
        ]
    if lacking:
        raise Refused("Figures are missing.", code="figures_missing", faults=lacking)
    return taken


def _leg(operator: Operator, leg_id: Any, field: str) -> Leg:
    leg = Leg.objects.of(operator).filter(pk=leg_id).select_related("sheet").first()
    if leg is None:
        message = "no such leg"
        raise Missing(message, faults=[FieldFault(field, "not_found", message)])
    return leg
