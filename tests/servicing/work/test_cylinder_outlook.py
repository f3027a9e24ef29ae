"""What is left in a nitrogen cylinder, against the gas of a reference equation of state (Span et al. 2000)."""

import math
import uuid
from datetime import timedelta
from typing import Any

import CoolProp.CoolProp
import pytest
from rest_framework.test import APIClient
from time_machine import Traveller, travel

from fleet.aircraft.models import Leg
from fleet.operators.models import Operator
from servicing.work.actions import add_servicings, correct_servicing
from tests.builders.fleet import NOW, a_leg, a_strut, a_type_sheet, an_actor, an_aircraft, an_operator
from tests.builders.work import equipment, servicing_row
from tests.servicing.callers import caller_of

pytestmark = pytest.mark.django_db

PSI_PA = 6894.757293168  # exact definition of the pound-force per square inch
LITRE_IN3 = 61.0237440947
ATMOSPHERE_PSI = 14.6959487755
WATER_L = 11.1
# (diameter of the tube [in], load [lbf]); the nose asks for the higher pressure, the main takes more gas
NOSE, MAIN = (1.75, 600.0), (2.375, 800.0)


@pytest.fixture(autouse=True)
def clock() -> Any:
    with travel(NOW, tick=False) as clock:
        yield clock


@pytest.fixture
def club() -> Operator:
    club = an_operator()
    aircraft = an_aircraft(club)
    for position, (diameter, load) in (("nose", NOSE), ("left main", MAIN)):
        sheet = a_type_sheet(club, position.split()[-1], tube_diameter_in=diameter, reference_load_lbf=load)
        a_strut(club, a_leg(club, position, aircraft=aircraft, sheet=sheet))
    return club


@pytest.fixture
def caller(club: Operator) -> APIClient:
    return caller_of(club)


def added(caller: APIClient, **figures: Any) -> str:
    body = {"name": "nitrogen 1", "kind": "nitrogen cylinder", "water_volume": f"{WATER_L} L", **figures}
    answer = caller.post("/api/v1/equipment", body)
    assert answer.status_code == 201, answer.content
    return str(answer.json()["id"])


def log(caller: APIClient, cylinder: str, pressure: str = "2000 psi", *, days_ago: float = 0, **values: Any) -> None:
    taken_at = (NOW - timedelta(days=days_ago)).isoformat()
    sent = {"taken_at": taken_at, "pressure": pressure, "temperature": "50 degF", **values}
    assert caller.post(f"/api/v1/equipment/{cylinder}/pressures", sent).status_code == 201


def top_up(club: Operator, cylinder: str, *, days_ago: float, rise: float | None = None) -> Any:
    leg = Leg.objects.of(club).get(position="left main")
    lengths: dict[str, Any] = {} if rise is None else {"extension_before_in": 3.0, "extension_after_in": 3.0 + rise}
    row = servicing_row(leg, done_at=NOW - timedelta(days=days_ago), equipment_id=uuid.UUID(cylinder), **lengths)
    return add_servicings(actor=an_actor(club), now=NOW, rows=[row]).rows[0]


def outlook(caller: APIClient, cylinder: str, units: str = "metric") -> Any:
    answer = caller.get(f"/api/v1/equipment/{cylinder}/outlook", {"units": units})
    assert answer.status_code == 200, answer.content
    return answer.json()


def gas_mol(absolute_psi: float, volume_in3: float, temperature_f: float) -> float:
    """Return the nitrogen in a volume by the reference equation of state."""
    kelvin = (temperature_f + 459.67) / 1.8
    density = CoolProp.CoolProp.PropsSI("Dmolar", "T", kelvin, "P", absolute_psi * PSI_PA, "Nitrogen")
    return float(density) * volume_in3 * 1.6387064e-5


def strut_psia(diameter_in: float, load_lbf: float) -> float:
    return ATMOSPHERE_PSI + load_lbf / (math.pi / 4 * diameter_in**2)


