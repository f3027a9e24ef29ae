"""Runs inside a process of an installation of its own: several callers of the API in threads that start together."""

import threading
from typing import Any

from django.conf import settings
from django.db import connection
from rest_framework.test import APIClient

from fleet.operators.models import Operator
from servicing.work.models import Servicing, TopUp, TopUpStep
from tests.builders.fleet import a_leg, a_person, a_strut, a_token, an_operator
from tests.builders.work import a_hand_pump

settings.ALLOWED_HOSTS.append("testserver")
ADDRESS = "/api/v1/top-ups"
DOSE_ID = "00000000-0000-4000-8000-00000000d05e"


class Scene:
    """A club with a strut, a pump and some mechanics."""

    def __init__(self) -> None:
        self.club: Operator = an_operator()
        self.leg = a_leg(self.club)
        a_strut(self.club, self.leg)
        self.pump = a_hand_pump(self.club, stroke_volume_in3=None)
        self.clients = [self._client() for _ in range(5)]

    def _client(self) -> APIClient:
        client = APIClient()
        client.credentials(HTTP_AUTHORIZATION=f"Bearer {a_token(a_person(self.club, 'mechanic'))[1]}")
        return client

    def start_body(self) -> dict[str, Any]:
        """Return what starts a top-up."""
        return {"leg": str(self.leg.id), "equipment": str(self.pump.id), "look": length("2.5 in")}

    def started(self) -> tuple[str, str]:
        """Start a top-up; return its address and tag."""
        answer = self.clients[0].post(ADDRESS, self.start_body())
        return f"{ADDRESS}/{answer.json()['id']}", answer["ETag"]

    def dosed(self) -> tuple[str, str]:
        """Start a top-up and give a dose; return where they go on, and where the dose is corrected."""
        address, _ = self.started()
        answer = self.clients[0].post(address + "/doses", length("3.6 in", 5, amount=4)).json()
        return address, f"/api/v1/top-up-steps/{answer['steps'][-1]['id']}/corrections"


def length(extension: str, minute: int = 0, **values: Any) -> dict[str, Any]:
    """Return the body of a look; with an amount, of a dose."""
    return {
        "at": f"2026-03-02T09:{30 + minute}:00Z",
        "extension": extension,
        "exercised": "rocked",
        "temperature": "70 degF",
        "fuel": "240 lb",
        **values,
    }


def at_once(calls: list[tuple[APIClient, str, dict[str, Any], dict[str, str]]]) -> list[list[Any]]:
    """Send all requests at the same moment, each on its own connection; return status and body of each."""
    ready = threading.Barrier(len(calls))
    answers: list[list[Any]] = [[]] * len(calls)

    def send(number: int) -> None:
        client, address, body, headers = calls[number]
        ready.wait(60)
        answer = client.post(address, body, **headers)
        answers[number] = [answer.status_code, answer.json()]
        connection.close()

    threads = [threading.Thread(target=send, args=(number,)) for number in range(len(calls))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(120)
    return answers


def state() -> dict[str, Any]:
    """Return what the database holds."""
    steps = TopUpStep.objects.across_operators().order_by("sequence")
    servicings = Servicing.objects.across_operators().filter(superseded=False)
    return {
        "top_ups": TopUp.objects.across_operators().count(),
        "amounts": list(steps.values_list("amount", flat=True)),
        "live": list(steps.filter(superseded=False, withdrawn=False).values_list("amount", flat=True)),
        "sequences": list(steps.values_list("sequence", flat=True)),
        "servicings": servicings.count(),
        "strokes": list(servicings.values_list("strokes", flat=True)),
    }
