"""Assessing struts from stored rows: what is found, and that how the rows came changes nothing."""

import random
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from fleet.gear.installing import move_part
from fleet.gear.kinds import STRUT
from fleet.gear.models import StrutInstallation
from servicing.drift.actions import assess_waiting_parts, sweep, sweep_night
from servicing.drift.models import FindingChange, StrutStanding
from servicing.drift.queries import strut_trend
from servicing.news.models import PartNews
from servicing.readings.actions import add_strut_readings
from servicing.readings.correcting import correct_strut_reading
from servicing.readings.entries import StrutEntry
from servicing.readings.recorrecting import renew_outdated
from servicing.work.actions import add_servicings
from servicing.work.models import Work
from tests.builders.drift import a_leak, lengths_over_time, read_strut
from tests.builders.fleet import NOW, a_leg, a_strut, a_type_sheet, an_operator, next_id
from tests.builders.readings import Stand, a_stand, a_strut_entry
from tests.builders.work import servicing_row

pytestmark = pytest.mark.django_db
LOSING = a_leak(steady=30, losing=14, loss_in=0.03)
_OF_THE_ROW = ("id", "operator", "strut", "assessed_at")


def standing_of(stand: Stand) -> StrutStanding:
    return StrutStanding.objects.of(stand.operator).get(strut=stand.strut)


def figures(stand: Stand) -> dict[str, Any]:
    """Return all that is stored of how a strut stands, apart from whose it is and the ids of readings."""
    row = standing_of(stand)
    found = {field.name: getattr(row, field.name) for field in row._meta.fields if field.name not in _OF_THE_ROW}
    found["evidence"] = {**row.evidence, "set_aside": [one["reason"] for one in row.evidence["set_aside"]]}
    return found


def changes_of(stand: Stand) -> list[tuple[str, str]]:
    rows = FindingChange.objects.of(stand.operator).filter(strut=stand.strut).order_by("at", "id")
    return list(rows.values_list("finding", "level"))


def test_a_leak_is_found_with_rate_date_and_why() -> None:
    stand = a_stand()
    read_strut(stand, LOSING)

    done = sweep(now=NOW)

    row = standing_of(stand)
    assert (done.struts, done.changes) == (1, 1)
    assert (row.finding, row.level in ("caution", "warning")) == ("losing_charge", True)
    # 0.03 in every five days is 0.18 in a month.
    assert row.rate_low is not None
    assert row.rate_high is not None
    assert row.rate_low < -0.03 * 30.44 / 5 < row.rate_high < 0
    assert row.evidence["check_first"] == "look_for_fluid"
    assert row.evidence["readings_used"] == len(LOSING)


def test_a_steady_strut_opens_nothing() -> None:
    stand = a_stand()
    read_strut(stand, a_leak(steady=44, losing=0, loss_in=0.0))

    assert sweep(now=NOW).changes == 0
    assert (standing_of(stand).finding, changes_of(stand)) == ("steady", [])


@pytest.mark.parametrize("seed", range(3))
def test_the_order_of_arrival_changes_nothing(seed: int) -> None:
    in_order, shuffled = a_stand(), a_stand()
    read_strut(in_order, LOSING)
    entries = lengths_over_time(shuffled.leg, LOSING)
    chance = random.Random(seed)  # noqa: S311  # an order, not a secret
    chance.shuffle(entries)
    cut = sorted(chance.sample(range(1, len(entries)), 3))

    for start, end in zip([0, *cut], [*cut, len(entries)], strict=True):
        add_strut_readings(actor=shuffled.actor, now=NOW, entries=entries[start:end])
        sweep(now=NOW)
        add_strut_readings(actor=shuffled.actor, now=NOW, entries=entries[start : start + 2])  # sent again
    sweep(now=NOW)

    assert figures(shuffled) == figures(in_order)


