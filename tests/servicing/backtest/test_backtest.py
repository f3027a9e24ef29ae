"""The backtest: what would have been told, as a file, by command and over HTTP."""

import csv
import io
import time
from collections.abc import Callable
from datetime import datetime, timedelta
from itertools import chain, pairwise, repeat
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from rest_framework.test import APIClient

from calculations.drift import assess, replay
from fleet.aircraft.models import Leg
from fleet.gear.installing import move_part
from fleet.gear.kinds import STRUT
from servicing.backtest.replaying import Told, chosen_settings, told
from servicing.drift.actions import sweep
from servicing.drift.gather import gather_struts
from servicing.drift.models import FindingChange
from servicing.drift.work_done import day_of
from servicing.readings.actions import add_strut_readings
from servicing.readings.entries import StrutEntry
from tests.builders.drift import a_leak, lengths_over_time, read_strut
from tests.builders.fleet import NOW, a_leg, a_type_sheet, an_aircraft, an_operator
from tests.builders.readings import Stand, a_stand

pytestmark = pytest.mark.django_db
Client = Callable[..., APIClient]
LOSING = a_leak(steady=30, losing=14, loss_in=0.03)
HEADER = (
    "aircraft,leg,opened_at,closed_at,level,finding,rate [in/month],rate_low,rate_high,"  # one column each
    "breach_on,breach_low,breach_high"
)


@pytest.fixture
def stand() -> Stand:
    """Return a club with one strut that loses and one that does not."""
    stand = a_stand()
    read_strut(stand, LOSING)
    read_strut(a_stand(stand.operator), a_leak(steady=44, losing=0, loss_in=0.0))
    return stand


def rows_in(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode())))


def all_told(stand: Stand, **chosen: float) -> list[Told]:
    return told(stand.operator.id, chosen_settings(stand.operator.id, **chosen))


def test_it_tells_what_sweeps_after_every_reading_told(stand: Stand) -> None:
    first = next(change for change in changes_lived(LOSING) if change.level != "none")

    (alert,) = all_told(stand)

    assert (alert.aircraft, alert.leg) == (stand.aircraft.registration, "left main")
    assert (alert.opened_at, alert.level, alert.finding) == (first.at, first.level, first.finding)
    assert alert.rate_in_per_month == pytest.approx(first.evidence["rate_in_per_month"], abs=1e-6)
    assert alert.breach_on == (first.evidence["breach_on"] and alert.breach_on)
    assert alert.closed_at is None


def changes_lived(lengths_in: list[float], **values: Any) -> list[FindingChange]:
    """Return the changes of finding of a club that sweeps after every reading, leaving out those of level alone."""
    lived = a_stand(an_operator())
    live_and_sweep(lived, lengths_over_time(lived.leg, lengths_in, **values))
    return rows_of_changes(lived)


def live_and_sweep(stand: Stand, entries: list[StrutEntry]) -> None:
    for entry in entries:
        add_strut_readings(actor=stand.actor, now=entry.taken_at, entries=[entry])
        sweep(now=entry.taken_at)


def move(stand: Stand, leg: Leg, at: datetime) -> None:
    move_part(actor=stand.actor, now=NOW, kind=STRUT, part_id=stand.strut.id, leg_id=leg.id, moved_at=at, reason="")


def rows_of_changes(stand: Stand) -> list[FindingChange]:
    rows = FindingChange.objects.of(stand.operator).order_by("at", "id")
    return [row for row in rows if row.finding != row.finding_before]


@pytest.mark.parametrize(
    ("lengths_in", "exercised", "findings"),
    [
        ([*a_leak(8, 0, 0.0), 5.6, *a_leak(8, 0, 0.0)], True, {"suspect_reading"}),
        ([*[5.45] * 12, *[4.5] * 3], True, {"standing_high", "losing_charge"}),
        ([*[3.6] * 9, 4.6, *[3.6] * 4], True, {"standing_low"}),
        ([4.5 + 0.5 * (-1) ** number for number in range(24)], False, {"sticky"}),
    ],
)
def test_it_tells_of_struts_out_of_limits_that_stick_and_of_readings_to_repeat(
    lengths_in: list[float], exercised: bool, findings: set[str]
) -> None:
    stand = a_stand()
    read_strut(stand, lengths_in, exercised=exercised)
    changes = changes_lived(lengths_in, exercised=exercised)
    ends = {change.at: following.at for change, following in pairwise(changes)}

    rows = all_told(stand)

    assert [(one.opened_at, one.finding, one.level, one.closed_at) for one in rows] == [
        (change.at, change.finding, change.level, ends.get(change.at)) for change in changes if change.level != "none"
    ]
    assert {one.finding for one in rows} == findings


@pytest.mark.parametrize(
    ("before_in", "after_in", "findings"),
    [
        ([3.7, 3.72, 3.68] * 4, [2.45, 2.47, 2.43] * 3, ["standing_low"]),
        ([5.4, 5.42, 5.38] * 4, [3.9, 3.92, 3.88] * 3, ["standing_high"]),
        ([4.5, 4.52, 4.48] * 4, [1.8, 1.82, 1.78] * 3, ["standing_low"]),
        ([3.7, 3.72, 3.68] * 4, [1.8, 1.82, 1.78] * 3, ["standing_low", "standing_low"]),
        (LOSING, [3.25, 3.27, 3.23] * 3, ["losing_charge"]),
    ],
)
def test_after_a_move_each_stay_is_told_as_the_limits_of_its_own_leg_had_it(
    before_in: list[float], after_in: list[float], findings: list[str]
) -> None:
    stand = a_stand()
    wide = {"target_extension_in": 3.25, "low_limit_in": 2.25, "high_limit_in": 4.75, "reference_load_lbf": 500.0}
    sheet = a_type_sheet(stand.operator, reference_fuel_lb=200.0, load_per_fuel=0.41, **wide)
    other = a_leg(stand.operator, aircraft=an_aircraft(stand.operator), sheet=sheet)
    at = NOW - timedelta(days=50)
    live_and_sweep(stand, lengths_over_time(stand.leg, before_in, until=at))
    on_first = len(rows_of_changes(stand))
    move(stand, other, at)
    live_and_sweep(stand, lengths_over_time(other, after_in))
    changes = rows_of_changes(stand)
    ends = {change.at: following.at for change, following in pairwise(changes)}
    lived = [
        (change.at, ends.get(change.at), change.finding, change.level, leg.aircraft.registration)
        for change, leg in zip(changes, chain([stand.leg] * on_first, repeat(other)), strict=False)
        if change.level != "none"
    ]

    rows = sorted(all_told(stand), key=lambda one: one.opened_at)

    assert [one.finding for one in rows] == findings
    assert [(one.opened_at, one.closed_at, one.finding, one.level, one.aircraft) for one in rows] == lived


