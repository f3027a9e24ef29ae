"""A part's life follows it: on which aircraft, since when, and what it did there."""

import pytest

from fleet.gear.models import StrutInstallation
from servicing.usage.actions import add_usages
from servicing.usage.rows import UsageRow
from servicing.work.part_life import strut_life
from tests.builders.fleet import NOW, a_leg, a_strut, an_actor, an_aircraft, an_operator, later

pytestmark = pytest.mark.django_db
END = later(days=100)


def life_of(stays, flown):
    """Return what a strut did since it was installed where it is, after stays of (leg, days from, days to)."""
    leg = stays[0][0]
    strut = a_strut(leg.operator)
    for where, since, until in stays:
        StrutInstallation.objects.create(
            operator=leg.operator,
            strut=strut,
            leg=where,
            installed_at=later(days=since),
            removed_at=None if until is None else later(days=until),
        )
    rows = [UsageRow(aircraft_id=plane.id, ended_at=later(days=day), landings=1) for plane, day in flown]
    add_usages(actor=an_actor(leg.operator), now=END, rows=rows)
    return strut_life(leg.operator, strut.id, now=END)


@pytest.fixture
def aircraft():
    return an_aircraft(an_operator())


@pytest.fixture
def legs(aircraft):
    return [a_leg(aircraft.operator, position, aircraft=aircraft) for position in ("left main", "right main")]


def test_time_on_the_shelf_begins_a_new_stay_on_the_same_aircraft(aircraft, legs):
    flown = [(aircraft, day) for day in (5, 15, 25, 35)]

    life = life_of([(legs[0], 0, 10), (legs[0], 20, None)], flown)

    assert (later(days=20), 2) == (life.since_installed.at, life.since_installed.used.landings)
    assert (later(days=0), 3) == (life.since_new_life.at, life.since_new_life.used.landings)


def test_a_move_to_another_leg_of_the_aircraft_begins_none(aircraft, legs):
    flown = [(aircraft, day) for day in (5, 15, 25)]

    life = life_of([(legs[0], 0, 10), (legs[1], 10, 20), (legs[0], 20, None)], flown)

    assert (later(days=0), 3) == (life.since_installed.at, life.since_installed.used.landings)


def test_a_time_on_another_aircraft_begins_a_new_stay_on_the_first(aircraft, legs):
    other = an_aircraft(aircraft.operator)
    there = a_leg(aircraft.operator, "left main", aircraft=other)
    flown = [(aircraft, 5), (aircraft, 15), (other, 16), (aircraft, 25)]

    life = life_of([(legs[0], 0, 10), (there, 10, 20), (legs[0], 20, None)], flown)

    assert (later(days=20), 1) == (life.since_installed.at, life.since_installed.used.landings)
    assert life.since_new_life.used.landings == 3


def test_a_part_on_the_shelf_is_installed_nowhere(aircraft, legs):
    life = life_of([(legs[0], 0, 10)], [(aircraft, 5)])

    assert life.since_installed is None
    assert (END - NOW).days == round(life.since_new_life.days)
