"""A strut that loses fluid and is topped up with gas again and again: then someone must look at the fluid."""

from tests.journeys.flying_club import MAIN, FlyingClub
from tests.journeys.live_strut import LiveStrut


def topped_up(club: FlyingClub, leg: dict[str, object], strut: LiveStrut) -> None:
    top_up = club.post("top-ups", {"leg": leg["id"], "equipment": "hand pump", "look": club.look(strut, "taxied")})
    path = f"top-ups/{top_up['id']}"
    while top_up["plan"]["next"] == "give gas":
        amount = top_up["plan"]["dose"]["amount"]
        club.later(minutes=10)
        strut.add(amount * 0.25)
        top_up = club.post(f"{path}/doses", {**club.look(strut, "taxied"), "amount": amount})
    club.post(f"{path}/finish", {}, **{"If-Match": club.etag(path)})


def test_a_second_top_up_within_sixty_days_asks_for_a_fluid_check(club: FlyingClub) -> None:
    leg = club.aircraft("XX-LEAK")["legs"]["left main"]
    club.manage("equipment", name="hand pump", kind="hand pump")
    strut = LiveStrut.resting_at(4.5, MAIN)
    for _ in range(8):
        club.later(days=5)
        club.read(leg, strut)
    club.night()
    assert club.standing(leg)["finding"] in ("steady", "too_few_readings")

    after_each = []
    for _ in range(2):
        for _ in range(4):
            club.later(days=5)
            strut.add(-0.22)
            club.read(leg, strut)
        club.night()
        assert club.standing(leg)["check_first"] == "look_for_fluid"  # one top-up is no reason to doubt the fluid
        club.later(hours=1)
        topped_up(club, leg, strut)
        club.later(days=2)
        club.read(leg, strut)
        club.night()
        after_each.append(club.standing(leg)["check_first"])

    assert after_each == ["look_for_fluid", "check_fluid_level"]
    assert club.standing(leg)["level"] != "none"

    # The look finds it: wet seal, fluid low. Then the finding says fluid.
    for _ in range(5):
        club.later(days=4)
        strut.add(-0.2)
        club.read(leg, strut, fluid_seen="wet", fluid_level="low")
    club.night()
    found = club.standing(leg)
    assert found["finding"] == "losing_fluid", found
    assert found["probability_fluid"] > 0.9

    # Resealed and filled with fresh fluid: a new baseline, a new life, and a look that is due.
    club.later(days=1)
    strut.add(4.5 - strut.shown_in)
    for work in ("seals replaced", "fluid changed", "gas added"):
        recorded = club.post("servicings", {"leg": leg["id"], "done_at": club.now.isoformat(), "work": work})
        assert recorded["effect"]["new_baseline"] == (work != "gas added")
    club.night()
    life = club.get(f"struts/{leg['strut']['id']}/life")
    assert life["since_new_life"]["why"] == "seals replaced"
    assert {look["reason"] for look in club.get("reinspections", leg=leg["id"], open="true")["items"]} >= {
        "new seals"
    }
    for _ in range(8):
        club.later(days=4)
        club.read(leg, strut, fluid_seen="dry", fluid_level="correct")
    club.night()
    assert not club.standing(leg)["finding"].startswith("losing")


def test_work_entered_late_explains_what_had_looked_like_something_else(club: FlyingClub) -> None:
    leg = club.aircraft("XX-LATE")["legs"]["left main"]
    strut = LiveStrut.resting_at(4.2, MAIN)
    for _ in range(8):
        club.later(days=5)
        club.read(leg, strut)
    filled_at = club.now
    strut.add(0.35)
    for _ in range(6):
        club.later(days=5)
        club.read(leg, strut)
    club.night()
    before = club.get(f"struts/{leg['strut']['id']}/history")

    late = {"leg": leg["id"], "work": "gas added", "strokes": 1, "note": "found in the paper log"}
    club.post("servicings", {**late, "done_at": filled_at.isoformat()})
    club.night()

    after = club.get(f"struts/{leg['strut']['id']}/history")
    assert before != after
    assert club.standing(leg)["finding"] in ("steady", "settling")
