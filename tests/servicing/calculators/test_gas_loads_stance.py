"""Gas, atmosphere, loads, stance and landing calculators against published values, and what they refuse."""

from typing import Any

import pytest

from tests.servicing.calculators.answers import part

ARMS = {"third_leg_arm": "50 in", "main_arm": "128 in"}
LEG = {"extension": "4.5 in", "reference_extension": "4.5 in"}
NOSE_HIGH = {
    "third_leg": {"extension": "7 in", "reference_extension": "3.25 in"},
    "left_main": LEG,
    "right_main": LEG,
    "third_leg_ahead": "80 in",
    "track": "100 in",
    "propeller_ahead": "90 in",
}

VALUES = [
    # Span et al., J. Phys. Chem. Ref. Data 29 (2000) 1361
    ("gas/properties", {"pressure": "2 MPa", "temperature": "300 K"}, "us", {"compressibility": (0.99725, 5e-6)}),
    ("gas/properties", {"pressure": "1 MPa", "temperature": "300 K"}, "metric", {"density": (11.2488, 5e-5)}),
    (
        "gas/properties",
        {"pressure": "1 MPa", "temperature": "250 K"},
        "metric",
        {"second_virial": (-16.440, 5e-4), "third_virial_cm6_mol2": (1571, 0.5)},
    ),
    # Lemmon et al., J. Phys. Chem. Ref. Data 29 (2000) 331
    (
        "gas/properties",
        {"gas": "dry air", "pressure": "5 MPa", "temperature": "300 K"},
        "us",
        {"compressibility": (0.99076, 5e-6)},
    ),
    # U.S. Standard Atmosphere, 1976
    ("atmosphere", {"elevation": "5000 ft"}, "us", {"pressure": (12.2277, 5e-5)}),
    (
        "atmosphere",
        {"elevation": "5000 ft"},
        "metric",
        {"pressure": (84.3073, 5e-5), "temperature": (278.244 - 273.15, 5e-4)},
    ),
    # FAA-H-8083-1B ch. 10, nose wheel, as a page quotes it; datum 128 in ahead of the mains (from memory)
    (
        "loads/weight",
        {**ARMS, "weight": "2006 lb", "centre_of_gravity": "114.77966 in"},
        "us",
        {"third_leg": (340.0, 0.005), "left_main": (833.0, 0.05), "right_main": (833.0, 0.05)},
    ),
    # The same, tail wheel, mains at 7.5 in and tail wheel 67 in behind them (from memory)
    (
        "loads/weight",
        {"third_leg_arm": "74.5 in", "main_arm": "7.5 in", "weight": "1218 lb", "centre_of_gravity": "19.7118 in"},
        "us",
        {"third_leg": (222.0, 0.005)},
    ),
    # EASA question bank: nose 285 kg, mains 1465 and 1395 kg, wheelbase 92 in
    (
        "loads/scales",
        {
            "third_leg_arm": "0 in",
            "main_arm": "92 in",
            "third_leg": "285 kgf",
            "left_main": "1465 kgf",
            "right_main": "1395 kgf",
            "track": "100 in",
        },
        "metric",
        {"weight": (3145, 1e-3), "centre_of_gravity": (83.6630 * 25.4, 5e-5 * 25.4)},
    ),
    ("loads/shares", {**ARMS, "arm": "128 in"}, "us", {"third_leg": (0.0, 1e-12), "each_main": (0.5, 1e-12)}),
    (
        "loads/leg",
        {
            "loading": {"reference_load": "800 lbf", "reference_fuel": "288 lb", "load_per_fuel": 0.416},
            "fuel": "100 lb",
            "fuel_uncertainty": "10 lb",
        },
        "us",
        {"load": (721.792, 5e-4), "uncertainty": (4.16, 1e-6)},
    ),
    # Plane geometry: atan(3.75/80); 3.75 * 90/80
    ("stance", NOSE_HIGH, "us", {"pitch": (2.684, 5e-4), "roll": (0, 1e-12), "clearance_change": (4.21875, 1e-6)}),
    (
        "stance/flat-and-bottomed",
        {"reference_extension": "3.25 in", "loaded_radius": "6.8 in", "flange_diameter": "7.25 in"},
        "us",
        {"rise": (-6.425, 1e-9)},
    ),
    # 14 CFR 23.925(a) before amendment 23-64: 1.5 g on leaf springs
    ("stance/leaf-spring", {"static_deflection": "4 in"}, "us", {"rise": (-2.0, 1e-9)}),
    # 14 CFR 23.725(a) and 23.473(d), (g) before amendment 23-64; 23.473 from memory, source not seen
    (
        "landing",
        {"wing_loading": "16 lb/ft2"},
        "us",
        {"design_descent": (8.8, 5e-4), "drop_height": (14.4, 5e-4), "ground_load_factor": (2.67 - 2 / 3, 1e-9)},
    ),
    (
        "landing",
        {"wing_loading": "5 psf"},
        "metric",
        {"design_descent": (7 * 0.3048, 1e-6), "drop_height": (233.68, 1e-3)},
    ),
    # 14 CFR 23.725(b), equation from memory
    (
        "landing/drop-weight",
        {"weight": "1000 lb", "drop_height": "12 in", "compression": "8 in"},
        "us",
        {"effective_weight": (733.33, 5e-3)},
    ),
]