def usable_mol(pressure_psig: float, temperature_f: float) -> float:
    volume, keeps = WATER_L * LITRE_IN3, strut_psia(*NOSE) + 50.0
    return gas_mol(pressure_psig + ATMOSPHERE_PSI, volume, temperature_f) - gas_mol(keeps, volume, temperature_f)


def per_top_up_mol(rise_in: float, hose_in3: float = 0.0, temperature_f: float = 50.0) -> float:
    """Return what one takes: the main's rise at constant pressure, and a hose vented from the nose's pressure."""
    dose = gas_mol(strut_psia(*MAIN), math.pi / 4 * MAIN[0] ** 2 * rise_in, 70.0)
    return dose + (gas_mol(strut_psia(*NOSE), hose_in3, temperature_f) if hose_in3 else 0.0)


def litres(mol: float) -> float:
    """Return gas as litres at 15 °C and one atmosphere, which is what the metric unit of a charge stands for."""
    return mol * 8.31446261815324 * 288.15 / 101325.0 * 1e3


def test_content_and_top_ups_left_are_those_of_the_real_gas(caller: APIClient) -> None:
    cylinder = added(caller, hose_volume="2 in3")
    log(caller, cylinder)

    found = outlook(caller, cylinder)

    usable = usable_mol(2000.0, 50.0)
    assert found["usable_gas"] == {"value": pytest.approx(litres(usable), rel=1e-3), "unit": "std L"}
    assert found["top_ups_left"] == int(usable / per_top_up_mol(1.5, hose_in3=2.0))
    assert found["strut_pressure"]["value"] == pytest.approx((strut_psia(*NOSE) - ATMOSPHERE_PSI) * PSI_PA / 1e3)
    assert (found["order_next"], found["change_now"], found["change_by"]) == (False, False, None)
    assert found["basis"] == {"type_sheet": ["reference_load", "tube_diameter"], "estimated": ["rise_per_top_up"]}


def test_what_nobody_measured_is_told_as_estimated(club: Operator, caller: APIClient) -> None:
    a_strut(club, a_leg(club, "nose", sheet=a_type_sheet(club, "nose", tube_diameter_in=None)))
    cylinder = added(caller)
    caller.post(f"/api/v1/equipment/{cylinder}/pressures", {"taken_at": NOW.isoformat(), "pressure": "140 bar"})

    assert outlook(caller, cylinder)["basis"] == {
        "type_sheet": ["reference_load"],
        "estimated": ["tube_diameter", "temperature", "hose_volume", "rise_per_top_up"],
    }


def test_the_change_is_forecast_from_the_top_ups_of_the_year_and_what_was_used_since_is_taken_off(
    club: Operator, caller: APIClient
) -> None:
    cylinder = added(caller, hose_volume="0 in3")
    log(caller, cylinder, "2200 psi", days_ago=400)
    log(caller, cylinder, "320 psi", days_ago=20)
    for days_ago, rise in ((380, 3.0), (300, 0.5), (200, 1.0), (100, 0.75), (10, 0.75), (5, None)):
        top_up(club, cylinder, days_ago=days_ago, rise=rise)
    mistaken = top_up(club, cylinder, days_ago=3)
    correct_servicing(actor=an_actor(club), now=NOW, servicing_id=mistaken.id, row=None, reason="another cylinder")

    found = outlook(caller, cylinder)

    each = per_top_up_mol(0.75)  # median of 0.5, 0.75, 0.75 and 1.0
    usable = usable_mol(320.0, 50.0) - 2 * each
    left = int(usable / each)
    assert (found["top_ups_counted"], found["top_ups_since"], found["counted_days"]) == (5, 2, 365)
    assert found["rise_per_top_up"]["value"] == pytest.approx(0.75 * 25.4)
    assert found["usable_gas"]["value"] == pytest.approx(litres(usable), rel=1e-3)
    assert found["top_ups_left"] == left
    assert found["change_by"] == (NOW + timedelta(days=left / (5 / 365))).date().isoformat()


