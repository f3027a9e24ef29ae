"""A hard landing asks for a look at the struts that landed, wherever they are when someone writes it down."""

from datetime import datetime
from typing import Any

import pytest

from servicing import tasks
from servicing.news.models import PartNews
from tests.journeys.flying_club import MAIN, FlyingClub
from tests.journeys.live_strut import LiveStrut


def landed_hard(club: FlyingClub, aircraft: dict[str, Any], at: datetime) -> Any:
    flight = {"aircraft": aircraft["id"], "ended_at": at.isoformat(), "landings": 1, "hours": 0.5}
    return club.post("usage", {**flight, "hard_landing": True, "note": "bounced"})


def looks_at(club: FlyingClub, strut_id: str, **query: str) -> list[tuple[str, str, str]]:
    """Return aircraft, position and how far of each look after a hard landing, for one strut."""
    items = club.get("reinspections", strut=strut_id, reason="hard landing", **query)["items"]
    return [(look["registration"], look["position"], look["due"]) for look in items]


def work_off(club: FlyingClub) -> None:
    """Let the workers do what is done within minutes: what has news, and what moved."""
    with club.clock():
        waiting = PartNews.objects.of(club.operator).values_list("strut_id", flat=True)
        tasks.assess_parts([str(strut_id) for strut_id in waiting if strut_id], [])


@pytest.fixture
def aircraft(club: FlyingClub) -> dict[str, Any]:
    return club.aircraft("XX-HARD")


@pytest.fixture
def landed_at(club: FlyingClub) -> datetime:
    club.later(hours=1)
    return club.now


def replaced(club: FlyingClub, leg: dict[str, Any]) -> str:
    """Put a spare in the place of the leg's strut; return the spare."""
    spare = club.post("struts", {"serial_number": "SPARE"})["id"]
    body = {"by": spare, "replaced_at": club.now.isoformat(), "reason": "leaking"}
    club.post(f"struts/{leg['strut']['id']}/replacement", body)
    return str(spare)


def installed(club: FlyingClub, strut_id: str, leg: dict[str, Any]) -> None:
    """Take the strut of a leg off and put another on."""
    club.post(f"struts/{leg['strut']['id']}/removal", {"removed_at": club.now.isoformat(), "reason": "swap"})
    club.post(f"struts/{strut_id}/installations", {"leg": leg["id"], "installed_at": club.now.isoformat()})


def test_the_strut_that_landed_is_looked_at_on_the_aircraft_where_it_is_now(
    club: FlyingClub, aircraft: dict[str, Any], landed_at: datetime
) -> None:
    other = club.aircraft("XX-THER")
    leg, landed = aircraft["legs"]["left main"], aircraft["legs"]["left main"]["strut"]["id"]
    club.later(hours=5)
    spare = replaced(club, leg)
    installed(club, landed, other["legs"]["left main"])
    club.later(hours=5)

    landed_hard(club, aircraft, landed_at)
    work_off(club)

    assert looks_at(club, landed) == [("XX-THER", "left main", "due")]
    assert looks_at(club, aircraft["legs"]["nose"]["strut"]["id"]) == [("XX-HARD", "nose", "due")]
    club.night()
    assert looks_at(club, spare) == looks_at(club, other["legs"]["left main"]["strut"]["id"]) == []
    assert [reason["part"] for reason in club.get("dispatch/XX-THER")["reasons"] if "hard" in reason["words"]]


def test_a_strut_on_the_shelf_is_looked_at_once_it_is_on_an_aircraft_again_however_long_that_takes(
    club: FlyingClub, aircraft: dict[str, Any], landed_at: datetime
) -> None:
    leg, landed = aircraft["legs"]["left main"], aircraft["legs"]["left main"]["strut"]["id"]
    club.later(hours=5)
    spare = replaced(club, leg)
    club.later(hours=5)
    landed_hard(club, aircraft, landed_at)
    club.night()
    assert looks_at(club, landed) == looks_at(club, spare) == []

    club.later(days=200)
    other = club.aircraft("XX-THER")["legs"]["left main"]
    installed(club, landed, other)
    club.night()

    assert looks_at(club, landed) == [("XX-THER", "left main", "overdue")]
    club.read(other, LiveStrut.resting_at(4.5, MAIN))
    club.night()
    assert looks_at(club, landed) == [("XX-THER", "left main", "done")]