@pytest.mark.parametrize(("path", "body", "units", "expected"), VALUES, ids=[value[0] for value in VALUES])
def test_a_known_value_comes_out(ask: Any, path: str, body: Any, units: str, expected: Any) -> None:
    answer = ask(path, body, units)
    for place, (value, tolerance) in expected.items():
        assert part(answer, place) == pytest.approx(value, abs=tolerance), place


def test_items_aboard_say_what_was_assumed_of_left_and_right(ask: Any) -> None:
    body = {
        "third_leg_arm": "22 in",
        "main_arm": "109.7 in",
        "items": [
            {"name": "empty", "weight": "1500 lb", "arm": "87 in"},
            {"name": "pilot", "weight": "170 lb", "arm": "85.5 in", "lateral_arm": "-9 in"},
        ],
    }
    even = ask("loads/items", body)
    assert any("symmetric" in text or "alike" in text or "equal" in text for text in even["assumptions"])
    assert part(even, "left_main") == part(even, "right_main")
    # Moments about the centre line: 170 lb 9 in left of it over a track of 120 in, twice
    leaning = ask("loads/items", {**body, "track": "120 in"})
    assert part(leaning, "left_main") - part(leaning, "right_main") == pytest.approx(25.5, abs=1e-3)


@pytest.mark.parametrize(("ahead", "minimum"), [("80 in", 7.0), ("-80 in", 9.0)])
def test_the_published_clearance_depends_on_the_third_wheel(ask: Any, ahead: str, minimum: float) -> None:
    # 14 CFR 23.925(a) before amendment 23-64: 7 in with a nose wheel, 9 in with a tail wheel
    level = {**NOSE_HIGH, "third_leg": LEG, "third_leg_ahead": ahead, "reference_clearance": "8 in"}
    answer = ask("stance", level)
    assert (part(answer, "minimum_clearance"), answer["enough"]) == (minimum, minimum == 7.0)
    assert part(ask("stance", {**level, "minimum_clearance": "8 in"}), "margin") == 0


def test_without_a_reference_clearance_none_is_told(ask: Any) -> None:
    answer = ask("stance", NOSE_HIGH)
    assert [answer[name] for name in ("clearance", "minimum_clearance", "margin", "enough")] == [None] * 4


