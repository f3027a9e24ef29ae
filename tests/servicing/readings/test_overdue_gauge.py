"""A reading taken with a gauge past its calibration says so, and goes on saying what was true when it came in."""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction
from rest_framework.test import APIClient
from time_machine import travel

from fleet.equipment.models import Equipment
from servicing.readings.models import StrutReading, TyreReading
from tests.builders.files import a_file, imported
from tests.builders.readings import Stand, a_stand
from tests.builders.work import equipment

pytestmark = pytest.mark.django_db
ClientOf = Callable[..., APIClient]
DUE = "2026-02-20"
IN_TIME, ON_THE_DAY, TOO_LATE = "2026-02-10T09:00:00Z", "2026-02-20T09:00:00Z", "2026-02-21T09:00:00Z"
KINDS = (("readings", {"extension": "4 1/2 in", "pressure": "170 psi"}), ("tyre-readings", {"pressure": "31 psi"}))


@pytest.fixture
def stand() -> Stand:
    return a_stand()


@pytest.fixture
def gauge(stand: Stand) -> Equipment:
    return equipment(stand.operator, "gauge", name="Gauge 1", calibration_due=DUE)


@pytest.fixture
def caller(client_of: ClientOf, stand: Stand) -> APIClient:
    return client_of(stand.operator)


def read(caller: APIClient, stand: Stand, kind: str, taken_at: str, **values: Any) -> Any:
    measured = dict(KINDS)[kind]
    body = {"aircraft": str(stand.aircraft.id), "leg": "left main", "taken_at": taken_at, **measured, **values}
    answer = caller.post(f"/api/v1/{kind}", body)
    assert answer.status_code == 201, answer.content
    return answer.json()


def calibrated(caller: APIClient, gauge: Equipment, due: str, **values: str) -> None:
    answer = caller.patch(f"/api/v1/equipment/{gauge.id}", {"calibration_due": due, **values}, HTTP_IF_MATCH="*")
    assert answer.status_code == 200, answer.content


def marks(caller: APIClient, kind: str) -> list[bool]:
    rows = caller.get(f"/api/v1/{kind}").json()["items"]
    return [row["gauge_overdue"] for row in sorted(rows, key=lambda row: row["taken_at"])]


@pytest.mark.parametrize("kind", [kind for kind, _ in KINDS])
def test_it_is_marked_from_the_day_after_its_calibration_ran_out(
    caller: APIClient, stand: Stand, gauge: Equipment, kind: str
) -> None:
    answers = [read(caller, stand, kind, at, gauge="Gauge 1") for at in (IN_TIME, ON_THE_DAY, TOO_LATE)]

    assert [(answer["gauge"], answer["gauge_overdue"]) for answer in answers] == [
        (str(gauge.id), False),
        (str(gauge.id), False),
        (str(gauge.id), True),
    ]


def test_the_day_is_the_clubs_own(caller: APIClient, stand: Stand, gauge: Equipment) -> None:
    stand.operator.time_zone = "America/Denver"  # seven hours behind in February: still the day it is due
    stand.operator.save(update_fields=["time_zone"])

    evening = read(caller, stand, "readings", "2026-02-21T03:00:00Z", gauge="Gauge 1")
    with travel("2026-02-21T03:00:00Z", tick=False):
        shown = caller.get(f"/api/v1/equipment/{gauge.id}").json()

    assert (evening["gauge_overdue"], shown["calibration_overdue"]) == (False, False)


@pytest.mark.parametrize("kind", [kind for kind, _ in KINDS])
def test_a_reading_without_a_gauge_is_not_marked(
    caller: APIClient, stand: Stand, gauge: Equipment, kind: str
) -> None:
    answer = read(caller, stand, kind, TOO_LATE)

    assert (answer["gauge"], answer["gauge_overdue"]) == (None, False)


@pytest.mark.parametrize("kind", [kind for kind, _ in KINDS])
def test_a_calibration_entered_later_changes_no_mark_that_was_made_and_marks_none_after_it(
    caller: APIClient, stand: Stand, gauge: Equipment, kind: str
) -> None:
    for at in (IN_TIME, TOO_LATE):
        read(caller, stand, kind, at, gauge="Gauge 1")

    calibrated(caller, gauge, "2027-02-25")
    read(caller, stand, kind, "2026-02-26T09:00:00Z", gauge="Gauge 1")
    assert marks(caller, kind) == [False, True, False]

    calibrated(caller, gauge, "2026-01-01")  # found out to have been wrong all the time: nothing is rewritten
    assert marks(caller, kind) == [False, True, False]


@pytest.mark.parametrize("kind", [kind for kind, _ in KINDS])
def test_a_reading_that_arrives_after_the_renewal_is_marked_by_what_held_on_its_day(
    caller: APIClient, stand: Stand, gauge: Equipment, kind: str
) -> None:
    calibrated(caller, gauge, "2027-02-25", calibrated_on="2026-02-25")
    with travel("2027-02-20T09:00:00Z", tick=False):
        calibrated(caller, gauge, "2028-02-20", calibrated_on="2027-02-20")  # in time: no lapse

    days = ("2026-02-20", "2026-02-21", "2026-02-24", "2026-02-25", "2026-02-26")
    for day in days:
        read(caller, stand, kind, f"{day}T09:00:00Z", gauge="Gauge 1")

    assert marks(caller, kind) == [False, True, True, False, False]
    assert caller.get(f"/api/v1/equipment/{gauge.id}").json()["calibrated_on"] == "2027-02-20"


@pytest.mark.parametrize(
    ("kind", "header", "row", "model"),
    [
        (
            "readings",
            "aircraft,leg,taken_at,extension [in],temperature [degF],fuel [lb],exercised,pressure [psi],gauge",
            "4.5,70,200,yes,170,",
            StrutReading,
        ),
        ("tyre-readings", "aircraft,leg,taken_at,pressure [psi],gauge", "31,", TyreReading),
    ],
)
def test_rows_of_a_file_are_marked_by_their_own_days(
    stand: Stand, gauge: Equipment, kind: str, header: str, row: str, model: Any
) -> None:
    where = f"{stand.aircraft.registration},left main"
    rows = [f"{where},{at},{row}{name}" for at, name in ((IN_TIME, "gauge 1"), (TOO_LATE, "Gauge 1"))]
    rows.append(f"{where},2026-02-22T09:00:00Z,{row}")

    done = imported(stand.actor, kind, a_file(header, rows))

    assert (done.state, done.rows_saved) == ("done", 3)
    stored = model.objects.of(stand.operator).order_by("taken_at")
    assert list(stored.values_list("gauge_overdue", flat=True)) == [False, True, False]


@pytest.mark.parametrize("table", ["servicing_strut_reading", "servicing_tyre_reading"])
def test_the_database_lets_nobody_take_a_mark_away(
    caller: APIClient, stand: Stand, gauge: Equipment, table: str
) -> None:
    for kind, _ in KINDS:
        read(caller, stand, kind, TOO_LATE, gauge="Gauge 1")

    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(f"UPDATE {table} SET gauge_overdue = NOT gauge_overdue")
