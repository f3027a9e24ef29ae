"""The closed list of accepted units."""

from typing import Any

import pytest
from rest_framework.test import APIClient

from calculations.units import KINDS, Quantity, convert


def test_every_quantity_is_listed_with_its_ucum_codes(client: APIClient) -> None:
    listed = {row["quantity"]: row for row in client.get("/api/v1/units").json()["quantities"]}
    assert set(listed) == {str(quantity) for quantity in KINDS}
    # UCUM (Regenstrief), case-sensitive; codes other than [psi] from memory, source not seen
    codes = {unit["ucum"] for row in listed.values() for unit in row["units"]}
    assert {
        "[psi]",
        "kPa",
        "bar",
        "[in_i]",
        "mm",
        "[lbf_av]",
        "N",
        "[lb_av]",
        "kg",
        "[degF]",
        "Cel",
        "K",
        "mL",
    } <= codes
    assert {"cm3", "mol", "h", "d"} <= codes
    assert (listed["gauge_pressure"]["us"], listed["gauge_pressure"]["metric"]) == ("psi", "kPa")
    assert listed["gauge_pressure"]["reference"] == "gauge"
    assert "psia" not in {unit["symbol"] for unit in listed["gauge_pressure"]["units"]}
    assert "psia" in {unit["symbol"] for unit in listed["absolute_pressure"]["units"]}


def test_what_is_listed_is_accepted_and_nothing_else(client: APIClient, ask: Any, refused: Any) -> None:
    for row in client.get("/api/v1/units").json()["quantities"]:
        if row["quantity"] == "wing_loading":
            for unit in row["units"]:
                for name in (unit["symbol"], unit["ucum"], *unit["aliases"]):
                    ask("landing", {"wing_loading": {"value": 40, "unit": name}})
    assert refused("landing", {"wing_loading": "40 stone"}, 400) == {("wing_loading", "unit_unknown")}


@pytest.mark.parametrize(
    ("value", "unit", "other", "expected", "tolerance"),
    # NIST SP 811 (2008), appendix B
    [
        (1, "in2", "cm2", 6.4516, 1e-9),
        (1, "lb/ft2", "kg/m2", 4.882428, 5e-7),
        (1, "lb/ft3", "kg/m3", 16.01846, 5e-6),
        (1, "in/lbf", "mm/N", 25.4 / 4.4482216152605, 1e-9),
        (1, "in/degF", "mm/K", 45.72, 1e-9),
        (1, "in/psi", "mm/kPa", 25.4 / 6.894757, 1e-6),
        (1, "in3/mol", "cm3/mol", 16.387064, 1e-9),
    ],
)
def test_units_of_slopes_areas_and_densities_convert(
    value: float, unit: str, other: str, expected: float, tolerance: float
) -> None:
    assert float(convert(value, unit, other)) == pytest.approx(expected, abs=tolerance)
    assert float(convert(expected, other, unit)) == pytest.approx(value, abs=1e-6)


def test_a_kind_shows_units_of_its_own_in_each_system() -> None:
    assert KINDS[Quantity.WING_LOADING].us != KINDS[Quantity.WING_LOADING].metric