def test_days_before_the_cylinder_was_there_do_not_make_it_last_longer(club: Operator, caller: APIClient) -> None:
    cylinder = added(caller, hose_volume="0 in3")
    log(caller, cylinder, "400 psi", days_ago=60)
    for days_ago in (50, 40, 30, 20, 10):
        top_up(club, cylinder, days_ago=days_ago)

    found = outlook(caller, cylinder)

    left = int((usable_mol(400.0, 50.0) - 5 * per_top_up_mol(1.5)) / per_top_up_mol(1.5))
    assert (found["counted_days"], found["top_ups_left"]) == (60, left)
    assert found["change_by"] == (NOW + timedelta(days=left / (5 / 60))).date().isoformat()


def test_gas_that_nobody_wrote_down_is_seen_in_the_pressures_since_the_cylinder_was_filled(caller: APIClient) -> None:
    cylinder = added(caller)
    for days_ago, pressure in (
        (120, "1200 psi"),
        (100, "2000 psi"),
        (60, "2010 psi"),
        (40, "900 psi"),
        (20, "700 psi"),
    ):
        log(caller, cylinder, pressure, days_ago=days_ago)

    volume = WATER_L * LITRE_IN3
    fallen = gas_mol(2000.0 + ATMOSPHERE_PSI, volume, 50.0) - gas_mol(700.0 + ATMOSPHERE_PSI, volume, 50.0)
    left_days = usable_mol(700.0, 50.0) / (fallen / 80.0)
    assert outlook(caller, cylinder)["change_by"] == (NOW + timedelta(days=left_days - 20)).date().isoformat()


def test_a_day_more_than_ten_years_off_is_not_told(club: Operator, caller: APIClient) -> None:
    cylinder = added(caller)
    log(caller, cylinder, days_ago=300)
    top_up(club, cylinder, days_ago=200)

    assert outlook(caller, cylinder)["change_by"] is None


def test_one_days_use_is_not_taken_for_the_rate_of_a_year(club: Operator, caller: APIClient) -> None:
    cylinder = added(caller)
    log(caller, cylinder, days_ago=1)
    top_up(club, cylinder, days_ago=0.5)

    assert outlook(caller, cylinder)["counted_days"] == 30


@pytest.mark.parametrize(
    ("left", "order_next", "change_now"), [(6, False, False), (5, True, False), (1, True, False), (0, True, True)]
)
def test_the_next_one_is_ordered_at_five_left_and_the_change_is_now_at_none(
    caller: APIClient, left: int, order_next: bool, change_now: bool
) -> None:
    cylinder = added(caller, hose_volume="0 in3")
    low, high = strut_psia(*NOSE), 3000.0
    for _ in range(60):  # the pressure at which half a top-up more than wanted is in it
        middle = (low + high) / 2
        low, high = (middle, high) if usable_mol(middle, 50.0) < (left + 0.5) * per_top_up_mol(1.5) else (low, middle)
    log(caller, cylinder, f"{low:.4f} psi")

    found = outlook(caller, cylinder)

    assert (found["top_ups_left"], found["order_next"], found["change_now"]) == (left, order_next, change_now)


def test_a_cylinder_below_what_the_struts_ask_for_holds_nothing_useful(caller: APIClient) -> None:
    cylinder = added(caller)
    log(caller, cylinder, "100 psi")

    found = outlook(caller, cylinder)

    assert (found["usable_gas"]["value"], found["top_ups_left"], found["change_now"]) == (0.0, 0, True)


def test_what_cannot_be_told_is_refused_with_what_to_do(club: Operator, caller: APIClient, clock: Traveller) -> None:
    pump = equipment(club, "hand pump")
    cylinder = added(caller)
    nobody = an_operator()
    lonely = caller_of(nobody)
    theirs = added(lonely)
    log(lonely, theirs)

    codes = [
        (who.get(f"/api/v1/equipment/{one}/outlook").status_code, who.get(f"/api/v1/equipment/{one}/outlook").json())
        for who, one in ((caller, pump.id), (caller, cylinder), (lonely, theirs), (caller, theirs))
    ]

    assert [(status, body["code"]) for status, body in codes] == [
        (422, "not_a_cylinder"),
        (422, "no_pressure_logged"),
        (422, "no_struts"),
        (404, "not_found"),
    ]
