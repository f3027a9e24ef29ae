"""Files go out, and those of readings and work come in again without changing anything."""

import csv
import io
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from rest_framework.test import APIClient

from fleet.web.csv_cells import neutralise_formula
from servicing.alerts.models import Alert
from servicing.drift.models import StrutStanding
from servicing.exchange.export_columns import Out
from servicing.exchange.files_out import FILES
from servicing.readings.correcting import withdraw_strut_reading
from servicing.readings.models import StrutReading
from servicing.reinspection.models import Reinspection
from tests.builders.files import a_file, imported
from tests.builders.fleet import NOW, next_id
from tests.builders.readings import Stand, a_stand, a_strut_entry, a_strut_reading, a_tyre_reading, strut_readings

pytestmark = pytest.mark.django_db
ClientOf = Callable[..., APIClient]

HARMFUL = ["=1+1", "+1", "-1", "@now", "\tx", "'=1", "''=1", "＝1", "plain", "'quoted", 'say "so", twice', "a\nb", ""]


def exported(client: APIClient, name: str, **query: Any) -> bytes:
    answer = client.get(f"/api/v1/exports/{name}.csv", query)
    assert answer.status_code == 200, answer.content
    assert answer["Content-Type"].startswith("text/csv")
    return b"".join(answer.streaming_content)  # type: ignore[attr-defined]  # a stream


def rows_of(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode(), newline="")))


def a_stand_with_readings() -> Stand:
    stand = a_stand()
    strut_readings(
        stand,
        [
            a_strut_entry(
                stand.leg,
                3 + number / 16,
                taken_at=NOW - timedelta(days=number, microseconds=number),
                temperature_f=None if number % 3 else 30.5 + number,
                note=words,
                fluid_seen="wet" if number % 2 else "",
                observations=("bottoms in taxi", "valve bubbles") if number == 5 else (),
                exercised=bool(number % 2),
            )
            for number, words in enumerate(HARMFUL)
        ],
    )
    return stand


@pytest.mark.parametrize("units", ["us", "metric"])
def test_exported_readings_come_in_again_as_known(client_of: ClientOf, units: str) -> None:
    stand = a_stand_with_readings()
    content = exported(client_of(stand.operator), "readings", units=units)

    again = imported(stand.actor, "readings", content)

    assert (again.faults, again.rows_saved, again.rows_known) == ([], 0, len(HARMFUL))
    assert StrutReading.objects.of(stand.operator).count() == len(HARMFUL)


def test_the_unit_stands_in_the_header(client_of: ClientOf) -> None:
    stand = a_stand()
    a_strut_reading(stand, 4.5, temperature_f=59.0)
    client = client_of(stand.operator)

    us, metric = (rows_of(exported(client, "readings", units=units))[0] for units in ("us", "metric"))

    assert (us["extension [in]"], us["temperature [degF]"], us["fuel [lb]"]) == ("4.5", "59", "200")
    assert (metric["extension [mm]"], metric["temperature [degC]"]) == ("114.3", "15")
    assert (us["leg"], us["exercised"], us["taken_at"]) == ("left main", "yes", "2026-03-02T08:30:00.000000Z")
    assert us["observations"] == us["pressure [psi]"] == ""


def test_no_cell_is_run_as_a_formula(client_of: ClientOf) -> None:
    stand = a_stand_with_readings()

    notes = {row["note"] for row in rows_of(exported(client_of(stand.operator), "readings"))}

    assert notes == {neutralise_formula(words) for words in HARMFUL}
    assert neutralise_formula("=1+1") == "'=1+1"


def test_lists_and_what_no_longer_counts(client_of: ClientOf) -> None:
    stand = a_stand_with_readings()
    wrong = StrutReading.objects.of(stand.operator).order_by("taken_at")[0]
    withdraw_strut_reading(
        actor=stand.actor, now=NOW, reading_id=wrong.id, withdrawal_id=next_id(), reason="other aircraft"
    )

    rows = rows_of(exported(client_of(stand.operator), "readings"))

    assert len(rows) == len(HARMFUL) - 1
    assert str(wrong.id) not in {row["id"] for row in rows}
    assert {row["observations"] for row in rows} == {"", "bottoms in taxi; valve bubbles"}


