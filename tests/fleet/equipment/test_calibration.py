"""A gauge's calibration: which days are refused, and how a wrong one is put right with the lapse that it made."""

from datetime import date

import pytest
from time_machine import travel

from fleet.audit.models import AuditEntry
from fleet.equipment.models import Equipment
from fleet.equipment.queries import calibration_overdue
from tests.builders.fleet import an_operator
from tests.builders.work import equipment
from tests.servicing.callers import caller_of

pytestmark = pytest.mark.django_db
ADDRESS = "/api/v1/equipment"
TODAY = "2026-03-02T09:30:00Z"


@pytest.fixture(autouse=True)
def _clock():
    with travel(TODAY, tick=False):
        yield


@pytest.fixture
def gauge():
    return equipment(an_operator(), "gauge", calibration_due="2026-02-20", calibrated_on="2025-02-20")


def changed(gauge, *, status=200, **values):
    answer = caller_of(gauge.operator).patch(f"{ADDRESS}/{gauge.id}", values, HTTP_IF_MATCH="*")
    assert answer.status_code == status, answer.content
    return answer.json()


def overdue_days(gauge, year=2026):
    """Return the days of a February and the days around it on which the gauge was overdue, as day.month."""
    gauge = Equipment.objects.of(gauge.operator).get(pk=gauge.pk)
    days = [date(year, 2, day) for day in range(15, 29)] + [date(year, 3, 1)]
    return [f"{day.day}.{day.month}" for day in days if calibration_overdue(gauge, day)]


def test_a_day_ahead_of_the_operators_own_is_refused(gauge):
    refused = changed(gauge, status=422, calibrated_on="2026-03-03", calibration_due="2027-03-03")
    assert [(error["field"], error["code"]) for error in refused["errors"]] == [("calibrated_on", "in_the_future")]

    gauge.operator.time_zone = "Pacific/Auckland"
    gauge.operator.save(update_fields=["time_zone"])
    with travel("2026-03-02T12:00:00Z", tick=False):  # an hour into the 3rd over there
        changed(gauge, calibrated_on="2026-03-03", calibration_due="2027-03-03")


@pytest.mark.parametrize("values", [{"calibrated_on": "2026-02-25"}, {"calibration_due": "2025-02-19"}])
def test_a_calibration_that_had_run_out_before_it_was_done_is_refused(gauge, values):
    refused = changed(gauge, status=422, **values)

    assert [(error["field"], error["code"]) for error in refused["errors"]] == [("calibrated_on", "after_due")]


def test_a_new_gauge_is_held_to_the_same(gauge):
    sent = {"name": "new", "kind": "gauge", "calibration_due": "2026-03-01", "calibrated_on": "2026-03-04"}

    refused = caller_of(gauge.operator).post(ADDRESS, sent)

    assert refused.status_code == 422
    assert {error["code"] for error in refused.json()["errors"]} == {"in_the_future", "after_due"}


def test_a_lapse_ends_with_the_day_that_is_put_right(gauge):
    changed(gauge, calibrated_on="2026-02-28", calibration_due="2027-02-28")
    assert overdue_days(gauge) == ["21.2", "22.2", "23.2", "24.2", "25.2", "26.2", "27.2"]

    changed(gauge, calibrated_on="2026-02-23")
    assert overdue_days(gauge) == ["21.2", "22.2"]

    changed(gauge, calibrated_on="2026-02-22", calibration_due="2027-02-22")
    assert overdue_days(gauge) == ["21.2"]

    changed(gauge, calibrated_on="2026-02-24")
    assert overdue_days(gauge) == ["21.2", "22.2", "23.2"]

    changed(gauge, calibrated_on="2026-02-19")
    assert overdue_days(gauge) == []


def test_a_day_put_right_makes_the_lapse_that_the_wrong_one_hid(gauge):
    changed(gauge, calibrated_on="2026-02-18", calibration_due="2027-02-18")
    assert overdue_days(gauge) == []

    changed(gauge, calibrated_on="2026-02-23")

    assert overdue_days(gauge) == ["21.2", "22.2"]


def test_a_day_that_is_said_after_the_due_date_makes_the_lapse(gauge):
    changed(gauge, calibration_due="2027-02-23")
    assert overdue_days(gauge) == []

    changed(gauge, calibrated_on="2026-02-23")
    assert overdue_days(gauge) == ["21.2", "22.2"]

    changed(gauge, calibration_due="2027-02-24")  # typed wrongly before
    changed(gauge, calibrated_on="2026-02-22")
    assert overdue_days(gauge) == ["21.2"]


def test_the_next_renewal_leaves_the_lapse_before_it(gauge):
    changed(gauge, calibrated_on="2026-02-23", calibration_due="2027-02-20")
    with travel("2027-03-02T09:30:00Z", tick=False):
        changed(gauge, calibrated_on="2027-02-22", calibration_due="2028-02-22", name="renamed")
        changed(gauge, calibrated_on="2027-02-23")
        changed(gauge, gauge_error="1 psi")

    assert overdue_days(gauge) == ["21.2", "22.2"]
    assert overdue_days(gauge, 2027) == ["21.2", "22.2"]


def test_the_audit_trail_keeps_what_each_change_made_of_the_lapses(gauge):
    changed(gauge, calibrated_on="2026-02-28", calibration_due="2027-02-28")
    changed(gauge, calibrated_on="2026-02-23")

    trail = AuditEntry.objects.of(gauge.operator).filter(subject_id=gauge.id).order_by("at", "id")
    kept = [(entry.before["calibration_renewals"], entry.after["calibration_renewals"]) for entry in trail]
    wrong, right = [["2026-02-20", "2026-02-28"]], [["2026-02-20", "2026-02-23"]]
    assert sorted(kept) == [([], wrong), (wrong, right)]
