"""Quantities as people write them, and the closed list of units."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculations.errors import CalculationError
from calculations.units import (
    KINDS,
    UNITS,
    Dimension,
    Measured,
    Quantity,
    UnitSystem,
    convert,
    display,
    display_unit,
    parse_header,
    parse_number,
    parse_quantity,
    scale,
    take_quantity,
    unit_named,
    units_of,
)


@pytest.mark.parametrize(
    ("value", "from_unit", "to_unit", "expected", "tolerance"),
    [  # NIST SP 811 (2008) factors, worked by hand to the digits shown
        (254.648, "psi", "kPa", 1755.736, 0.5e-3),
        (3.25, "in", "mm", 82.55, 1e-12),
        (59.0, "degF", "degC", 15.0, 1e-12),
        (100.0, "psi", "bar", 6.894757, 0.5e-6),
        (800.0, "lbf", "N", 3558.577, 0.5e-3),
        (491.612, "mL", "in3", 30.00, 0.5e-4),
        (1.0, "gal", "L", 3.785412, 0.5e-6),
        (1.0, "qt", "L", 0.9463529, 0.5e-7),
        (1.0, "fl oz", "mL", 29.57353, 0.5e-5),
        (1.0, "ft3", "L", 28.31685, 0.5e-5),
        (1.0, "lb", "kg", 0.45359237, 1e-15),
        (1013.25, "hPa", "inHg", 29.921, 0.5e-3),  # U.S. Standard Atmosphere, 1976
        (1.0, "kn", "ft/s", 1.687810, 0.5e-6),
        (1.0, "mph", "km/h", 1.609344, 1e-12),
        (1.0, "in lbf", "J", 0.1129848, 0.5e-7),
        (300.0, "K", "degF", 80.33, 1e-9),
        (1.0, "mo", "d", 30.4375, 1e-12),
    ],
)
def test_conversion_gives_the_published_value(
    value: float, from_unit: str, to_unit: str, expected: float, tolerance: float
) -> None:
    assert float(convert(value, from_unit, to_unit)) == pytest.approx(expected, abs=tolerance)


def test_standard_volume_of_gas_is_that_of_one_mole_at_15_celsius_and_one_atmosphere() -> None:
    # V = R T / p: 8.314462618 * 288.15 / 101325 = 0.023644830 m3, computed.
    assert float(convert(1.0, "mol", "std L")) == pytest.approx(23.644830, abs=0.5e-6)


@pytest.mark.parametrize(
    ("code", "quantity"),
    [  # The Unified Code for Units of Measure (codes other than [psi] from memory, source not seen)
        ("[psi]", Quantity.GAUGE_PRESSURE),
        ("kPa", Quantity.GAUGE_PRESSURE),
        ("bar", Quantity.GAUGE_PRESSURE),
        ("[in_i]", Quantity.LENGTH),
        ("mm", Quantity.LENGTH),
        ("[lbf_av]", Quantity.FORCE),
        ("N", Quantity.FORCE),
        ("[lb_av]", Quantity.MASS),
        ("kg", Quantity.MASS),
        ("[degF]", Quantity.TEMPERATURE),
        ("Cel", Quantity.TEMPERATURE),
        ("K", Quantity.TEMPERATURE),
        ("mL", Quantity.VOLUME),
        ("cm3", Quantity.VOLUME),
        ("mol", Quantity.CHARGE),
        ("h", Quantity.DURATION),
        ("d", Quantity.DURATION),
    ],
)
def test_ucum_code_is_understood_and_kept(code: str, quantity: Quantity) -> None:
    assert unit_named(code, quantity).ucum == code


def test_ucum_psi_is_pound_force_per_square_inch() -> None:
    # [psi] = [lbf_av]/[in_i]2
    newton_per_m2 = float(convert(1.0, "lbf", "N")) / float(convert(1.0, "in", "m")) ** 2
    assert float(convert(1.0, "psi", "kPa")) * 1000 == pytest.approx(newton_per_m2, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "quantity", "inside", "measured"),
    [
        ("4 1/2 in", Quantity.LENGTH, 4.5, Measured(4.5, "in")),
        ('4-1/2"', Quantity.LENGTH, 4.5, Measured(4.5, "in")),
        ("4½ in", Quantity.LENGTH, 4.5, Measured(4.5, "in")),
        ("11/16 in", Quantity.LENGTH, 0.6875, Measured(0.6875, "in")),
        ("4⁄5 in", Quantity.LENGTH, 0.8, Measured(0.8, "in")),
        ("-1-1/4 in", Quantity.LENGTH, -1.25, Measured(-1.25, "in")),
        ("4.50in", Quantity.LENGTH, 4.5, Measured(4.5, "in")),
        ("+.5 inches", Quantity.LENGTH, 0.5, Measured(0.5, "in")),
        ("114.3 mm", Quantity.LENGTH, 4.5, Measured(114.3, "mm")),
        ("5 ft", Quantity.LENGTH, 60.0, Measured(5.0, "ft")),
        ("5000 ft", Quantity.ELEVATION, 5000.0, Measured(5000.0, "ft")),
        ("62 psi", Quantity.GAUGE_PRESSURE, 62.0, Measured(62.0, "psi")),
        ("62 PSIG", Quantity.GAUGE_PRESSURE, 62.0, Measured(62.0, "psig")),
        ("62 psi gauge", Quantity.GAUGE_PRESSURE, 62.0, Measured(62.0, "psig")),
        ("14.7 psi abs", Quantity.ABSOLUTE_PRESSURE, 14.7, Measured(14.7, "psia")),
        ("-5 °C", Quantity.TEMPERATURE, 23.0, Measured(-5.0, "degC")),
        ("−5 °C", Quantity.TEMPERATURE, 23.0, Measured(-5.0, "degC")),
        ("59\u00a0°F", Quantity.TEMPERATURE, 59.0, Measured(59.0, "degF")),
        ("800 lb", Quantity.FORCE, 800.0, Measured(800.0, "lbf")),
        ("170 lb", Quantity.MASS, 170.0, Measured(170.0, "lb")),
        ("48 US gal", Quantity.FUEL_VOLUME, 48.0, Measured(48.0, "gal")),
        ("25 %", Quantity.FRACTION, 0.25, Measured(25.0, "%")),
        ("1.5 h", Quantity.FLIGHT_TIME, 1.5, Measured(1.5, "h")),
        ("1e2 psi", Quantity.GAUGE_PRESSURE, 100.0, Measured(100.0, "psi")),
        ("0.30000000000000004 in", Quantity.LENGTH, 0.30000000000000004, Measured(0.30000000000000004, "in")),
    ],
)
def test_quantity_is_read_as_people_write_it(
    text: str, quantity: Quantity, inside: float, measured: Measured
) -> None:
    found, kept = parse_quantity(text, quantity)
    assert found == pytest.approx(inside, rel=1e-14)
    assert kept == measured


@pytest.mark.parametrize(
    ("text", "quantity", "code"),
    [
        ("4,5 in", Quantity.LENGTH, "decimal_comma"),
        ("1,000 lb", Quantity.MASS, "decimal_comma"),
        ("4.5", Quantity.LENGTH, "unit_missing"),
        ("4 1/2", Quantity.LENGTH, "unit_missing"),
        ("", Quantity.LENGTH, "not_a_number"),
        ("in", Quantity.LENGTH, "not_a_number"),
        ("nan in", Quantity.LENGTH, "not_a_number"),
        ("1e308 ft", Quantity.LENGTH, "not_a_number"),
        ("1e999 in", Quantity.LENGTH, "not_a_number"),
        ("inf psi", Quantity.GAUGE_PRESSURE, "not_a_number"),
        ("1e99999 in", Quantity.LENGTH, "unit_unknown"),
        ("4.5.1 in", Quantity.LENGTH, "not_a_number"),
        ("1/2/3 in", Quantity.LENGTH, "not_a_number"),
        ("41/2 in", Quantity.LENGTH, "improper_fraction"),
        ("4/0 in", Quantity.LENGTH, "improper_fraction"),
        ("4 5 in", Quantity.LENGTH, "unit_unknown"),
        ("4 furlong", Quantity.LENGTH, "unit_unknown"),
        ("4 psi", Quantity.LENGTH, "unit_of_other_quantity"),
        ("20 gal", Quantity.MASS, "unit_of_other_quantity"),
        ("62 psia", Quantity.GAUGE_PRESSURE, "gauge_or_absolute"),
        ("62 psig", Quantity.ABSOLUTE_PRESSURE, "gauge_or_absolute"),
        ("62 psig", Quantity.PRESSURE_DIFFERENCE, "gauge_or_absolute"),
        ("4" * 65, Quantity.LENGTH, "not_a_number"),
        ("٤ in", Quantity.LENGTH, "not_a_number"),
    ],
)
def test_what_could_be_misread_is_refused(text: str, quantity: Quantity, code: str) -> None:
    with pytest.raises(CalculationError) as caught:
        parse_quantity(text, quantity, "reading")
    assert [(fault.field, fault.code) for fault in caught.value.faults] == [("reading", code)]


def test_refusal_of_a_unit_names_those_accepted() -> None:
    with pytest.raises(CalculationError, match="degF, degC, K"):
        parse_quantity("20 R", Quantity.TEMPERATURE)


@pytest.mark.parametrize("value", [True, "4", None, float("inf"), float("nan"), pytest.param(10**400, id="huge")])
def test_value_that_is_no_number_is_refused(value: object) -> None:
    with pytest.raises(CalculationError) as caught:
        take_quantity(value, "in", Quantity.LENGTH)  # type: ignore[arg-type]  # what JSON may bring
    assert caught.value.faults[0].code == "not_a_number"


def test_number_of_a_column_needs_no_unit() -> None:
    assert [parse_number(text) for text in ("4 1/2", "4.5", " −5 ")] == [4.5, 4.5, -5.0]


@pytest.mark.parametrize("text", ["4.5 in", "", "x"])
def test_number_of_a_column_with_more_beside_it_is_refused(text: str) -> None:
    with pytest.raises(CalculationError):
        parse_number(text, "extension")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("extension [in]", ("extension", "in")),
        ("temperature [degF]", ("temperature", "degF")),
        (" fuel[ lb ] ", ("fuel", "lb")),
        ("aircraft", ("aircraft", "")),
        ("volume [[in_i]3]", ("volume", "[in_i]3")),
    ],
)
def test_header_gives_name_and_unit(text: str, expected: tuple[str, str]) -> None:
    assert parse_header(text) == expected


@pytest.mark.parametrize("text", ["", "[in]", "extension [in", "extension [] x"])
def test_malformed_header_is_refused(text: str) -> None:
    with pytest.raises(CalculationError) as caught:
        parse_header(text)
    assert caught.value.faults[0].code == "malformed_header"


def test_column_converts_at_once() -> None:
    column = np.array([0.0, 100.0, -40.0])
    assert scale("degC", Quantity.TEMPERATURE).inward(column).tolist() == pytest.approx([32.0, 212.0, -40.0])


@pytest.mark.parametrize(
    ("quantity", "system", "inside", "text"),
    [
        (Quantity.LENGTH, "us", 4.5, "4.5 in"),
        (Quantity.LENGTH, UnitSystem.METRIC, 4.5, "114.3 mm"),
        (Quantity.TEMPERATURE, "metric", 59.0, "15 degC"),
        (Quantity.GAUGE_PRESSURE, "us", 62.0, "62 psi"),
        (Quantity.FRACTION, "us", 0.05, "5 %"),
    ],
)
def test_quantity_is_shown_in_the_callers_system(
    quantity: Quantity, system: UnitSystem, inside: float, text: str
) -> None:
    assert display(inside, quantity, system).text == text


@pytest.mark.parametrize(
    ("from_unit", "to_unit", "code"),
    [("in", "psi", "units_differ"), ("psig", "psia", "units_differ"), ("in", "ell", "unit_unknown")],
)
def test_conversion_that_means_nothing_is_refused(from_unit: str, to_unit: str, code: str) -> None:
    with pytest.raises(CalculationError) as caught:
        convert(1.0, from_unit, to_unit)
    assert caught.value.faults[0].code == code


def test_every_quantity_has_its_units_in_the_table() -> None:
    for quantity, kind in KINDS.items():
        symbols = {unit.symbol for unit in units_of(quantity)}
        assert {kind.internal, kind.us, kind.metric} <= symbols


def test_no_spelling_means_two_units_of_one_dimension() -> None:
    for dimension in Dimension:
        spellings = [
            name
            for unit in UNITS
            if unit.dimension == dimension and not unit.reference
            for name in {unit.symbol, unit.ucum, *unit.aliases}
        ]
        assert len(spellings) == len(set(spellings))


quantities = st.sampled_from(Quantity)
values = st.floats(-1e6, 1e6)


@given(quantities, values, st.data())
def test_value_survives_going_in_and_out(quantity: Quantity, value: float, data: st.DataObject) -> None:
    unit = data.draw(st.sampled_from(units_of(quantity)))
    line = scale(unit, quantity)
    assert float(line.outward(line.inward(value))) == pytest.approx(value, rel=1e-12, abs=1e-9)


@given(quantities, values, st.data())
def test_shown_quantity_can_be_read_again(quantity: Quantity, value: float, data: st.DataObject) -> None:
    system = data.draw(st.sampled_from(UnitSystem))
    shown = display(value, quantity, system)
    inside, kept = parse_quantity(f"{shown.value!r} {shown.unit}", quantity)
    assert kept.unit == display_unit(quantity, system).symbol
    assert inside == pytest.approx(value, rel=1e-12, abs=1e-9)


@given(values, st.data())
def test_conversion_over_a_third_unit_is_the_same(value: float, data: st.DataObject) -> None:
    dimension = data.draw(st.sampled_from(Dimension))
    plain = [unit.symbol for unit in UNITS if unit.dimension == dimension and not unit.reference]
    first, second, third = (data.draw(st.sampled_from(plain)) for _ in range(3))
    straight = float(convert(value, first, third))
    around = float(convert(convert(value, first, second), second, third))
    assert math.isclose(straight, around, rel_tol=1e-9, abs_tol=1e-6)


@given(st.text(max_size=40), quantities)
def test_any_text_is_read_or_refused_with_a_fault(text: str, quantity: Quantity) -> None:
    try:
        inside, _ = parse_quantity(text, quantity)
    except CalculationError:
        return
    assert math.isfinite(inside)
