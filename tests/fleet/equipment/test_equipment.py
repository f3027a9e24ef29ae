"""Equipment: figures by kind, gauges overdue, cylinder pressures logged."""

from datetime import timedelta

import pytest
from django.core.cache import cache
from django.db import DatabaseError, connection, transaction

from fleet.equipment.models import Equipment
from fleet.equipment.queries import calibration_overdue
from tests.builders.fleet import NOW, an_operator, next_id
from tests.builders.work import equipment
from tests.servicing.callers import caller_of

pytestmark = pytest.mark.django_db
ADDRESS = "/api/v1/equipment"


@pytest.fixture(autouse=True)
def _fresh_limits():
    cache.clear()


@pytest.fixture
def club():
    return an_operator()


@pytest.mark.parametrize(
    ("kind", "needed"),
    [
        ("multiplier pump", {"area_ratio", "drive_pressure"}),
        ("nitrogen cylinder", {"water_volume"}),
        ("shop compressor", {"drive_pressure"}),
        ("gauge", {"calibration_due"}),
        ("hand pump", set()),
    ],
)
def test_each_kind_needs_its_own_figures(club, kind, needed):
    answer = caller_of(club).post(ADDRESS, {"name": "one", "kind": kind})

    if needed:
        assert answer.status_code == 422
        assert {error["field"] for error in answer.json()["errors"]} == needed
    else:
        assert answer.status_code == 201


def test_a_figure_of_another_kind_is_refused(club):
    answer = caller_of(club).post(
        ADDRESS, {"name": "gauge 1", "kind": "gauge", "calibration_due": "2027-01-31", "area_ratio": 4}
    )

    assert [(error["field"], error["code"]) for error in answer.json()["errors"]] == [("area_ratio", "not_of_kind")]


def test_equipment_is_changed_only_as_it_was_read(club):
    caller = caller_of(club)
    added = caller.post(ADDRESS, {"name": "cylinder", "kind": "nitrogen cylinder", "water_volume": "11.1 L"})
    address = f"{ADDRESS}/{added.json()['id']}"

    assert caller.patch(address, {"name": "cylinder 1"}).status_code == 428
    changed = caller.patch(address, {"hose_volume": "2 in3"}, HTTP_IF_MATCH=added["ETag"])
    assert changed.status_code == 200, changed.content
    assert changed.json()["hose_volume"]["value"] == pytest.approx(2.0)
    assert caller.patch(address, {"name": "cylinder 1"}, HTTP_IF_MATCH=added["ETag"]).status_code == 412


def test_a_name_in_use_is_refused_and_free_again_once_retired(club):
    caller = caller_of(club)
    first = caller.post(ADDRESS, {"name": "pump", "kind": "hand pump"})

    assert caller.post(ADDRESS, {"name": "pump", "kind": "hand pump"}).status_code == 409
    retired = caller.patch(f"{ADDRESS}/{first.json()['id']}", {"retired": True}, HTTP_IF_MATCH=first["ETag"])
    assert retired.json()["retired_at"]
    second = caller.post(ADDRESS, {"name": "pump", "kind": "hand pump"})
    assert second.status_code == 201
    assert [row["id"] for row in caller.get(ADDRESS).json()["items"]] == [second.json()["id"]]
    back = caller.patch(f"{ADDRESS}/{first.json()['id']}", {"retired": False}, HTTP_IF_MATCH=retired["ETag"])
    assert back.status_code == 409


def test_a_gauge_is_overdue_from_the_day_after_its_date(club):
    gauge = equipment(club, "gauge", calibration_due=NOW.date())
    pump = equipment(club, "hand pump")

    assert not calibration_overdue(gauge, NOW.date())
    assert calibration_overdue(gauge, NOW.date() + timedelta(days=1))
    assert not calibration_overdue(pump, NOW.date())


def test_cylinder_pressures_are_logged_once_and_never_rewritten(club):
    cylinder = equipment(club, "nitrogen cylinder", water_volume_in3=677.0)
    caller = caller_of(club, "member")
    address = f"{ADDRESS}/{cylinder.id}/pressures"
    sent = {"taken_at": NOW.isoformat(), "pressure": "2000 psi", "temperature": "70 °F"}

    codes = [caller.post(address, sent).status_code for _ in range(3)]
    other = caller.post(address, {**sent, "pressure": "1500 psi"})
    later = caller.post(address, {**sent, "taken_at": (NOW + timedelta(hours=1)).isoformat(), "pressure": "120 bar"})

    assert codes == [201, 200, 200]
    assert other.status_code == 409
    assert later.status_code == 201
    shown = caller.get(address).json()["items"]
    assert [row["pressure"]["value"] for row in shown] == [pytest.approx(1740.45, abs=0.01), 2000.0]
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("UPDATE fleet_cylinder_pressure SET pressure_psig = 1")


def test_only_a_cylinder_has_a_pressure_log(club):
    pump = equipment(club, "hand pump")

    answer = caller_of(club).post(
        f"{ADDRESS}/{pump.id}/pressures", {"taken_at": NOW.isoformat(), "pressure": "100 psi"}
    )

    assert (answer.status_code, answer.json()["code"]) == (422, "not_a_cylinder")


def test_strangers_see_nothing_and_members_may_not_change(club):
    pump = equipment(club, "hand pump")

    assert caller_of(an_operator()).get(f"{ADDRESS}/{pump.id}").status_code == 404
    assert caller_of(club, "member").post(ADDRESS, {"name": "x", "kind": "hand pump"}).status_code == 403
    assert caller_of(club, "member").get(f"{ADDRESS}/{pump.id}").status_code == 200


def test_an_id_may_be_chosen_and_sent_again(club):
    caller = caller_of(club)
    sent = {"id": str(next_id()), "name": "pump", "kind": "hand pump", "stroke_volume": "16 in3", "stages": 3}

    assert [caller.post(ADDRESS, sent).status_code for _ in range(2)] == [201, 200]
    assert Equipment.objects.of(club).count() == 1
