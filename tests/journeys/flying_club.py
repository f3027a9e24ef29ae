"""A club that uses nothing but the API, at times that the journey chooses."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from typing import Any

import time_machine
from rest_framework.test import APIClient

from calculations.strut import StrutFigures
from servicing import tasks
from tests.builders.fleet import LONG_AGO, NOW, a_person, a_token, an_operator
from tests.journeys.live_strut import LiveStrut

API = "/api/v1"
NOSE_FIGURES = {
    "target_extension": "3 1/4 in",
    "low_limit": "2 3/4 in",
    "high_limit": "3 3/4 in",
    "full_extension": "8 in",
    "reference_load": "560 lbf",
    "tube_diameter": "2 in",
    "gas_column": "2 in",
    "fluid_volume": "20 in3",
    "load_per_fuel": 0.16,
    "load_per_occupant": 0.24,
}
MAIN_FIGURES = {
    "target_extension": "4 1/2 in",
    "low_limit": "4 in",
    "high_limit": "5 in",
    "full_extension": "9 in",
    "reference_load": "800 lbf",
    "tube_diameter": "2.375 in",
    "gas_column": "2 in",
    "fluid_volume": "40 in3",
    "load_per_fuel": 0.41,
    "load_per_occupant": 0.38,
}
NOSE = StrutFigures(2.0, 2.0, 20.0, 8.0, 560.0)
MAIN = StrutFigures(2.375, 2.0, 40.0, 9.0, 800.0)


class FlyingClub:
    """A club with aircraft, added over HTTP by its coordinator; everything else is done by its mechanic."""

    def __init__(self) -> None:
        self.now = NOW
        self.operator = an_operator(jurisdiction="us")
        self._coordinator = _caller(self.operator, "coordinator")
        self.mechanic = _caller(
            self.operator, "mechanic", name="M. Mechanic", certificate_kind="mechanic", certificate_number="0000000"
        )
        self.sheets = {
            name: self.manage("type-sheets", name="Example trainer", position=name, **COMMON, **figures)["id"]
            for name, figures in (("nose", NOSE_FIGURES), ("main", MAIN_FIGURES))
        }

    def aircraft(self, registration: str) -> dict[str, Any]:
        """Add an aircraft with struts and tyres on nose and left main; return it with its legs by position."""
        legs = [
            {
                "position": position,
                "type_sheet": self.sheets["nose" if position == "nose" else "main"],
                "strut": {"serial_number": f"{registration} {position}"},
                "tyre": {"serial_number": f"{registration} {position}", "size": "6.00-6"},
                "installed_at": LONG_AGO.isoformat(),
            }
            for position in ("nose", "left main")
        ]
        added = self.manage("aircraft", registration=registration, type_name="Example trainer", legs=legs)
        return {**added, "legs": {leg["position"]: leg for leg in added["legs"]}}

    def manage(self, path: str, **body: Any) -> Any:
        """POST as the coordinator."""
        return self._checked(self._coordinator, "post", path, body, {})

    def post(self, path: str, body: Any = None, **headers: str) -> Any:
        """POST as the mechanic and return the body of the answer, which must be a success."""
        return self._checked(self.mechanic, "post", path, body, headers)

    def patch(self, path: str, body: Any, etag: str) -> Any:
        """PATCH as the mechanic."""
        return self._checked(self.mechanic, "patch", path, body, {"If-Match": etag})

    def get(self, path: str, **query: str) -> Any:
        """GET as the mechanic."""
        with self.clock():
            answer = self.mechanic.get(f"{API}/{path}", query)
        assert answer.status_code == 200, answer.content
        return answer.json()

    def etag(self, path: str) -> str:
        """Return the tag of the state that one is about to change."""
        with self.clock():
            return str(self.mechanic.get(f"{API}/{path}")["ETag"])

    def later(self, **distance: float) -> None:
        """Let time pass."""
        self.now += timedelta(**distance)

    def night(self) -> None:
        """Let the workers do what waits."""
        with self.clock():
            tasks.nightly_sweep()
            tasks.handle_waiting_changes()

    def look(self, strut: LiveStrut, exercised: str = "rocked", **values: Any) -> dict[str, Any]:
        """Exercise a strut and return the body of a look at it, now."""
        strut.exercise(exercised)
        return {
            "at": self.now.isoformat(),
            "extension": strut.ruler(),
            "exercised": exercised,
            "temperature": f"{strut.temperature_f} degF",
            "fuel": "200 lb",
            **values,
        }

    def read(self, leg: dict[str, Any], strut: LiveStrut, *, exercised: str = "flown", **values: Any) -> Any:
        """Take a reading of a strut."""
        strut.exercise(exercised)
        return self.post(
            "readings",
            {
                "leg": leg["id"],
                "taken_at": self.now.isoformat(),
                "extension": strut.ruler(),
                "exercised": exercised != "not",
                "temperature": f"{strut.temperature_f} degF",
                "fuel": "200 lb",
                **values,
            },
        )

    def standing(self, leg: dict[str, Any]) -> Any:
        """Return how the strut of a leg stands."""
        return self.get(f"struts/{leg['strut']['id']}/standing")

    @contextmanager
    def clock(self) -> Iterator[None]:
        """Let the club's time be everyone's."""
        with time_machine.travel(self.now, tick=False):
            yield

    def _checked(self, client: APIClient, method: str, path: str, body: Any, headers: dict[str, str]) -> Any:
        named = {f"HTTP_{name.upper().replace('-', '_')}": value for name, value in headers.items()}
        with self.clock():
            answer = getattr(client, method)(f"{API}/{path}", body or {}, **named)
        assert answer.status_code in (200, 201), answer.content
        return answer.json()


COMMON = {
    "manual_reference": "Example maintenance manual, chapter 32",
    "manual_revision": "B",
    "reference_temperature": "70 degF",
    "reference_fuel": "200 lb",
    "reference_occupants": "0 lb",
    "fluid": "MIL-PRF-5606",
    "tyre_size": "6.00-6",
    "tyre_service_pressure": "30 psi",
    "tyre_wear_limit": "1/16 in",
}


def minutes_later(moment: datetime, minutes: float) -> datetime:
    """Return a moment some minutes later."""
    return moment + timedelta(minutes=minutes)


def _caller(operator: Any, role: str, **person: Any) -> APIClient:
    _, secret = a_token(a_person(operator, role, **person))
    client = APIClient()
    client.credentials(HTTP_AUTHORIZATION=f"Bearer {secret}")
    return client