def test_a_breach_is_dated_by_the_limit_of_the_leg_that_lost(stand: Stand) -> None:
    (before,) = all_told(stand)
    sheet = a_type_sheet(stand.operator, low_limit_in=2.0)
    other = a_leg(stand.operator, aircraft=an_aircraft(stand.operator), sheet=sheet)

    move(stand, other, NOW)

    assert all_told(stand) == [before]


def test_nothing_later_than_the_opening_is_known_at_it(stand: Stand) -> None:
    (alert,) = all_told(stand)
    gathered = gather_struts(stand.operator.id, [stand.strut.id])
    settings = chosen_settings(stand.operator.id)
    late = assess(gathered.histories, now_day=day_of(NOW), settings=settings)

    assert alert.opened_at < NOW - timedelta(days=5)
    assert alert.rate_in_per_month != pytest.approx(-float(late.loss_in_per_month[0]), abs=1e-9)


def test_a_more_careful_threshold_tells_no_later(stand: Stand) -> None:
    (calm,) = all_told(stand, false_alarms_per_year=0.005)
    (careful,) = all_told(stand, false_alarms_per_year=0.5)

    assert careful.opened_at < calm.opened_at


def test_a_replay_costs_about_one_sweep_whatever_the_number_of_readings() -> None:
    stand = a_stand()
    for _ in range(30):
        read_strut(a_stand(stand.operator), a_leak(steady=150, losing=0, loss_in=0.0), days_apart=2.0)
    read_strut(stand, LOSING)
    ids = list({one.strut_id for one in stand.strut.installations.model.objects.of(stand.operator)})
    histories = gather_struts(stand.operator.id, ids).histories
    settings = chosen_settings(stand.operator.id)

    def fastest(work: Callable[[], Any]) -> float:
        times = []
        for _ in range(3):
            start = time.process_time()
            work()
            times.append(time.process_time() - start)
        return min(times)

    once = fastest(lambda: assess(histories, now_day=day_of(NOW), settings=settings))
    assert fastest(lambda: replay(histories, settings)) < 4 * once  # reading by reading it would be 150 times


def test_the_command_writes_the_file(stand: Stand, tmp_path: Path, capsys: Any) -> None:
    out = tmp_path / "backtest.csv"

    call_command("backtest", "--operator", stand.operator.name, "--out", str(out))

    assert out.read_text().splitlines()[0] == HEADER
    (row,) = rows_in(out.read_bytes())
    assert (row["finding"], float(row["rate [in/month]"]) < 0, row["closed_at"]) == ("losing_charge", True, "")
    assert "1 findings written" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--operator", "No such club", "--out", "-"], "no operator"),
        (["--operator", "{name}", "--out", "-", "--notice-days", "900"], "notice_days"),
        (["--operator", "{name}", "--out", "/nowhere/at/all.csv"], "cannot write"),
    ],
)
def test_the_command_says_in_one_line_what_is_wrong(stand: Stand, options: list[str], words: str) -> None:
    with pytest.raises(CommandError, match=words):
        call_command("backtest", *(option.format(name=stand.operator.name) for option in options))


def test_the_endpoint_answers_the_same_file(stand: Stand, client_of: Client) -> None:
    answer = client_of(stand.operator).get("/api/v1/backtest.csv")

    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    content = b"".join(answer.streaming_content)  # type: ignore[attr-defined]
    assert content.decode().splitlines()[0] == HEADER
    assert [row["aircraft"] for row in rows_in(content)] == [stand.aircraft.registration]


def test_other_thresholds_can_be_tried_and_wild_ones_are_refused(stand: Stand, client_of: Client) -> None:
    client = client_of(stand.operator)
    few = b"".join(client.get("/api/v1/backtest.csv?false_alarms_per_strut_year=0.005").streaming_content)  # type: ignore[attr-defined]
    many = b"".join(client.get("/api/v1/backtest.csv?false_alarms_per_strut_year=0.5").streaming_content)  # type: ignore[attr-defined]
    refused = client.get("/api/v1/backtest.csv?false_alarms_per_strut_year=7&notice_days=-1")

    assert rows_in(few)[0]["opened_at"] > rows_in(many)[0]["opened_at"]
    assert refused.status_code == 400
    assert {fault["field"] for fault in refused.json()["errors"]} == {"false_alarms_per_strut_year", "notice_days"}


def test_it_is_for_coordinators_and_of_their_own_club(stand: Stand, client_of: Client) -> None:
    stranger = client_of(an_operator()).get("/api/v1/backtest.csv")

    assert client_of(stand.operator, "mechanic").get("/api/v1/backtest.csv").status_code == 403
    assert rows_in(b"".join(stranger.streaming_content)) == []  # type: ignore[attr-defined]
