"""Flights, landings and hours: counted once, corrected, and read as totals."""

from datetime import timedelta

import pytest
from django.core.cache import cache
from django.db import DatabaseError, connection, transaction

from servicing.news.models import PartNews
from servicing.usage.models import Usage
from servicing.usage.queries import Stretch, Totals, totals, used_in
from tests.builders.fleet import NOW, a_leg, a_strut, an_aircraft, an_operator, next_id
from tests.servicing.callers import caller_of

pytestmark = pytest.mark.django_db
ADDRESS = "/api/v1/usage"


@pytest.fixture(autouse=True)
def _fresh_limits():
    cache.clear()


@pytest.fixture
def club():
    return an_operator()


@pytest.fixture
def aircraft(club):
    return an_aircraft(club)


def flight(aircraft, *, hours_ago=0.0, **values):
    return {
        "aircraft": str(getattr(aircraft, "id", aircraft)),
        "ended_at": (NOW - timedelta(hours=hours_ago)).isoformat(),
        "landings": 3,
        "hours": 1.1,
        **values,
    }


def test_flights_add_up_to_totals(club, aircraft):
    caller = caller_of(club, "member")
    for hours_ago in (2, 5, 9):
        assert caller.post(ADDRESS, flight(aircraft, hours_ago=hours_ago)).status_code == 201

    shown = caller.get(f"/api/v1/aircraft/{aircraft.id}/totals").json()

    assert (shown["flights"], shown["landings"], round(shown["hours"], 6)) == (3, 9, 3.3)
    assert totals(club, [aircraft.id])[aircraft.id].landings == 9
    assert totals(club, [aircraft.id], until=NOW - timedelta(hours=4))[aircraft.id].flights == 2


def test_an_aircraft_never_flown_has_zero_totals(club, aircraft):
    assert totals(club, [aircraft.id]) == {aircraft.id: Totals()}


@pytest.mark.parametrize("with_id", [True, False])
def test_the_same_flight_sent_five_times_counts_once(club, aircraft, with_id):
    caller = caller_of(club)
    sent = flight(aircraft, **({"id": str(next_id())} if with_id else {}))

    codes = [caller.post(ADDRESS, sent).status_code for _ in range(5)]

    assert codes == [201, 200, 200, 200, 200]
    assert totals(club, [aircraft.id])[aircraft.id].landings == 3


def test_a_flight_logged_with_other_figures_must_be_corrected(club, aircraft):
    caller = caller_of(club)
    first = caller.post(ADDRESS, flight(aircraft)).json()

    other = caller.post(ADDRESS, flight(aircraft, landings=30))
    corrected = caller.post(
        f"{ADDRESS}/{first['id']}/corrections", {"reason": "30 landings", "usage": flight(aircraft, landings=30)}
    )

    assert other.status_code == 422
    assert other.json()["errors"][0]["code"] == "already_logged_otherwise"
    assert corrected.status_code == 201
    assert totals(club, [aircraft.id])[aircraft.id] == Totals(1, 30, 1.1)
    assert [row["id"] for row in caller.get(ADDRESS).json()["items"]] == [corrected.json()["id"]]


def test_a_row_is_corrected_once(club, aircraft):
    caller = caller_of(club)
    first = caller.post(ADDRESS, flight(aircraft)).json()
    correction = {"reason": "none", "usage": flight(aircraft, landings=4)}
    caller.post(f"{ADDRESS}/{first['id']}/corrections", correction)

    assert caller.post(f"{ADDRESS}/{first['id']}/corrections", correction).status_code == 409


def test_a_batch_is_all_or_nothing(club, aircraft):
    caller = caller_of(club)
    wrong = {"usage": [flight(aircraft), flight(next_id())]}
    right = {"usage": [flight(aircraft), flight(aircraft, hours_ago=3), flight(aircraft)]}

    refused = caller.post(f"{ADDRESS}/batch", wrong)
    assert refused.status_code == 422
    assert refused.json()["errors"][0]["field"] == "usage.1.aircraft"
    assert not Usage.objects.of(club).exists()

    logged = caller.post(f"{ADDRESS}/batch", right).json()
    assert (logged["saved"], logged["known"]) == (2, 1)


def test_a_total_may_be_brought_forward_but_no_flight_lasts_two_thousand_hours(club, aircraft):
    caller = caller_of(club)
    total = {"flights": 0, "landings": 9000, "hours": 4811.4}

    assert caller.post(ADDRESS, flight(aircraft, **total)).status_code == 422
    assert caller.post(ADDRESS, flight(aircraft, **total, brought_forward=True)).status_code == 201
    assert totals(club, [aircraft.id])[aircraft.id].brought_forward


def test_use_follows_a_part_from_aircraft_to_aircraft_without_what_was_brought_forward(club, aircraft):
    other = an_aircraft(club)
    caller = caller_of(club)
    for plane, hours_ago in ((aircraft, 30), (aircraft, 20), (other, 10), (other, 1), (aircraft, 2)):
        caller.post(ADDRESS, flight(plane, hours_ago=hours_ago))
    caller.post(ADDRESS, flight(aircraft, hours=900, brought_forward=True, hours_ago=25))

    swapped = NOW - timedelta(hours=15)
    used = used_in(club, [Stretch(aircraft.id, NOW - timedelta(hours=25), swapped), Stretch(other.id, swapped)])

    assert (used.flights, used.landings) == (3, 9)
    assert used_in(club, []) == Totals()


def test_a_hard_landing_asks_for_a_look_at_every_strut(club):
    leg = a_leg(club)
    strut = a_strut(club, leg)

    caller_of(club).post(ADDRESS, flight(leg.aircraft, hard_landing=True))

    assert PartNews.objects.of(club).get().strut_id == strut.id


def test_a_hard_landing_entered_late_wakes_the_strut_that_landed(club):
    leg = a_leg(club)
    landed = a_strut(club, leg)
    landed.installations.update(removed_at=NOW - timedelta(hours=2))
    a_strut(club, leg, installed_at=NOW - timedelta(hours=2))

    # What ended as the strut came off was flown with it.
    caller_of(club).post(ADDRESS, flight(leg.aircraft, hours_ago=2, hard_landing=True))

    assert [news.strut_id for news in PartNews.objects.of(club)] == [landed.id]


def test_strangers_and_readers_change_nothing(club, aircraft):
    first = caller_of(club).post(ADDRESS, flight(aircraft)).json()
    stranger = caller_of(an_operator())

    assert stranger.post(ADDRESS, flight(aircraft)).status_code == 422
    assert stranger.get(f"/api/v1/aircraft/{aircraft.id}/totals").status_code == 404
    correction = {"reason": "x", "usage": flight(aircraft)}
    assert stranger.post(f"{ADDRESS}/{first['id']}/corrections", correction).status_code == 404
    assert caller_of(club, "reader").post(ADDRESS, flight(aircraft, hours_ago=4)).status_code == 403


@pytest.mark.parametrize("sql", ["DELETE FROM servicing_usage", "UPDATE servicing_usage SET hours = 0"])
def test_the_database_keeps_what_was_logged(club, aircraft, sql):
    caller_of(club).post(ADDRESS, flight(aircraft))

    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(sql)
