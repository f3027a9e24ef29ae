"""A main strut that sticks and then jumps: no gas is given for what has not shown yet."""

from tests.journeys.flying_club import MAIN, FlyingClub
from tests.journeys.live_strut import LiveStrut

RISE_PER_STROKE_IN = 0.25


def test_a_sticky_main_is_filled_without_overshoot_over_two_days(club: FlyingClub) -> None:
    leg = club.aircraft("XX-STIK")["legs"]["left main"]
    club.manage("equipment", name="hand pump", kind="hand pump")
    strut = LiveStrut.resting_at(3.0, MAIN, friction_share=0.10)
    strut.binding = 0.30  # only taxiing frees it

    top_up = club.post("top-ups", {"leg": leg["id"], "equipment": "hand pump", "look": club.look(strut, "taxied")})
    assert top_up["plan"]["next"] == "give gas"
    path, given = f"top-ups/{top_up['id']}", 0.0
    while top_up["plan"]["next"] == "give gas":
        amount = top_up["plan"]["dose"]["amount"]
        club.later(minutes=4)
        strut.add(amount * RISE_PER_STROKE_IN)
        given += amount
        top_up = club.post(f"{path}/doses", {**club.look(strut, "not"), "amount": amount})
        assert given <= 8

    # The pump says more than an inch, the ruler shows nothing of it.
    assert top_up["plan"]["next"].startswith(("hidden charge", "exercise"))
    assert top_up["plan"]["dose"] is None
    assert top_up["plan"]["hidden"]["value"] > 0.5
    assert any("propeller" in caution for caution in top_up["cautions"])

    paused = club.post(f"{path}/pause", None, **{"If-Match": club.etag(path)})
    assert paused["state"] == "paused"
    club.later(days=1)
    top_up = club.post(f"{path}/looks", club.look(strut, "flown"))
    assert top_up["state"] == "running"
    assert top_up["plan"]["hidden"]["value"] == 0
    assert top_up["plan"]["learned"]["doses"] >= 1

    while top_up["plan"]["next"] == "give gas":
        amount = top_up["plan"]["dose"]["amount"]
        club.later(minutes=30)
        strut.add(amount * RISE_PER_STROKE_IN)
        top_up = club.post(f"{path}/doses", {**club.look(strut, "taxied"), "amount": amount})
    assert top_up["plan"]["next"] in ("done", "a smaller dose, or leave it")
    assert top_up["plan"]["corrected"]["value"] <= 4.75
    club.post(f"{path}/finish", {}, **{"If-Match": club.etag(path)})

    assert [row["work"] for row in club.get("servicings", leg=leg["id"])["items"]] == ["gas added", "gas added"]
    club.night()
    (look,) = club.get("reinspections", leg=leg["id"], open="true")["items"]
    assert look["reason"] == "after top-up"
    club.later(days=4)
    strut.exercise("flown")
    club.read(leg, strut)
    club.night()
    assert club.get("reinspections", leg=leg["id"], open="true")["items"] == []
