"""Landings and hours of a look are the part's own; what is stored is the total of the aircraft that it is on."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.aircraft.models import Aircraft, Leg
from fleet.gear.installing import install_part, remove_part
from fleet.gear.kinds import STRUT
from servicing.reinspection.actions import put_off_reinspection, request_reinspection
from servicing.reinspection.models import Reinspection
from servicing.reinspection.queries import judge_looks
from servicing.reinspection.reviewing import review_operator
from servicing.usage.actions import add_usages
from servicing.usage.rows import UsageRow
from servicing.work.actions import add_servicings
from servicing.work.models import Work
from tests.builders.alerts import looks_of
from tests.builders.fleet import LONG_AGO, a_leg, a_strut, an_aircraft, later
from tests.builders.readings import Stand, a_stand
from tests.builders.work import servicing_row

pytestmark = pytest.mark.django_db
END = later(days=90)


@pytest.fixture
def stand() -> Stand:
    """Return a club whose aircraft has 100 landings and 200 h, and whose strut was resealed just now."""
    stand = a_stand()
    fly(stand, stand.aircraft, LONG_AGO, 100, 200.0, brought_forward=True)
    add_servicings(actor=stand.actor, now=END, rows=[servicing_row(stand.leg, Work.SEALS)])
    return stand


@pytest.fixture
def there(stand: Stand) -> Leg:
    """Return the empty leg of another aircraft, which has 1000 landings and 3000 h and goes on flying."""
    leg = a_leg(stand.operator, "left main", aircraft=an_aircraft(stand.operator))
    fly(stand, leg.aircraft, LONG_AGO, 1000, 3000.0, brought_forward=True)
    fly(stand, leg.aircraft, later(hours=2), 50, 60.0)
    return leg


def fly(stand: Stand, aircraft: Aircraft, at: datetime, landings: int, hours: float, **values: Any) -> None:
    row = UsageRow(aircraft_id=aircraft.id, ended_at=at, landings=landings, hours=hours, **values)
    add_usages(actor=stand.actor, now=END, rows=[row])


def move(stand: Stand, to: Leg, at: datetime, *, rests: float = 0) -> None:
    """Take the strut off and put it on another leg, ``rests`` days later."""
    remove_part(actor=stand.actor, now=END, kind=STRUT, part_id=stand.strut.id, removed_at=at, reason="")
    if rests:
        review(stand)
    install_part(
        actor=stand.actor, now=END, kind=STRUT, part_id=stand.strut.id, leg_id=to.id,
        installed_at=at + timedelta(days=rests),
    )  # fmt: skip


def review(stand: Stand) -> None:
    review_operator(operator=stand.operator, now=later(days=1, hours=1))


def limits(stand: Stand) -> tuple[int | None, float | None]:
    review(stand)
    (look,) = looks_of(stand)
    return look.due_landings, look.due_hours


def left(stand: Stand) -> tuple[str, int | None, float | None]:
    rows = Reinspection.objects.of(stand.operator).select_related("leg__aircraft")
    ((_, due),) = judge_looks(stand.operator, rows, later(days=1, hours=1))
    return due.state, due.landings_left, due.hours_left


def test_new_seals_are_looked_at_after_five_landings_or_ten_hours(stand: Stand) -> None:
    assert limits(stand) == (105, 210.0)

    fly(stand, stand.aircraft, later(hours=3), 1, 10.0)
    assert limits(stand) == (105, 210.0)
    assert left(stand) == ("due", 4, 0.0)


@pytest.mark.parametrize(
    ("work", "due"), [(Work.GAS_ADDED, (2, 5.0)), (Work.OVERHAULED, (5, 10.0)), (Work.TYRE_CHANGED, (None, None))]
)
def test_other_work_has_limits_of_its_own(work: str, due: tuple[int | None, float | None]) -> None:
    stand = a_stand()
    add_servicings(actor=stand.actor, now=END, rows=[servicing_row(stand.leg, work)])

    assert limits(stand) == due


def test_hours_flown_before_the_work_and_entered_late_count_for_nothing(stand: Stand) -> None:
    limits(stand)

    fly(stand, stand.aircraft, later(hours=-3), 7, 9.5)

    assert limits(stand) == (112, 219.5)
    assert left(stand) == ("soon", 5, 10.0)


def test_a_total_brought_forward_late_counts_for_nothing(stand: Stand) -> None:
    fly(stand, stand.aircraft, later(hours=5), 4000, 5000.0, brought_forward=True)

    assert limits(stand) == (4105, 5210.0)


def test_landings_of_the_other_aircraft_from_before_the_strut_came_do_not_count(stand: Stand, there: Leg) -> None:
    fly(stand, stand.aircraft, later(hours=1), 2, 1.5)
    limits(stand)
    move(stand, there, later(hours=3))
    fly(stand, stand.aircraft, later(hours=4), 30, 30.0)  # with another strut

    assert limits(stand) == (1053, 3068.5)
    assert left(stand) == ("soon", 3, 8.5)

    fly(stand, there.aircraft, later(hours=5), 3, 2.0)
    assert limits(stand) == (1053, 3068.5)
    assert left(stand) == ("due", 0, 6.5)


def test_landings_on_either_aircraft_that_are_entered_late_count_where_they_were_flown(
    stand: Stand, there: Leg
) -> None:
    move(stand, there, later(hours=3))
    assert limits(stand) == (1055, 3070.0)

    fly(stand, stand.aircraft, later(hours=1), 1, 1.0)  # with the strut
    fly(stand, stand.aircraft, later(hours=3, minutes=30), 8, 8.0)  # after it had left
    fly(stand, there.aircraft, later(hours=2, minutes=30), 8, 8.0)  # before it came
    assert limits(stand) == (1062, 3077.0)
    assert left(stand) == ("soon", 4, 9.0)


def test_a_strut_that_comes_back_brings_what_it_did_elsewhere(stand: Stand, there: Leg) -> None:
    move(stand, there, later(hours=3))
    fly(stand, there.aircraft, later(hours=4), 4, 2.0)
    fly(stand, stand.aircraft, later(hours=4), 20, 20.0)
    move(stand, stand.leg, later(hours=5))

    assert limits(stand) == (121, 228.0)
    assert left(stand) == ("soon", 1, 8.0)


def test_more_flown_elsewhere_than_a_new_aircraft_has_in_all_is_due_at_once(stand: Stand) -> None:
    leg = a_leg(stand.operator, "left main", aircraft=an_aircraft(stand.operator))
    fly(stand, stand.aircraft, later(hours=1), 20, 30.0)
    move(stand, leg, later(hours=3))

    assert limits(stand) == (0, 0.0)
    assert left(stand) == ("due", 0, 0.0)


def test_time_on_the_shelf_counts_nothing_that_the_aircraft_flew_meanwhile(stand: Stand) -> None:
    fly(stand, stand.aircraft, later(hours=1), 1, 1.0)
    review(stand)
    move(stand, stand.leg, later(hours=2), rests=0.5)
    fly(stand, stand.aircraft, later(hours=8), 40, 40.0)

    assert limits(stand) == (145, 250.0)
    assert left(stand) == ("soon", 4, 9.0)


def test_what_a_person_asked_for_is_carried_over_to_the_other_aircraft(there: Leg) -> None:
    stand = a_stand(there.operator)
    fly(stand, stand.aircraft, LONG_AGO, 100, 200.0, brought_forward=True)
    look = request_reinspection(
        actor=stand.actor, now=later(), leg_id=stand.leg.id, part="strut", look_for="a scratch",
        due_on=later(days=30).date(), due_landings=110, due_hours=220.25,
    )  # fmt: skip
    fly(stand, stand.aircraft, later(hours=1), 4, 4.0)

    def due() -> tuple[int | None, float | None]:
        review(stand)
        look.refresh_from_db()
        return look.due_landings, look.due_hours

    assert due() == (110, 220.25)
    move(stand, there, later(hours=3))
    assert due() == (1056, 3076.25)
    fly(stand, stand.aircraft, later(hours=2), 1, 1.0)  # entered late
    assert due() == (1055, 3075.25)
    move(stand, stand.leg, later(hours=5))
    assert due() == (110, 220.25)


def test_a_look_that_was_put_off_keeps_its_day_alone_wherever_its_strut_goes(stand: Stand, there: Leg) -> None:
    review(stand)
    (look,) = looks_of(stand)
    put_off_reinspection(
        actor=stand.actor, now=later(), reinspection_id=look.id, version=look.version,
        due_on=later(days=20).date(), reason="away",
    )  # fmt: skip
    move(stand, there, later(hours=3))

    assert limits(stand) == (None, None)


def test_a_look_is_written_only_when_something_changes(stand: Stand) -> None:
    for number in range(1, 8):
        fly(stand, stand.aircraft, later(hours=number), 0, 0.1)
        review(stand)

    assert [look.version for look in looks_of(stand)] == [1]


def test_many_looks_with_limits_cost_a_review_no_more_queries_than_one(stand: Stand, there: Leg) -> None:
    def queries() -> int:
        review(stand)
        with CaptureQueriesContext(connection) as asked:
            review(stand)
        return len(asked)

    one = queries()
    for leg in (there, a_leg(stand.operator, "right main"), a_leg(stand.operator, "nose")):
        a_strut(stand.operator, leg)
        add_servicings(actor=stand.actor, now=END, rows=[servicing_row(leg, Work.SEALS)])

    assert queries() == one
    assert len(looks_of(stand)) == 4
