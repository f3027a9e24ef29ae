"""Files come in: all or nothing, once, and a dead worker costs nothing."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.aircraft.models import Aircraft, Leg, TypeSheet
from fleet.audit.models import AuditEntry
from fleet.gear.models import StrutInstallation, TyreInstallation
from fleet.people.actor import ForbiddenError
from fleet.people.models import Role
from fleet.refusals import Refused
from servicing.exchange import actions
from servicing.exchange.actions import ClaimLostError, run_import, run_waiting_imports, start_import
from servicing.exchange.models import Import, ImportState
from servicing.news.models import PartNews
from servicing.readings.models import StrutReading, TyreReading
from servicing.usage.models import Usage
from servicing.work.models import Servicing
from tests.builders.files import READINGS_HEADER, a_file, faults_of, imported
from tests.builders.fleet import NOW, an_actor, an_operator
from tests.builders.readings import Stand, a_stand

pytestmark = pytest.mark.django_db


def reading_rows(stand: Stand, count: int) -> list[str]:
    start = NOW - timedelta(days=count)
    return [
        f"{stand.aircraft.registration},left main,{(start + timedelta(days=day)).isoformat()},"
        f"{4.25 + day % 4 / 16},{40 + day % 30},{150 + day % 50},{'yes' if day % 3 else 'no'}"
        for day in range(count)
    ]


def test_a_file_of_readings_is_stored_corrected_and_marked_as_news() -> None:
    stand = a_stand()

    done = imported(stand.actor, "readings", a_file(READINGS_HEADER, reading_rows(stand, 40)))

    assert (done.state, done.rows_total, done.rows_saved, done.rows_known) == (ImportState.DONE, 40, 40, 0)
    assert done.content is None
    rows = StrutReading.objects.of(stand.operator)
    assert (rows.count(), set(rows.values_list("source", "strut"))) == (40, {("csv", stand.strut.id)})
    assert rows.order_by("taken_at").first().as_read["extension"] == {"value": 4.25, "unit": "in"}
    assert PartNews.objects.of(stand.operator).get(strut=stand.strut).arrived == 1


def test_the_same_file_again_changes_nothing_however_its_rows_are_ordered() -> None:
    stand = a_stand()
    rows = reading_rows(stand, 10)
    first = imported(stand.actor, "readings", a_file(READINGS_HEADER, rows))

    again = imported(stand.actor, "readings", a_file(READINGS_HEADER, [*rows[5:], *rows[:5]]))

    assert (first.rows_saved, again.rows_saved, again.rows_known) == (10, 0, 10)
    assert StrutReading.objects.of(stand.operator).count() == 10
    assert PartNews.objects.of(stand.operator).get(strut=stand.strut).arrived == 1


def test_rows_that_say_the_same_are_counted_not_merged() -> None:
    stand = a_stand()
    row = reading_rows(stand, 1)[0]
    imported(stand.actor, "readings", a_file(READINGS_HEADER, [row, row]))

    again = imported(stand.actor, "readings", a_file(READINGS_HEADER, [row, row, row]))

    assert (again.rows_saved, again.rows_known) == (1, 2)


def test_all_or_nothing_with_each_row_named() -> None:
    stand = a_stand()
    rows = reading_rows(stand, 5)
    rows[1] = rows[1].replace("left main", "nose")
    rows[3] = rows[3].replace(stand.aircraft.registration, "XX-NONE")
    rows.append(f"{stand.aircraft.registration},left main,2019-01-01T00:00:00Z,4,40,150,yes")
    rows.append(f"{stand.aircraft.registration},left main,{NOW.isoformat()},19,40,150,yes")

    done = imported(stand.actor, "readings", a_file(READINGS_HEADER, rows))

    assert faults_of(done) == [
        (3, "leg", "unknown_leg"),
        (5, "aircraft", "unknown_aircraft"),
        (7, "taken_at", "no_part_installed"),
        (8, "extension", "beyond_tube"),
    ]
    assert (done.state, done.faults_total, done.rows_saved) == (ImportState.REFUSED, 4, 0)
    assert not StrutReading.objects.of(stand.operator).exists()


def test_good_rows_are_kept_when_asked_for() -> None:
    stand = a_stand()
    rows = reading_rows(stand, 5)
    rows[1] = rows[1].replace("left main", "nose")

    done = imported(stand.actor, "readings", a_file(READINGS_HEADER, rows), keep_good_rows=True)

    assert (done.state, done.rows_saved, done.faults_total) == (ImportState.DONE, 4, 1)
    assert StrutReading.objects.of(stand.operator).count() == 4


def test_a_dry_run_finds_the_faults_and_stores_nothing() -> None:
    stand = a_stand()
    rows = reading_rows(stand, 5)
    imported(stand.actor, "readings", a_file(READINGS_HEADER, rows[:2]))

    done = imported(stand.actor, "readings", a_file(READINGS_HEADER, [*rows, "x"]), dry_run=True)

    assert (done.state, done.rows_saved, done.rows_known, done.faults_total) == (ImportState.DONE, 0, 2, 1)
    assert StrutReading.objects.of(stand.operator).count() == 2


def test_what_is_missing_is_said() -> None:
    stand = a_stand()
    header = "aircraft,leg,taken_at,extension [in]"

    done = imported(
        stand.actor, "readings", a_file(header, [",".join(row.split(",")[:4]) for row in reading_rows(stand, 3)])
    )

    assert [note.split(":")[0] for note in done.notes] == ["3 rows have no temperature", "3 rows have no fuel"]


def test_tyre_readings_servicings_and_usage_come_the_same_way() -> None:
    stand = a_stand()
    plane = stand.aircraft.registration
    files = {
        "tyre-readings": a_file(
            "aircraft,leg,taken_at,pressure [psi],temperature [degF],hot",
            [f"{plane},left main,2026-02-01T10:00:00Z,31,40,no", f"{plane},left main,2026-02-02T10:00:00Z,30,40,no"],
        ),
        "servicings": a_file(
            "aircraft,leg,done_at,work,extension_before [in],extension_after [in],strokes",
            [
                f"{plane},left main,2026-02-01T11:00:00Z,gas added,3 1/2,4.5,4",
                f"{plane},left main,2026-02-01T12:00:00Z,tyre inflated,,,",
            ],
        ),
        "usage": a_file("aircraft,ended_at,flights,landings,hours", [f"{plane},2026-02-01T15:00:00Z,2,5,1.8"]),
    }

    first = [imported(stand.actor, kind, content) for kind, content in files.items()]
    again = [imported(stand.actor, kind, content) for kind, content in files.items()]

    assert [(done.state, done.faults) for done in first + again] == [(ImportState.DONE, [])] * 6
    assert [(done.rows_saved, done.rows_known) for done in first] == [(2, 0), (2, 0), (1, 0)]
    assert [(done.rows_saved, done.rows_known) for done in again] == [(0, 2), (0, 2), (0, 1)]
    assert TyreReading.objects.of(stand.operator).count() == 2
    assert Servicing.objects.of(stand.operator).get(work="gas added").extension_before_in == 3.5
    assert Usage.objects.of(stand.operator).get().landings == 5


@pytest.mark.parametrize(
    ("kind", "header", "row"),
    [
        ("usage", "aircraft,ended_at", "{plane},{when}"),
        ("servicings", "aircraft,leg,done_at,work", "{plane},left main,{when},cleaned"),
    ],
)
def test_each_row_is_audited_without_a_query_of_its_own(kind: str, header: str, row: str) -> None:
    stand = a_stand()
    moments = [(NOW - timedelta(hours=hours)).isoformat() for hours in range(400)]
    file = a_file(header, [row.format(plane=stand.aircraft.registration, when=when) for when in moments])

    with CaptureQueriesContext(connection) as queries:
        imported(stand.actor, kind, file)

    assert len(queries) < 100
    assert AuditEntry.objects.of(stand.operator).count() == len(moments) + 1


def test_faults_of_work_name_row_and_field() -> None:
    stand = a_stand()
    plane = stand.aircraft.registration

    done = imported(
        stand.actor,
        "servicings",
        a_file(
            "aircraft,leg,done_at,work,equipment",
            [
                f"{plane},left main,2026-02-01T11:00:00Z,gas added,",
                f"{plane},left main,2999-02-01T11:00:00Z,gas added,",
                f"{plane},left main,2026-02-01T11:00:00Z,painted,",
                f"{plane},left main,2026-02-01T11:00:00Z,gas added,no such pump",
            ],
        ),
    )

    assert faults_of(done) == [
        (3, "done_at", "in_the_future"),
        (4, "work", "unknown_choice"),
        (5, "equipment", "unknown_equipment"),
    ]


FLEET_HEADER = (
    "aircraft,type,leg,target_extension [in],low_limit [in],high_limit [in],full_extension [in],"
    "reference_load [lbf],load_per_fuel [lbf/lb],reference_fuel [lb],home_elevation [ft],tyre_size,"
    "tyre_service_pressure [psi],manual_reference,manual_revision"
)


def fleet_rows(registrations: list[str], kind: str = "Example trainer") -> list[str]:
    return [
        f'{plane},{kind},{leg},{target},{target - 0.5},{target + 0.5},8.5,700,0.3,240,1200,6.00-6,29,"Manual, 32",C'
        for plane in registrations
        for leg, target in (("nose", 3.25), ("left main", 4.5), ("right main", 4.5))
    ]


def test_one_file_sets_up_a_fleet_that_readings_can_be_taken_of() -> None:
    operator = an_operator()
    actor = an_actor(operator)

    done = imported(actor, "type-sheets", a_file(FLEET_HEADER, fleet_rows(["XX-A1", "XX-A2"])))
    again = imported(actor, "type-sheets", a_file(FLEET_HEADER, fleet_rows(["XX-A1", "XX-A2"])))
    readings = imported(
        actor, "readings", a_file(READINGS_HEADER, ["xx-a2,nose,2020-01-01T10:00:00Z,3 1/4,59,240,yes"])
    )

    assert (done.faults, done.rows_saved, again.rows_saved, again.rows_known) == ([], 6, 0, 6)
    assert (readings.faults, readings.rows_saved) == ([], 1)
    sheet = TypeSheet.objects.of(operator).get(position="main")
    assert (sheet.name, sheet.target_extension_in, sheet.manual_revision) == ("Example trainer", 4.5, "C")
    assert sheet.legs.count() == 4
    assert Aircraft.objects.of(operator).get(registration="XX-A1").home_elevation_ft == 1200.0
    assert (StrutInstallation.objects.of(operator).count(), TyreInstallation.objects.of(operator).count()) == (6, 6)
    assert any("installed_at" in note for note in done.notes)


def test_a_fleet_file_may_leave_type_and_high_limit_out_and_says_what_it_took() -> None:
    actor = an_actor(an_operator())
    header = "aircraft,leg,target_extension [in],low_limit [in]"
    rows = [f"XX-B{number},{leg},4.5,4" for number in (1, 2) for leg in ("left main", "right main")]

    done = imported(actor, "type-sheets", a_file(header, rows))
    again = imported(actor, "type-sheets", a_file(header, rows))

    assert (done.faults, done.rows_saved, again.rows_known) == ([], 4, 4)
    sheet = TypeSheet.objects.of(actor.operator_id).get()
    assert (sheet.name, sheet.high_limit_in) == ("type of XX-B1", 5.0)
    assert any("4 rows have no high_limit" in note for note in done.notes)


def test_a_fleet_file_that_contradicts_itself_or_what_stands_is_refused() -> None:
    actor = an_actor(an_operator())
    imported(actor, "type-sheets", a_file(FLEET_HEADER, fleet_rows(["XX-C1"])))
    new = fleet_rows(["XX-C2"], "Other type")

    done = imported(
        actor,
        "type-sheets",
        a_file(
            FLEET_HEADER,
            [
                fleet_rows(["XX-C1"])[0].replace("3.25", "3.5"),
                *new,
                new[1],
                new[2].replace("XX-C2", "XX-C3").replace(",700,", ",800,"),
                new[0].replace("XX-C2", "XX-C4").replace("2.75", "9"),
            ],
        ),
    )

    assert faults_of(done) == [
        (2, "type", "known_otherwise"),
        (6, "leg", "leg_twice"),
        (7, "type", "other_figures"),
        (8, "low_limit", "limits_out_of_order"),
    ]
    assert Leg.objects.of(actor.operator_id).count() == 3


@pytest.mark.parametrize(
    ("kind", "role"),
    [("readings", Role.READER), ("servicings", Role.MEMBER), ("type-sheets", Role.MECHANIC)],
)
def test_each_kind_needs_its_role(kind: str, role: str) -> None:
    actor = an_actor(an_operator(), role)

    with pytest.raises(ForbiddenError):
        start_import(actor=actor, now=NOW, kind=kind, content=b"aircraft")


def test_too_many_rows_are_refused_before_anything_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(actions, "MOST_ROWS", 3)
    stand = a_stand()

    with pytest.raises(Refused) as refusal:
        imported(stand.actor, "readings", a_file(READINGS_HEADER, reading_rows(stand, 4)))

    assert [fault.code for fault in refusal.value.faults] == ["too_many_rows"]


class StoppedClock:
    """A clock that is set by hand."""

    def __init__(self) -> None:
        self.now = NOW

    def __call__(self) -> datetime:
        return self.now


class Killed(BaseException):
    """Stands for kill -9."""


def kill_at(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    def die(*_: Any, **__: Any) -> None:
        raise Killed

    monkeypatch.setattr(f"servicing.exchange.reading_rows.StrutReadingRows.{name}", die)


@pytest.mark.parametrize("where", ["keep", "check", "save"])
def test_a_worker_that_dies_is_followed_by_another_and_nothing_is_doubled(
    monkeypatch: pytest.MonkeyPatch, where: str
) -> None:
    stand, clock = a_stand(), StoppedClock()
    started = start_import(
        actor=stand.actor, now=NOW, kind="readings", content=a_file(READINGS_HEADER, reading_rows(stand, 6))
    )
    with monkeypatch.context() as dying:
        kill_at(dying, where)
        with pytest.raises(Killed):
            run_import(import_id=started.id, clock=clock)

    too_early = run_waiting_imports(clock=clock)
    clock.now += timedelta(minutes=2)
    counts = [run_waiting_imports(clock=clock), run_waiting_imports(clock=clock)]

    assert (too_early, counts) == (0, [1, 0])
    done = Import.objects.of(stand.operator).get()
    assert (done.state, done.rows_saved) == (ImportState.DONE, 6)
    assert StrutReading.objects.of(stand.operator).count() == 6


def test_a_file_on_which_every_worker_dies_is_given_up_and_told(monkeypatch: pytest.MonkeyPatch) -> None:
    stand, clock = a_stand(), StoppedClock()
    poisoned = start_import(
        actor=stand.actor, now=NOW, kind="readings", content=a_file(READINGS_HEADER, reading_rows(stand, 6))
    )
    kill_at(monkeypatch, "save")
    for _ in range(actions.MOST_ATTEMPTS):
        with pytest.raises(Killed):
            run_waiting_imports(clock=clock)
        clock.now += timedelta(minutes=2)

    assert [run_waiting_imports(clock=clock) for _ in range(2)] == [0, 0]

    given_up = Import.objects.of(stand.operator).get(pk=poisoned.id)
    assert (given_up.state, given_up.content, given_up.rows_saved) == (ImportState.FAILED, None, 0)
    assert given_up.finished_at == clock.now
    assert "failed 3 times by a fault of the service" in given_up.faults[0]["message"]
    assert not StrutReading.objects.of(stand.operator).exists()


def test_a_slow_worker_that_was_overtaken_stores_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    stand, clock = a_stand(), StoppedClock()
    started = start_import(
        actor=stand.actor, now=NOW, kind="readings", content=a_file(READINGS_HEADER, reading_rows(stand, 6))
    )
    check: Callable[[Any], None] = actions.IMPORTERS["readings"].check

    def overtaken(importer: Any) -> None:
        monkeypatch.setattr("servicing.exchange.reading_rows.StrutReadingRows.check", check)
        clock.now += timedelta(minutes=2)
        assert run_import(import_id=started.id, clock=clock)
        check(importer)

    monkeypatch.setattr("servicing.exchange.reading_rows.StrutReadingRows.check", overtaken)

    with pytest.raises(ClaimLostError):
        run_import(import_id=started.id, clock=clock)

    assert StrutReading.objects.of(stand.operator).count() == 6
    assert Import.objects.of(stand.operator).get().rows_saved == 6
