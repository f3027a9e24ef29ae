"""A simulated fleet sent through the doors of the service: what is stored is what the computation says of the truth.

The simulator corrects with physics of its own, so the arrays compared share no code with the service but the drift
computation itself.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

import numpy as np
import pytest
from rest_framework.test import APIClient

from calculations.drift import FINDINGS, LOSSES, Assessments, Level, Readings, arrange, assess
from servicing.alerts.handling import handle_waiting_changes
from servicing.alerts.models import Alert
from servicing.drift.actions import sweep
from servicing.drift.models import StrutStanding
from servicing.drift.work_done import day_of
from servicing.readings.models import StrutReading
from tests.builders.fleet import NOW, an_operator
from tests.builders.readings import Stand, a_stand
from tests.simulator import MAIN, Fleet, Scenario, simulate
from tests.simulator.as_histories import struts_of, work_of

pytestmark = pytest.mark.django_db
Client = Callable[..., APIClient]

MONTHS = 12.0
FIRST_DAY = NOW - timedelta(days=366)
REFERENCE_FUEL_LB = 288.0
TYPE_SHEET = {
    "target_extension_in": MAIN.target_in,
    "low_limit_in": MAIN.target_in - 0.5,
    "high_limit_in": MAIN.target_in + 0.5,
    "full_extension_in": MAIN.full_extension_in,
    "tube_diameter_in": MAIN.tube_diameter_in,
    "gas_column_in": MAIN.gas_column_in,
    "fluid_volume_in3": MAIN.fluid_in3,
    "fluid_expansion_per_k": 8e-4,
    "reference_load_lbf": MAIN.reference_load_lbf,
    "reference_fuel_lb": REFERENCE_FUEL_LB,
    "load_per_fuel": MAIN.load_per_fuel,
}
READINGS_HEADER = "aircraft,leg,taken_at,extension [in],temperature [degF],fuel [lb],exercised"
LOST = {finding.value for finding in LOSSES}


@dataclass(frozen=True, slots=True)
class SentFleet:
    """One simulated fleet and the club that it was sent to; one stand for each of its struts."""

    fleet: Fleet
    stands: list[Stand]

    @property
    def possible(self) -> np.ndarray:
        """Say which readings the door lets in: none longer than the tube."""
        return np.asarray(self.fleet.raw_in <= MAIN.full_extension_in)

    def reading_rows(self) -> list[str]:
        fleet = self.fleet
        fuel = REFERENCE_FUEL_LB + fleet.load_offset_lbf / MAIN.load_per_fuel
        return [
            f"{self.stands[fleet.series[row]].aircraft.registration},left main,{moment(fleet.day[row])},"
            f"{fleet.raw_in[row]!s},{70.0 + fleet.temperature_offset_f[row]!s},{max(fuel[row], 0.0)!s},"
            f"{'yes' if fleet.exercised[row] else 'no'}"
            for row in np.flatnonzero(self.possible)
        ]

    def servicing_rows(self) -> list[str]:
        fleet = self.fleet
        work = np.where(fleet.service_added, "gas added", "gas released")
        return [
            f"{self.stands[series].aircraft.registration},left main,{moment(day)},{done}"
            for series, day, done in zip(fleet.service_series, fleet.service_day, work, strict=True)
        ]


def moment(day: float) -> str:
    return (FIRST_DAY + timedelta(days=float(day))).isoformat()


def a_club(fleet: Fleet) -> SentFleet:
    operator = an_operator()
    return SentFleet(fleet, [a_stand(operator, **TYPE_SHEET) for _ in range(fleet.scenario.struts)])


def send(client: APIClient, kind: str, header: str, rows: Sequence[str]) -> None:
    content = "\n".join([header, *rows]) + "\n"
    answer = client.post(f"/api/v1/imports?kind={kind}", content.encode(), content_type="text/csv")
    assert (answer.status_code, answer.json()["state"]) == (201, "done"), answer.content


def send_servicings(client: APIClient, club: SentFleet) -> None:
    send(client, "servicings", "aircraft,leg,done_at,work", club.servicing_rows())


def of_the_truth(club: SentFleet) -> Assessments:
    """Assess the simulator's own arrays, with the uncertainties that the service stated for each reading."""
    fleet, kept = club.fleet, club.possible
    number = {stand.strut.id: index for index, stand in enumerate(club.stands)}
    rows = StrutReading.objects.of(club.stands[0].operator).order_by("taken_at")
    stated = {
        (number[row.strut_id], round(day_of(row.taken_at), 6)): (row.temperature_sd_f, row.load_sd_lbf, row.scale_in)
        for row in rows
    }
    day = day_of(FIRST_DAY) + fleet.day[kept]
    sds = np.array([stated[int(s), round(d, 6)] for s, d in zip(fleet.series[kept], day, strict=True)])
    readings = Readings(
        fleet.series[kept], day, fleet.corrected_in[kept], fleet.raw_in[kept], fleet.temperature_offset_f[kept],
        fleet.load_offset_lbf[kept], fleet.exercised[kept], *sds.T,
    )  # fmt: skip
    work = work_of(fleet)
    work.day[:] += day_of(FIRST_DAY)
    return assess(arrange(readings, struts_of(fleet), work), now_day=day_of(NOW))