def test_a_telephone_that_comes_back_online_weeks_later_is_heard() -> None:
    prompt, late = a_stand(), a_stand()
    read_strut(prompt, LOSING)
    entries = lengths_over_time(late.leg, LOSING)
    add_strut_readings(actor=late.actor, now=NOW, entries=[*entries[:20], *entries[35:]])
    sweep(now=NOW)

    add_strut_readings(actor=late.actor, now=NOW, entries=entries[20:35])
    sweep(now=NOW)

    assert figures(late) == figures(prompt)


def test_readings_sent_twice_count_once_whatever_their_id() -> None:
    once, twice = a_stand(), a_stand()
    read_strut(once, LOSING)
    entries = read_strut(twice, LOSING)

    add_strut_readings(actor=twice.actor, now=NOW, entries=[replace(one, id=next_id()) for one in entries])
    sweep(now=NOW)

    assert standing_of(twice).finding == standing_of(once).finding
    assert standing_of(twice).evidence["strength"] == standing_of(once).evidence["strength"]


def test_a_corrected_reading_is_assessed_anew_as_if_it_had_never_been_wrong() -> None:
    right, mended = a_stand(), a_stand()
    read_strut(right, LOSING)
    entries = lengths_over_time(mended.leg, LOSING)
    wrong = replace(entries[-1], extension_in=LOSING[-1] + 1.0)
    add_strut_readings(actor=mended.actor, now=NOW, entries=[*entries[:-1], wrong])
    sweep(now=NOW)
    before = figures(mended)

    put_right: StrutEntry = replace(entries[-1], id=next_id())
    correct_strut_reading(actor=mended.actor, now=NOW, reading_id=wrong.id, entry=put_right, reason="misread")
    sweep(now=NOW)

    assert before != figures(right)
    assert figures(mended) == figures(right)


def test_every_reading_that_was_set_aside_is_named() -> None:
    """The chart crosses out these and draws all others as counted."""
    stand = a_stand()
    read_strut(
        stand, [length + 1.5 * (number % 6 == 5) for number, length in enumerate(a_leak(90, 0, 0.0))], days_apart=4.0
    )

    sweep(now=NOW)

    evidence = standing_of(stand).evidence
    assert len(evidence["set_aside"]) == evidence["readings_set_aside"] == 15


@pytest.mark.parametrize("off_in", [-2.0, -1.0, -0.5, 0.5, 1.0])
def test_one_bad_reading_opens_no_caution(off_in: float) -> None:
    stand = a_stand()
    read_strut(stand, [*a_leak(steady=40, losing=0, loss_in=0.0), 4.5 + off_in])

    sweep(now=NOW)

    row = standing_of(stand)
    assert row.level in ("none", "advisory"), (row.finding, row.level)


@pytest.mark.parametrize("off_in", [-1.0, 1.0])
def test_one_bad_reading_just_after_a_top_up_opens_no_caution(off_in: float) -> None:
    stand = a_stand()
    steady = a_leak(steady=44, losing=0, loss_in=0.0)
    entries = lengths_over_time(stand.leg, steady)
    bad = replace(entries[40], extension_in=entries[40].extension_in + off_in)
    topped_up = servicing_row(stand.leg, work=Work.GAS_ADDED, done_at=bad.taken_at - timedelta(days=1))
    add_servicings(actor=stand.actor, now=NOW, rows=[topped_up])

    for arrived in ([*entries[:40], bad], entries[41:42], entries[42:43], entries[43:]):
        add_strut_readings(actor=stand.actor, now=NOW, entries=arrived)
        sweep(now=NOW)

    assert {"caution", "warning"}.isdisjoint(level for _, level in changes_of(stand))


def test_a_change_is_written_once_however_often_it_is_assessed() -> None:
    stand = a_stand()
    read_strut(stand, LOSING)
    for _ in range(3):
        PartNews.objects.of(stand.operator).update(arrived=9)
        sweep(now=NOW)

    assert len(changes_of(stand)) == 1


