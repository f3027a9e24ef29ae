"""A person with a pump at one strut, over HTTP."""

from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

from rest_framework.test import APIClient

from fleet.aircraft.models import Leg
from fleet.equipment.models import Equipment
from fleet.operators.models import Operator
from tests.builders.fleet import NOW, a_leg, a_strut, a_type_sheet, an_operator
from tests.builders.work import a_hand_pump
from tests.servicing.callers import caller_of

TOP_UPS = "/api/v1/top-ups"


def the_look(extension: float, *, minutes: float = 0.0, exercised: str = "rocked", **values: Any) -> dict[str, Any]:
    """Return a look, minutes after `NOW`, at the sheet's temperature and fuel."""
    return {
        "at": (NOW + timedelta(minutes=minutes)).isoformat(),
        "extension": f"{extension} in",
        "exercised": exercised,
        "temperature": "70 degF",
        "fuel": "240 lb",
        **values,
    }


@dataclass
class Bench:
    """A main strut of 2.375 in under 800 lbf that is 8 in long at its stop, and an unknown pump."""

    club: Operator = field(default_factory=an_operator)
    values: dict[str, Any] = field(default_factory=dict)

    def __post_init__(self) -> None:
        figures = {"tube_diameter_in": 2.375, "reference_load_lbf": 800.0, "fluid_volume_in3": 40.0}
        loads = {"reference_fuel_lb": 240.0, "reference_occupants_lb": 0.0, "load_per_fuel": 0.41}
        sheet = a_type_sheet(self.club, **{**figures, **loads, "full_extension_in": 8.0, **self.values})
        self.leg: Leg = a_leg(self.club, sheet=sheet)
        self.strut = a_strut(self.club, self.leg)
        self.pump: Equipment = a_hand_pump(self.club, stroke_volume_in3=None)
        self.caller: APIClient = caller_of(self.club, "mechanic")
        self.address = ""

    def start(self, extension: float, *, pump: Equipment | None = None, minutes: float = 0.0, **values: Any) -> Any:
        """Begin a top-up and return its answer; what follows belongs to it."""
        sent = {"leg": str(self.leg.id), "look": the_look(extension, minutes=minutes), **values}
        answer = self.caller.post(TOP_UPS, {**sent, "equipment": str((pump or self.pump).id)})
        assert answer.status_code == 201, answer.content
        self.address = f"{TOP_UPS}/{answer.json()['id']}"
        return answer.json()

    def dose(self, amount: float, extension: float, *, minutes: float, **values: Any) -> Any:
        """Record a dose and return the answer."""
        return self.sent("doses", the_look(extension, minutes=minutes, amount=amount, **values), 201)

    def look(self, extension: float, *, minutes: float, **values: Any) -> Any:
        """Record a look and return the answer."""
        return self.sent("looks", the_look(extension, minutes=minutes, **values), 201)

    def pause(self) -> Any:
        """Put the top-up aside."""
        return self.sent("pause", {}, 200, HTTP_IF_MATCH="*")

    def finish(self, note: str = "") -> Any:
        """End the top-up."""
        return self.sent("finish", {"note": note}, 200, HTTP_IF_MATCH="*")

    def sent(self, what: str, body: dict[str, Any], status: int, **headers: Any) -> Any:
        """Send something to the top-up and return the answer, which must have the status."""
        answer = self.caller.post(f"{self.address}/{what}", body, **headers)
        assert answer.status_code == status, answer.content
        return answer.json()