def standings(club: SentFleet) -> list[StrutStanding]:
    rows = {row.strut_id: row for row in StrutStanding.objects.of(club.stands[0].operator)}
    return [rows[stand.strut.id] for stand in club.stands]


def alerts(club: SentFleet) -> list[tuple[str, str] | None]:
    open_ones = Alert.objects.of(club.stands[0].operator).filter(closed_at__isnull=True)
    found = {row.strut_id: (row.finding, row.level) for row in open_ones}
    return [found.get(stand.strut.id) for stand in club.stands]


def told(row: StrutStanding) -> dict[str, Any]:
    """Return what a standing says, without ids."""
    aside = [one["reason"] for one in row.evidence["set_aside"]]
    values = {name: getattr(row, name) for name in ("finding", "level", "breach_low", "last_reading_at")}
    figures = {name: getattr(row, name) for name in ("extension_in", "rate_in_per_month", "rate_low", "rate_high")}
    return {**values, **figures, **row.evidence, "set_aside": aside}


@pytest.mark.parametrize("leak_in_per_month", [0.0, 0.3])
def test_what_is_stored_is_what_the_computation_says_of_the_truth(
    leak_in_per_month: float, client_of: Client
) -> None:
    scenario = Scenario(struts=8, months=MONTHS, leak_in_per_month=leak_in_per_month)
    club = a_club(simulate(scenario, seed=8108))
    client = client_of(club.stands[0].operator)
    send_servicings(client, club)
    send(client, "readings", READINGS_HEADER, club.reading_rows())

    sweep(now=NOW)
    handle_waiting_changes(now=NOW)

    expected, rows = of_the_truth(club), standings(club)
    findings = [FINDINGS[index].value for index in expected.finding]
    levels = [Level(level).name.lower() for level in expected.level]
    assert [(row.finding, row.level) for row in rows] == list(zip(findings, levels, strict=True))
    for name, wanted in (
        ("rate_in_per_month", -expected.loss_in_per_month),
        ("rate_low", -expected.loss_high),
        ("rate_high", -expected.loss_low),
        ("extension_in", expected.level_in),
    ):
        assert [getattr(row, name) for row in rows] == pytest.approx(wanted.tolist(), abs=0.02), name
    assert [row.evidence["readings_set_aside"] for row in rows] == expected.readings_set_aside.tolist()
    pairs = zip(findings, levels, strict=True)
    assert alerts(club) == [None if level == "none" else (finding, level) for finding, level in pairs]
    leaking = [row.finding in LOST for row in rows]
    assert leaking == [leak_in_per_month > 0.0] * len(rows)


def test_in_whatever_order_and_however_often_it_comes_the_end_is_the_same(client_of: Client) -> None:
    fleet = simulate(Scenario(struts=5, months=MONTHS, leak_in_per_month=0.2), seed=8109)
    prompt, muddled = a_club(fleet), a_club(fleet)
    client = client_of(prompt.stands[0].operator)
    send_servicings(client, prompt)
    send(client, "readings", READINGS_HEADER, prompt.reading_rows())
    sweep(now=NOW)

    client = client_of(muddled.stands[0].operator)
    rows = muddled.reading_rows()
    chance = random.Random(8110)  # noqa: S311  # an order, not a secret
    chance.shuffle(rows)
    quarter = len(rows) // 4
    for start in (2 * quarter, 0, 3 * quarter, quarter):
        end = len(rows) if start == 3 * quarter else start + quarter
        send(client, "readings", READINGS_HEADER, rows[start:end])
        sweep(now=NOW)
    send_servicings(client, muddled)  # written down long after
    send(client, "readings", READINGS_HEADER, rows[:quarter])  # and a file sent twice
    sweep(now=NOW)

    assert [told(row) for row in standings(muddled)] == [told(row) for row in standings(prompt)]
    assert StrutReading.objects.of(muddled.stands[0].operator).count() == len(rows)