def test_a_strut_without_news_costs_no_query(django_assert_num_queries: Any) -> None:
    stand = a_stand()
    for _ in range(4):
        read_strut(a_stand(stand.operator), LOSING[:20])
    sweep(now=NOW)

    # Operators; what has news.
    with django_assert_num_queries(2):
        assert sweep(now=NOW).struts == 0


def test_by_night_only_those_are_looked_at_again_that_the_calendar_may_have_changed() -> None:
    stand = a_stand()
    read_strut(stand, a_leak(steady=44, losing=0, loss_in=0.0))
    sweep_night(now=NOW)
    due = standing_of(stand).changes_on
    assert due is not None
    days = (due - NOW.date()).days

    assert sweep_night(now=NOW + timedelta(days=days - 1)).struts == 0
    assert sweep_night(now=NOW + timedelta(days=days)).struts == 1
    assert standing_of(stand).finding == "too_few_readings"


def test_more_struts_take_no_more_queries(django_assert_max_num_queries: Any) -> None:
    stand = a_stand()
    for _ in range(8):
        read_strut(a_stand(stand.operator), LOSING[:20])

    with django_assert_max_num_queries(20):
        assert sweep(now=NOW).struts == 8


def test_another_operators_struts_are_left_alone() -> None:
    mine, theirs = a_stand(), a_stand()
    read_strut(mine, LOSING)
    read_strut(theirs, LOSING)

    assess_waiting_parts([mine.strut.id], [], now=NOW)

    assert StrutStanding.objects.of(mine.operator).count() == 1
    assert StrutStanding.objects.of(theirs.operator).count() == 0


def test_the_operators_own_thresholds_decide() -> None:
    careful = a_stand(an_operator(false_alarms_per_strut_year=0.5))
    calm = a_stand(an_operator(false_alarms_per_strut_year=0.005))
    faint = a_leak(steady=30, losing=7, loss_in=0.025)
    read_strut(careful, faint)
    read_strut(calm, faint)

    sweep(now=NOW)

    assert standing_of(careful).evidence["strength_needed"] < standing_of(calm).evidence["strength_needed"]
    assert (standing_of(careful).finding, standing_of(calm).finding) == ("losing_charge", "steady")


def test_notice_turns_a_caution_into_a_warning() -> None:
    slow = a_leak(steady=30, losing=24, loss_in=0.012)
    short, long = a_stand(an_operator(notice_days=1)), a_stand(an_operator(notice_days=365))
    read_strut(short, slow)
    read_strut(long, slow)

    sweep(now=NOW)

    assert (standing_of(short).level, standing_of(long).level) == ("caution", "warning")


def test_other_limits_hold_from_a_move_on_whether_or_not_the_strut_was_read_since() -> None:
    stand = a_stand()
    read_strut(stand, [3.7, 3.72, 3.68] * 5)
    sweep(now=NOW)
    wide = a_leg(stand.operator, sheet=a_type_sheet(stand.operator, low_limit_in=3.0))
    assert standing_of(stand).finding == "standing_low"

    move_part(actor=stand.actor, now=NOW, kind=STRUT, part_id=stand.strut.id, leg_id=wide.id, moved_at=NOW, reason="")
    renew_outdated()
    sweep(now=NOW)

    assert standing_of(stand).level == "none"


def moved(operator: Any, on_day: float, **sheet_values: Any) -> tuple[Stand, Any]:
    """Return a stand whose strut went to another leg so many days before `NOW`."""
    stand = a_stand(operator)
    other = a_stand(operator, **sheet_values)
    at = NOW - timedelta(days=on_day)
    for strut in (stand.strut, other.strut):  # both legs are free before either is taken
        StrutInstallation.objects.of(operator).filter(strut=strut).update(removed_at=at)
    for strut, leg in ((stand.strut, other.leg), (other.strut, stand.leg)):
        StrutInstallation.objects.create(id=next_id(), operator=operator, strut=strut, leg=leg, installed_at=at)
    return stand, other


