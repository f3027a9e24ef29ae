"""Figures from the type sheet of one of the caller's legs."""

from typing import Any

import pytest

from fleet.operators.models import Operator
from tests.builders.fleet import a_leg, a_type_sheet, an_operator, next_id
from tests.servicing.calculators.answers import part

CONDITIONS = {"extension": "4 in", "temperature": "32 degF", "load": "700 lbf"}


def test_the_sheet_gives_what_is_not_sent_and_the_basis_says_which(operator: Operator, ask: Any) -> None:
    leg = a_leg(operator, sheet=a_type_sheet(operator, fluid_volume_in3=None))
    answer = ask("strut/correction", {**CONDITIONS, "strut": {"of_leg": str(leg.id), "gas_column": "2.5 in"}})
    assert answer["basis"]["given"] == ["extension", "load", "strut.gas_column", "strut.of_leg", "temperature"]
    assert answer["basis"]["type_sheet"] == [
        "strut.fluid_expansion_per_k",
        "strut.full_extension",
        "strut.gas",
        "strut.leg",
        "strut.reference_load",
        "strut.reference_temperature",
        "strut.target_extension",
        "strut.tube_diameter",
    ]
    assert answer["basis"]["estimated"] == ["strut.fluid_volume"]
    assert any("Fluid volume is not given" in text for text in answer["assumptions"])


def test_the_sheet_counts_as_if_its_figures_had_been_sent(operator: Operator, ask: Any) -> None:
    sheet = a_type_sheet(operator, gas="dry air")
    by_leg = ask("strut/correction", {**CONDITIONS, "strut": {"of_leg": str(a_leg(operator, sheet=sheet).id)}})
    sent = {
        "tube_diameter": f"{sheet.tube_diameter_in} in",
        "gas_column": f"{sheet.gas_column_in} in",
        "fluid_volume": f"{sheet.fluid_volume_in3} in3",
        "fluid_expansion_per_k": sheet.fluid_expansion_per_k,
        "full_extension": f"{sheet.full_extension_in} in",
        "reference_load": f"{sheet.reference_load_lbf} lbf",
        "reference_temperature": f"{sheet.reference_temperature_f} degF",
        "gas": "dry air",
    }
    by_figures = ask("strut/correction", {**CONDITIONS, "strut": sent})
    assert by_leg["corrected"] == by_figures["corrected"]
    assert by_leg["uncertainty"] == by_figures["uncertainty"]


def test_a_load_beyond_the_sheets_pressure_is_refused(operator: Operator, refused: Any) -> None:
    leg = a_leg(operator, sheet=a_type_sheet(operator, maximum_pressure_psig=150.0))
    body = {**CONDITIONS, "strut": {"of_leg": str(leg.id)}}
    assert refused("strut/charge", body) == {("load", "above_maximum_pressure")}


def test_a_reading_beyond_the_sheets_tube_is_refused(operator: Operator, refused: Any) -> None:
    body = {**CONDITIONS, "extension": "9 in", "strut": {"of_leg": str(a_leg(operator).id)}}
    assert refused("strut/charge", body) == {("extension", "extension_beyond_tube")}


@pytest.mark.parametrize(
    ("path", "body", "place"),
    [
        ("strut/charge", {**CONDITIONS, "strut": {}}, "strut"),
        ("loads/leg", {"loading": {}, "fuel": "100 lb"}, "loading"),
        (
            "tyres/assessment",
            {"tyre": {}, "pressure": "29 psi", "temperature": "60 degF", "reference_temperature": "60 degF"},
            "tyre",
        ),
        (
            "tyres/tread",
            {"tyre": {}, "new_depth": "0.27 in", "readings": [{"landings": 0, "depth": "0.27 in"}]},
            "tyre",
        ),
    ],
)
def test_another_operators_leg_is_as_unknown_as_none(
    operator: Operator, refused: Any, path: str, body: Any, place: str
) -> None:
    for leg_id in (a_leg(an_operator()).id, next_id()):
        asked = {**body, place: {"of_leg": str(leg_id)}}
        assert refused(path, asked, 404) == {(f"{place}.of_leg", "not_found")}


def test_what_neither_caller_nor_sheet_gives_is_asked_for(operator: Operator, refused: Any) -> None:
    bare = a_type_sheet(operator, reference_load_lbf=None, load_per_fuel=None, tyre_service_pressure_psig=None)
    leg = {"of_leg": str(a_leg(operator, sheet=bare).id)}
    assert refused("loads/leg", {"loading": leg, "fuel": "100 lb"}) == {
        (f"loading.{name}", "required") for name in ("reference_load", "reference_fuel", "load_per_fuel")
    }
    weather = {"temperature": "60 degF", "coldest_temperature": "20 degF"}
    assert refused("tyres/pressure-to-set", {"tyre": leg, **weather}) == {("tyre.service_pressure", "required")}


def test_the_sheets_tyre_and_loading_are_taken(operator: Operator, ask: Any) -> None:
    sheet = a_type_sheet(operator, reference_fuel_lb=200.0, load_per_fuel=0.4, tyre_wear_limit_in=1 / 16)
    leg = {"of_leg": str(a_leg(operator, sheet=sheet).id)}
    assert part(ask("loads/leg", {"loading": leg, "fuel": "100 lb"}), "load") == pytest.approx(660.0)
    tread = {"new_depth": "0.27 in", "readings": [{"landings": 0, "depth": "0.27 in"}]}
    worn = ask("tyres/tread", {"tyre": leg, **tread})
    assert worn["basis"]["type_sheet"] == ["tyre.wear_limit"]
    assert worn["landings_left"] < ask("tyres/tread", tread)["landings_left"]