REFUSALS = [
    (
        "gas/properties",
        {"gas": "Oxygen", "pressure": "-1 psia", "temperature": "400 K", "volume": "-1 in3"},
        {
            ("gas", "gas_not_allowed"),
            ("pressure", "negative_absolute_pressure"),
            ("temperature", "temperature_outside_gas_table"),
            ("volume", "negative"),
        },
    ),
    ("atmosphere", {"elevation": "300000 ft"}, {("elevation", "out_of_range")}),
    ("loads/weight", {**ARMS, "weight": "0 lb", "centre_of_gravity": "114 in"}, {("weight", "not_positive")}),
    ("loads/weight", {**ARMS, "weight": "1 lb", "centre_of_gravity": "200 in"}, {("centre_of_gravity", "tips_over")}),
    (
        "loads/items",
        {"third_leg_arm": "5 in", "main_arm": "5 in", "items": [{"weight": "9 lb", "arm": "1 in"}]},
        {("third_leg_arm", "no_wheelbase")},
    ),
    (
        "loads/scales",
        {**ARMS, "third_leg": "-1 lbf", "left_main": "-1 lbf", "right_main": "9 lbf", "track": "0 in"},
        {("third_leg", "negative"), ("left_main", "negative"), ("track", "not_positive")},
    ),
    (
        "loads/leg",
        {
            "loading": {"reference_load": "0 lbf", "reference_fuel": "-1 lb", "load_per_fuel": 0.4},
            "fuel": "-1 lb",
        },
        {
            ("loading.reference_load", "not_positive"),
            ("loading.reference_fuel", "negative"),
            ("fuel", "negative"),
            ("fuel", "no_load"),
        },
    ),
    (
        "stance",
        {
            **NOSE_HIGH,
            "left_main": {"extension": "-1 in", "reference_extension": "4 in", "rake": "80 deg"},
            "third_leg_ahead": "0 in",
            "track": "0 in",
            "minimum_clearance": "-1 in",
        },
        {
            ("left_main.extension", "negative"),
            ("left_main.rake", "out_of_range"),
            ("third_leg_ahead", "no_wheelbase"),
            ("track", "not_positive"),
            ("minimum_clearance", "negative"),
        },
    ),
    (
        "stance/flat-and-bottomed",
        {"reference_extension": "3 in", "loaded_radius": "3 in", "flange_diameter": "7 in"},
        {("flange_diameter", "outside_tyre")},
    ),
    (
        "stance/leaf-spring",
        {"static_deflection": "-1 in", "load_factor": 0.5},
        {
            ("static_deflection", "negative"),
            ("load_factor", "out_of_range"),
        },
    ),
    (
        "landing",
        {"wing_loading": "0 lb/ft2", "inertia_load_factor": 2, "wing_lift_share": 0.7},
        {
            ("wing_loading", "not_positive"),
            ("inertia_load_factor", "below_rule"),
            ("wing_lift_share", "out_of_range"),
        },
    ),
    (
        "landing/drop-weight",
        {"weight": "0 lb", "drop_height": "0 in", "compression": "-1 in", "wing_lift_share": 0.9},
        {
            ("weight", "not_positive"),
            ("drop_height", "not_positive"),
            ("compression", "negative"),
            ("wing_lift_share", "out_of_range"),
        },
    ),
]


@pytest.mark.parametrize(("path", "body", "faults"), REFUSALS, ids=[refusal[0] for refusal in REFUSALS])
def test_impossible_figures_are_refused_field_by_field(refused: Any, path: str, body: Any, faults: Any) -> None:
    assert refused(path, body) == faults


def test_an_item_without_weight_is_named_with_its_number(refused: Any) -> None:
    body = {**ARMS, "items": [{"weight": "9 lb", "arm": "100 in"}, {"weight": "-9 lb", "arm": "100 in"}]}
    assert refused("loads/items", body, 400) == {("items.1.weight", "too_small")}


def test_figures_beyond_all_numbers_are_refused(refused: Any) -> None:
    huge = {"value": 1e308, "unit": "lb"}
    assert refused("loads/items", {**ARMS, "items": [{"weight": huge, "arm": "1e5 in"}] * 2}) == set()