def test_a_reading_keeps_the_sheet_of_the_leg_that_it_was_taken_on() -> None:
    operator = an_operator()
    stand, other = moved(
        operator, 100, target_extension_in=3.25, low_limit_in=2.75, high_limit_in=3.75, reference_load_lbf=500.0
    )
    entries = [
        *lengths_over_time(stand.leg, [4.5] * 20, until=NOW - timedelta(days=101)),
        *lengths_over_time(other.leg, [3.25] * 19),
    ]
    add_strut_readings(actor=stand.actor, now=NOW, entries=entries)

    sweep(now=NOW)

    row = standing_of(stand)
    assert row.finding == "steady"
    assert row.evidence["readings_set_aside"] == 0
    assert row.extension_in == pytest.approx(3.25, abs=0.05)
    trend = strut_trend(operator.id, stand.strut.id, now=NOW)
    assert trend is not None
    assert [point.corrected for point in trend.points] == pytest.approx([4.5] * 20 + [3.25] * 19, abs=0.01)
    assert trend.points[10].fitted == pytest.approx(4.5, abs=0.05)


def test_a_move_between_like_legs_changes_no_length() -> None:
    operator = an_operator()
    stand, other = moved(operator, 100)
    entries = [
        *lengths_over_time(stand.leg, [4.5] * 20, until=NOW - timedelta(days=101)),
        *lengths_over_time(other.leg, LOSING[-19:]),
    ]
    add_strut_readings(actor=stand.actor, now=NOW, entries=entries)

    sweep(now=NOW)

    assert standing_of(stand).finding == "losing_charge"


def test_a_strut_that_was_never_on_a_leg_is_left_out() -> None:
    stand = a_stand()
    spare = a_strut(stand.operator)
    PartNews.objects.create(id=next_id(), operator=stand.operator, strut=spare, arrived=1)

    assert sweep(now=NOW).struts == 0
    assert sweep(now=NOW).struts == 0
    assert PartNews.objects.of(stand.operator).get(strut=spare).assessed == 1


def test_one_night_s_reading_on_a_leg_without_figures_is_judged_by_estimates() -> None:
    stand = a_stand(tube_diameter_in=None, gas_column_in=None, fluid_volume_in3=None, reference_load_lbf=None)
    read_strut(stand, LOSING)

    sweep(now=NOW)

    assert standing_of(stand).finding == "losing_charge"


def test_a_leg_without_readings_has_no_trend() -> None:
    stand = a_stand()
    strut = a_strut(stand.operator, a_leg(stand.operator))

    trend = strut_trend(stand.operator.id, strut.id, now=NOW)

    assert trend is not None
    assert (trend.points, trend.standing["finding"]) == ((), "too_few_readings")
    assert strut_trend(an_operator().id, strut.id, now=NOW) is None


def test_trend_and_standing_say_the_same() -> None:
    stand = a_stand()
    lengths = [*LOSING]
    lengths[20] += 1.4
    read_strut(stand, lengths)
    sweep(now=NOW)

    trend = strut_trend(stand.operator.id, stand.strut.id, now=NOW)

    row = standing_of(stand)
    assert trend is not None
    assert {name: getattr(row, name) for name in trend.standing} == trend.standing
    aside = [str(point.reading_id) for point in trend.points if point.disposition == "lone_outlier"]
    assert [one["reading"] for one in row.evidence["set_aside"]] == aside
    assert len(aside) == row.evidence["readings_set_aside"] == 1
    last = trend.points[-1]
    assert last.at == row.last_reading_at
    assert last.raw == pytest.approx(lengths[-1])


def test_an_entry_at_reference_conditions_is_not_moved_by_the_correction() -> None:
    stand = a_stand()
    read_strut(stand, [4.5])

    trend = strut_trend(stand.operator.id, stand.strut.id, now=NOW)

    assert trend is not None
    assert trend.points[0].corrected == pytest.approx(4.5, abs=0.005)
    assert a_strut_entry(stand.leg).temperature_f == 70.0
