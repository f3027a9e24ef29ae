"""GET and PATCH /operator."""

from typing import Any

import pytest

from fleet.audit.models import AuditEntry
from fleet.operators.models import Operator
from tests.builders.fleet import an_operator
from tests.fleet.asking import faults, match, refused

URL = "/api/v1/operator"
pytestmark = pytest.mark.django_db


def test_the_settings_are_those_of_the_tokens_operator(operator: Operator, client_of: Any) -> None:
    an_operator()
    answer = client_of(operator, "reader").get(URL)
    assert answer.status_code == 200
    assert answer.json() == {
        "id": str(operator.pk),
        "name": operator.name,
        "unit_system": "us",
        "time_zone": "UTC",
        "jurisdiction": "other",
        "false_alarms_per_strut_year": 0.1,
        "notice_days": 30,
        "version": 1,
    }


def test_a_change_is_written_with_a_new_version_and_an_audit_entry(operator: Operator, client_of: Any) -> None:
    client = client_of(operator)
    tag = client.get(URL)["ETag"]
    answer = client.patch(URL, {"time_zone": "Europe/Lisbon", "notice_days": 14}, headers={"If-Match": tag})
    assert answer.status_code == 200
    operator.refresh_from_db()
    assert (operator.time_zone, operator.notice_days, operator.version) == ("Europe/Lisbon", 14, 2)
    entry = AuditEntry.objects.of(operator).get()
    assert (entry.action, entry.before, entry.after) == (
        "operator changed",
        {"time_zone": "UTC", "notice_days": 30},
        {"time_zone": "Europe/Lisbon", "notice_days": 14},
    )


def test_a_change_that_changes_nothing_writes_nothing(operator: Operator, client_of: Any) -> None:
    answer = client_of(operator).patch(URL, {"notice_days": 30}, headers=match())
    assert (answer.status_code, answer.json()["version"]) == (200, 1)
    assert not AuditEntry.objects.of(operator).exists()


def test_every_faulty_field_is_named(operator: Operator, client_of: Any) -> None:
    wrong = {
        "name": "",
        "unit_system": "nautical",
        "time_zone": "Nowhere/Else",
        "jurisdiction": "x",
        "false_alarms_per_strut_year": 0.51,
        "notice_days": 0,
        "version": 7,
    }
    assert faults(client_of(operator).patch(URL, wrong, headers=match())) == {
        ("name", "blank"),
        ("unit_system", "invalid_choice"),
        ("time_zone", "unknown"),
        ("jurisdiction", "invalid_choice"),
        ("false_alarms_per_strut_year", "max_value"),
        ("notice_days", "min_value"),
        ("version", "unknown_field"),
    }


@pytest.mark.parametrize("name", ["../../etc/passwd", "UTC\x00", "Europe", "/etc/localtime", "x" * 64])
def test_no_name_of_a_time_zone_reaches_outside_the_time_zone_database(
    operator: Operator, client_of: Any, name: str
) -> None:
    answer = client_of(operator).patch(URL, {"time_zone": name}, headers=match())
    assert answer.status_code == 400


def test_a_name_in_use_is_refused(operator: Operator, client_of: Any) -> None:
    answer = client_of(operator).patch(URL, {"name": an_operator().name}, headers=match())
    assert (*refused(answer), faults(answer)) == (409, "taken", {("name", "taken")})


def test_only_a_coordinator_changes_settings(operator: Operator, client_of: Any) -> None:
    assert refused(client_of(operator, "mechanic").patch(URL, {}, headers=match())) == (403, "role_too_low")


def test_a_stale_or_missing_tag_is_refused(operator: Operator, client_of: Any) -> None:
    client = client_of(operator)
    client.patch(URL, {"notice_days": 10}, headers=match())
    assert refused(client.patch(URL, {"notice_days": 20}, headers=match())) == (412, "stale_version")
    assert refused(client.patch(URL, {"notice_days": 20})) == (428, "if_match_required")