def test_a_look_that_went_to_the_shelf_with_its_strut_comes_back_with_it(
    club: FlyingClub, aircraft: dict[str, Any], landed_at: datetime
) -> None:
    leg, landed = aircraft["legs"]["left main"], aircraft["legs"]["left main"]["strut"]["id"]
    landed_hard(club, aircraft, landed_at)
    club.night()
    club.later(hours=2)
    replaced(club, leg)
    for _ in range(3):
        club.later(days=60)
        club.night()
        assert looks_at(club, landed) == [("XX-HARD", "left main", "closed")]
    (rested,) = club.get("reinspections", strut=landed)["items"]
    assert (rested["closed_reason"], rested["version"]) == ("the part is on no aircraft in service", 2)

    installed(club, landed, club.aircraft("XX-THER")["legs"]["left main"])
    with club.clock():
        tasks.renew_outdated_readings()
    work_off(club)

    assert looks_at(club, landed) == [("XX-THER", "left main", "overdue")]


def test_struts_that_landed_together_may_change_places(
    club: FlyingClub, aircraft: dict[str, Any], landed_at: datetime
) -> None:
    nose, main = (aircraft["legs"][position]["strut"]["id"] for position in ("nose", "left main"))
    landed_hard(club, aircraft, landed_at)
    club.night()
    club.later(hours=1)

    club.post(f"struts/{nose}/swap", {"other": main, "swapped_at": club.now.isoformat(), "reason": "trial"})
    club.night()

    assert looks_at(club, nose) == [("XX-HARD", "left main", "due")]
    assert looks_at(club, main) == [("XX-HARD", "nose", "due")]


def test_a_flight_that_ended_as_the_strut_came_off_was_flown_with_it(
    club: FlyingClub, aircraft: dict[str, Any], landed_at: datetime
) -> None:
    leg, landed = aircraft["legs"]["left main"], aircraft["legs"]["left main"]["strut"]["id"]
    spare = replaced(club, leg)
    installed(club, landed, club.aircraft("XX-THER")["legs"]["left main"])

    landed_hard(club, aircraft, landed_at)
    club.night()

    assert looks_at(club, landed) == [("XX-THER", "left main", "due")]
    assert looks_at(club, spare) == []


def test_a_landing_whose_time_is_put_right_goes_to_the_strut_of_that_time(
    club: FlyingClub, aircraft: dict[str, Any], landed_at: datetime
) -> None:
    leg, landed = aircraft["legs"]["left main"], aircraft["legs"]["left main"]["strut"]["id"]
    club.later(hours=5)
    spare = replaced(club, leg)
    installed(club, landed, club.aircraft("XX-THER")["legs"]["left main"])
    club.later(hours=5)
    wrong = landed_hard(club, aircraft, club.now)
    work_off(club)
    assert looks_at(club, landed) == []
    assert looks_at(club, spare) == [("XX-HARD", "left main", "due")]

    right = {"aircraft": aircraft["id"], "ended_at": landed_at.isoformat(), "landings": 1, "hard_landing": True}
    right = club.post(f"usage/{wrong['id']}/corrections", {"usage": right, "reason": "it was in the morning"})
    work_off(club)
    assert looks_at(club, landed) == [("XX-THER", "left main", "due")]
    assert looks_at(club, spare) == [("XX-HARD", "left main", "closed")]

    none = {"aircraft": aircraft["id"], "ended_at": landed_at.isoformat(), "landings": 1}
    club.post(f"usage/{right['id']}/corrections", {"usage": none, "reason": "it was not hard"})
    work_off(club)
    assert looks_at(club, landed, open="true") == looks_at(club, spare, open="true") == []


def test_a_swap_whose_time_is_put_right_takes_the_look_along_and_back(
    club: FlyingClub, aircraft: dict[str, Any], landed_at: datetime
) -> None:
    leg, landed = aircraft["legs"]["left main"], aircraft["legs"]["left main"]["strut"]["id"]
    club.later(hours=5)
    swapped_at = club.now
    spare = replaced(club, leg)
    installed(club, landed, club.aircraft("XX-THER")["legs"]["left main"])
    club.later(hours=5)
    landed_hard(club, aircraft, landed_at)
    club.night()

    def swap_was_at(moment: datetime) -> None:
        for strut_id, field in ((landed, "removed_at"), (spare, "installed_at"))[:: 1 if moment < swapped_at else -1]:
            rows = club.get(f"struts/{strut_id}/installations")["items"]
            path = f"strut-installations/{rows[-1]['id']}"
            club.patch(path, {field: moment.isoformat()}, club.etag(path))
        club.night()

    before_it = landed_at.replace(minute=landed_at.minute - 20)
    swap_was_at(before_it)
    assert looks_at(club, spare, open="true") == [("XX-HARD", "left main", "due")]
    assert looks_at(club, landed, open="true") == []

    swap_was_at(swapped_at)
    assert looks_at(club, spare, open="true") == []
    assert looks_at(club, landed, open="true") == [("XX-THER", "left main", "due")]