def test_rows_can_be_chosen(client_of: ClientOf) -> None:
    stand = a_stand_with_readings()
    other = a_stand(stand.operator)
    a_strut_reading(other)
    client = client_of(stand.operator)

    mine = rows_of(exported(client, "readings", aircraft=other.aircraft.registration.lower()))
    recent = rows_of(exported(client, "readings", since=(NOW - timedelta(days=2)).isoformat()))

    assert [row["aircraft"] for row in mine] == [other.aircraft.registration]
    assert len(recent) == 3


def test_work_use_and_tyres_come_in_again_as_known(client_of: ClientOf) -> None:
    stand = a_stand()
    plane = stand.aircraft.registration
    a_tyre_reading(stand, 30.5, note="=x")
    imported(
        stand.actor,
        "servicings",
        a_file(
            "aircraft,leg,done_at,work,extension_before [in],strokes,note",
            [f"{plane},left main,2026-02-01T11:00:00Z,gas added,3 1/2,4,'=x"],
        ),
    )
    imported(
        stand.actor,
        "usage",
        a_file("aircraft,ended_at,flights,landings,hours", [f"{plane},2026-02-01T15:00:00Z,2,5,1.8"]),
    )
    client = client_of(stand.operator)

    again = [
        imported(stand.actor, kind, exported(client, kind, units="metric"))
        for kind in ("tyre-readings", "servicings", "usage")
    ]

    assert [(done.faults, done.rows_saved, done.rows_known) for done in again] == [([], 0, 1)] * 3


def test_standings_alerts_and_looks_go_out(client_of: ClientOf) -> None:
    stand = a_stand()
    StrutStanding.objects.create(
        operator=stand.operator, strut=stand.strut, finding="losing_gas", level="caution", extension_in=4.1,
        rate_in_per_month=-0.2, breach_on=date(2026, 4, 1), assessed_at=NOW,
    )  # fmt: skip
    Alert.objects.create(
        operator=stand.operator,
        leg=stand.leg,
        strut=stand.strut,
        finding="losing_gas",
        level="caution",
        opened_at=NOW,
    )
    Reinspection.objects.create(
        operator=stand.operator, leg=stand.leg, strut=stand.strut, reason="drift", look_for="gas at the valve",
        opened_at=NOW, counts_from=NOW, cause_id=next_id(), due_on=date(2026, 3, 9), due_landings=40,
    )  # fmt: skip
    client = client_of(stand.operator, "reader")

    (strut,) = rows_of(exported(client, "struts"))
    (alert,) = rows_of(exported(client, "alerts"))
    (look,) = rows_of(exported(client, "reinspections"))

    assert (strut["finding"], strut["extension [in]"], strut["rate [in/mo]"]) == ("losing_gas", "4.1", "-0.2")
    assert (strut["breach_on"], strut["serial_number"]) == ("2026-04-01", stand.strut.serial_number)
    assert (alert["level"], alert["closed_at"]) == ("caution", "")
    assert (look["due_on"], look["due_landings"], look["look_for"]) == ("2026-03-09", "40", "gas at the valve")


@pytest.mark.parametrize("name", sorted(FILES))
def test_a_stranger_gets_a_header_and_no_rows(client_of: ClientOf, name: str) -> None:
    a_stand_with_readings()

    assert rows_of(exported(client_of(a_stand().operator), name)) == [] or name == "struts"


def test_bad_filters_are_a_problem_not_a_file(client_of: ClientOf) -> None:
    answer = client_of(a_stand().operator).get("/api/v1/exports/readings.csv", {"since": "yesterday"})

    assert (answer.status_code, answer["Content-Type"]) == (400, "application/problem+json")


def test_a_column_says_its_unit_or_ratio() -> None:
    assert Out("load_per_fuel", "x", ratio="lbf/lb").header("us") == "load_per_fuel [lbf/lb]"
