"""Tyres are swapped and struts move to other aircraft; what they have been through goes with them."""

import pytest

from tests.journeys.flying_club import MAIN, FlyingClub
from tests.journeys.live_strut import LiveStrut


def test_a_tyre_is_changed_and_the_new_one_starts_anew_with_a_look_after_its_stretch(club: FlyingClub) -> None:
    aircraft = club.aircraft("XX-TYRE")
    leg = aircraft["legs"]["left main"]
    old = leg["tyre"]["id"]
    for _ in range(3):
        club.later(days=5)
        reading = {"leg": leg["id"], "taken_at": club.now.isoformat(), "temperature": "70 degF", "tread": "0.1 in"}
        club.post("tyre-readings", {**reading, "pressure": "30 psi"})
        club.post(
            "usage",
            {"aircraft": "XX-TYRE", "ended_at": club.now.isoformat(), "flights": 2, "landings": 6, "hours": 1.5},
        )

    club.later(days=1)
    new = club.post("tyres", {"serial_number": "NEW-1", "size": "6.00-6", "new_tread": "0.3 in"})["id"]
    club.post(f"tyres/{old}/replacement", {"by": new, "replaced_at": club.now.isoformat(), "reason": "worn"})
    changed = club.post(
        "servicings",
        {"leg": leg["id"], "done_at": club.now.isoformat(), "work": "tyre changed", "pressure_after": "30 psi"},
    )
    club.night()

    assert changed["tyre"] == new
    assert changed["effect"]["new_baseline"] is True
    assert any("cage" in caution for caution in changed["cautions"])
    (look,) = club.get("reinspections", tyre=new, open="true")["items"]
    assert look["reason"] == "new tyre"
    assert club.get(f"tyres/{old}/life")["since_installed"] is None
    assert club.get(f"tyres/{new}/life")["since_installed"]["landings"] == 0
    assert len(club.get("tyre-readings", tyre=old)["items"]) == 3
    assert club.get("tyre-readings", tyre=new)["items"] == []

    club.later(days=1)
    club.post(
        "tyre-readings",
        {"leg": leg["id"], "taken_at": club.now.isoformat(), "pressure": "29 psi", "temperature": "70 degF"},
    )
    club.post("usage", {"aircraft": "XX-TYRE", "ended_at": club.now.isoformat(), "landings": 4, "hours": 1.0})
    club.night()
    assert club.get("reinspections", tyre=new, open="true")["items"] == []
    assert club.get(f"tyres/{new}/life")["since_installed"]["landings"] == 4


def test_two_tyres_change_places_and_no_leg_ever_has_two(club: FlyingClub) -> None:
    aircraft = club.aircraft("XX-SWAP")
    nose, main = aircraft["legs"]["nose"], aircraft["legs"]["left main"]
    club.later(days=2)

    club.post(f"tyres/{nose['tyre']['id']}/swap", {"other": main["tyre"]["id"], "swapped_at": club.now.isoformat()})

    where = {tyre["id"]: tyre["place"]["position"] for tyre in club.get("tyres", aircraft=aircraft["id"])["items"]}
    assert where == {nose["tyre"]["id"]: "left main", main["tyre"]["id"]: "nose"}
    refused = club.mechanic.post(
        f"/api/v1/tyres/{nose['tyre']['id']}/installations",
        {"leg": nose["id"], "installed_at": club.now.isoformat()},
    )
    assert (refused.status_code, refused.json()["code"]) == (409, "overlap")


def test_a_strut_moves_to_another_aircraft_with_its_history(club: FlyingClub) -> None:
    here, there = club.aircraft("XX-HERE"), club.aircraft("XX-THER")
    leg, other = here["legs"]["left main"], there["legs"]["left main"]
    strut_id = leg["strut"]["id"]
    strut = LiveStrut.resting_at(4.5, MAIN)
    for _ in range(6):
        club.later(days=5)
        club.read(leg, strut)
        club.post("usage", {"aircraft": "XX-HERE", "ended_at": club.now.isoformat(), "landings": 3, "hours": 1.0})
    club.post("servicings", {"leg": leg["id"], "done_at": club.now.isoformat(), "work": "cleaned"})

    club.later(days=2)
    spare = other["strut"]["id"]
    club.post(f"struts/{spare}/removal", {"removed_at": club.now.isoformat(), "reason": "to overhaul"})
    club.post(f"struts/{strut_id}/move", {"leg": other["id"], "moved_at": club.now.isoformat(), "reason": "swap"})
    for _ in range(4):
        club.later(days=5)
        club.read(other, strut)
        club.post("usage", {"aircraft": "XX-THER", "ended_at": club.now.isoformat(), "landings": 2, "hours": 1.0})
    club.night()

    readings = club.get("readings", strut=strut_id)["items"]
    assert len(readings) == 10
    assert {reading["leg"] for reading in readings} == {leg["id"], other["id"]}
    assert [row["work"] for row in club.get("servicings", strut=strut_id)["items"]] == ["cleaned"]
    life = club.get(f"struts/{strut_id}/life")
    assert life["since_installed"]["landings"] == 8
    assert life["since_servicing"]["landings"] == 8
    assert life["since_new_life"]["landings"] == 6 * 3 + 4 * 2
    assert club.get(f"struts/{strut_id}/standing")["place"]["registration"] == "XX-THER"
    refused = club.mechanic.post(
        "/api/v1/readings", {"leg": leg["id"], "taken_at": club.now.isoformat(), "extension": "4 in"}
    )
    assert refused.status_code == 422
    assert club.get(f"struts/{strut_id}/history", days="400")


@pytest.mark.parametrize("part", ["strut", "tyre"])
def test_a_part_is_never_on_two_legs_nor_a_leg_under_two_parts(club: FlyingClub, part: str) -> None:
    legs = club.aircraft("XX-TWO")["legs"]
    club.later(days=1)

    onto_taken = club.mechanic.post(
        f"/api/v1/{part}s/{legs['nose'][part]['id']}/move",
        {"leg": legs["left main"]["id"], "moved_at": club.now.isoformat()},
    )

    assert (onto_taken.status_code, onto_taken.json()["code"]) == (409, "overlap")
