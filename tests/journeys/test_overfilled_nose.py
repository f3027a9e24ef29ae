"""A nose strut that was overfilled because it settled late: found, let down and dialled in."""

import pytest

from tests.journeys.flying_club import NOSE, FlyingClub
from tests.journeys.live_strut import LiveStrut

DROP_PER_SECOND_IN = 0.7  # what this valve lets out; the service does not know it


def test_an_overfilled_nose_strut_is_found_let_down_and_dialled_in(club: FlyingClub) -> None:
    leg = club.aircraft("XX-NOSE")["legs"]["nose"]
    club.manage("equipment", name="hand pump", kind="hand pump")
    strut = LiveStrut.resting_at(3.25, NOSE, friction_share=0.05)
    for _ in range(8):
        club.later(days=4)
        assert club.read(leg, strut)["judgement"]["action"] == "nothing"

    # Someone tops it up by the whole log at once and writes it down; two strokes too many show only in flight.
    club.later(days=3)
    strut.add(1.6)
    club.post("servicings", {"leg": leg["id"], "done_at": club.now.isoformat(), "work": "gas added", "strokes": 7})
    for _ in range(3):
        club.later(days=1)
        found = club.read(leg, strut)
    club.night()
    assert found["judgement"]["place"] == "above the high limit"
    assert found["judgement"]["action"] == "let gas out"
    assert club.standing(leg)["finding"] == "standing_high"
    assert any(look["reason"] == "after top-up" for look in club.get("reinspections", leg=leg["id"])["items"])

    club.later(hours=1)
    top_up = club.post("top-ups", {"leg": leg["id"], "look": club.look(strut)})
    assert top_up["plan"]["next"] == "let gas out"
    released = 0
    while top_up["plan"]["next"] == "let gas out":
        dose = top_up["plan"]["dose"]
        assert dose["overshoot_chance"] <= 0.05
        assert any("short bursts" in caution for caution in top_up["cautions"])
        club.later(minutes=5)
        strut.add(-DROP_PER_SECOND_IN * dose["amount"])
        body = {**club.look(strut, "taxied"), "amount": dose["amount"], "released": True}
        top_up = club.post(f"top-ups/{top_up['id']}/doses", body)
        released += 1
        assert released < 10
    if top_up["plan"]["next"] == "choose equipment":
        path = f"top-ups/{top_up['id']}"
        top_up = club.patch(path, {"equipment": "hand pump"}, club.etag(path))
    while top_up["plan"]["next"] == "give gas":
        amount = top_up["plan"]["dose"]["amount"]
        club.later(minutes=20)
        strut.add(0.25 * amount)
        top_up = club.post(f"top-ups/{top_up['id']}/doses", {**club.look(strut, "taxied"), "amount": amount})
    assert top_up["plan"]["next"] in ("done", "a smaller dose, or leave it")
    assert top_up["plan"]["corrected"]["value"] == pytest.approx(3.25, abs=0.3)

    path = f"top-ups/{top_up['id']}"
    finished = club.post(f"{path}/finish", {}, **{"If-Match": club.etag(path)})
    assert (finished["state"], finished["outcome"]) == ("finished", "within limits")
    servicings = club.get("servicings", leg=leg["id"])["items"]
    assert [row["work"] for row in servicings][-2:] == ["gas released", "gas added"]

    for _ in range(6):
        club.later(days=3)
        club.read(leg, strut)
    club.night()
    standing = club.standing(leg)
    assert standing["finding"] not in ("standing_high", "losing_gas", "losing_fluid", "losing_charge")
    assert standing["extension"]["value"] == pytest.approx(3.25, abs=0.35)


def test_a_nose_strut_that_is_long_because_it_is_warm_is_left_alone(club: FlyingClub) -> None:
    leg = club.aircraft("XX-WARM")["legs"]["nose"]
    strut = LiveStrut.resting_at(3.25, NOSE)
    strut.temperature_f = 110.0

    top_up = club.post("top-ups", {"leg": leg["id"], "look": club.look(strut, "taxied")})

    assert top_up["plan"]["next"] == "nothing to do"
    assert "only for temperature" in top_up["plan"]["why"]
