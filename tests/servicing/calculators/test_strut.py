"""Strut calculators against published and worked values of Reference Strut A, and what they refuse."""

from typing import Any

import pytest

from tests.servicing.calculators.answers import IDEAL_A, REST_A, STRUT_A, part

# Computed with the reference equation of state (Span et al., 2000) and R = 8.314462618, unless named.
VALUES = [
    ("strut/charge", REST_A, "us", {"amount_mol": (0.149419, 5e-7), "gauge_pressure": (254.648, 5e-4)}),
    ("strut/charge", REST_A, "metric", {"gauge_pressure": (1755.736, 5e-4), "pressure": (1857.06, 5e-3)}),
    ("strut/charge", {**REST_A, "strut": IDEAL_A}, "us", {"amount_mol": (0.148743, 5e-7)}),
    (
        "strut/extension",
        {"strut": STRUT_A, "charge": "0.149419 mol", "temperature": "15 degC", "load": "650 lbf"},
        "us",
        {"extension": (4.0562, 5e-5)},
    ),
    (
        "strut/extension",
        {"strut": IDEAL_A, "charge": "0.148743 mol", "temperature": "15 degC", "load": "1000 lbf"},
        "us",
        {"extension": (2.5374, 5e-5)},
    ),
    (
        "strut/pressure",
        {"strut": IDEAL_A, "charge": "0.148743 mol", "temperature": "15 degC", "extension": "8 in"},
        "us",
        {"pressure": (118.428, 5e-4), "gauge_pressure": (103.732, 5e-4)},
    ),
    (
        "strut/correction",
        {**REST_A, "extension": "2.7031 in", "temperature": "-10 degC"},
        "us",
        {"corrected": (3.25, 6e-5)},  # half a digit of the reading, grown by the correction
    ),
    (
        "strut/correction",
        {**REST_A, "extension": {"value": 3.6852 * 25.4, "unit": "mm"}, "temperature": "35 degC"},
        "metric",
        {"corrected": (82.55, 1.3e-3)},  # half a digit of the reading
    ),
    # in/K is 1.8 times in/degF
    (
        "strut/sensitivities",
        {**REST_A, "strut": IDEAL_A},
        "us",
        {
            "gas": (0.01294 / 1.8, 5e-6 / 1.8),
            "fluid": (0.00821 / 1.8, 5e-6 / 1.8),
            "load": (-0.004405, 5e-7),
            "charge_percent": (0.03727, 5e-6),
        },
    ),
    ("strut/sensitivities", {**REST_A, "strut": IDEAL_A}, "metric", {"total": (0.5372, 5e-5)}),
    (
        "strut/servicing-table",
        {"strut": STRUT_A, "temperatures": ["0 degC", "25 degC", "40 degC"], "loads": ["800 lbf"]},
        "us",
        {
            "rows.0.extensions.0": (2.9223, 5e-5),
            "rows.1.extensions.0": (3.4678, 5e-5),
            "rows.2.extensions.0": (3.7937, 5e-5),
        },
    ),
    # Friction of 2 % of the load is 16 lbf, +-0.070 in to first order: V/A p (1/(p +- 16/A) - 1/p), ideal gas
    (
        "strut/friction-band",
        {**REST_A, "strut": IDEAL_A, "friction": "16 lbf"},
        "us",
        {
            "lowest": (3.25 + 3.72749 * (269.344 / (269.344 + 16 / 3.141593) - 1), 5e-5),
            "highest": (3.25 + 3.72749 * (269.344 / (269.344 - 16 / 3.141593) - 1), 5e-5),
        },
    ),
    # Isothermal at rest: the curve passes the load at rest, and 118.428 psia jacked
    (
        "strut/load-stroke",
        {**REST_A, "exponent": 1.0, "points": 2},
        "us",
        {"curve.0.pressure": (118.428, 5e-4), "curve.1.pressure": (2102.7, 5e-2)},
    ),
    (
        "strut/compression-ratios",
        {"extended_to_static": 4, "static_to_compressed": 3},
        "us",
        {
            "static_stroke_fraction": (0.81818, 5e-6),
            "extended_volume": (1.09091, 5e-6),
            "static_volume": (0.27273, 5e-6),
            "compressed_volume": (0.09091, 5e-6),
        },
    ),
    (
        "strut/polytropic-pressure",
        {"pressure": "1 psia", "volume_ratio": 12, "exponent": 1.35},
        "us",
        {"pressure": (28.635, 5e-4)},
    ),
    # 50 cm3 of fluid missing behind a right extension
    (
        "strut/two-state",
        {
            "strut": IDEAL_A,
            "upper": {"extension": "8 in", "pressure": "119.245 psi", "temperature": "15 degC"},
            "lower": {"extension": "3.25 in", "pressure": "254.648 psi", "temperature": "15 degC"},
        },
        "metric",
        {"missing_fluid": (50.000, 5e-3)},
    ),
    # Bunsen coefficient 0.10 from memory, source not seen
    ("strut/dissolved-gas", REST_A, "us", {"amount_mol": (0.0402, 5e-5), "charge_share": (27, 0.5)}),
    (
        "strut/gas-column",
        {**REST_A, "strut": IDEAL_A, "slope": "-0.004405 in/lbf"},
        "us",
        {"gas_column": (0.4775, 5e-7 * 269.344 * 3.141593)},  # half a digit of the slope
    ),
    (
        "strut/fluid-volume",
        {**REST_A, "strut": IDEAL_A, "slope": "0.02115 in/degF"},
        "us",
        {"fluid_volume": ((0.02115 * 1.8 - 11.7102 / 3.141593 / 288.15) * 3.141593 / 8.6e-4, 5e-4)},
    ),
    ("strut/tube-diameter", {"load": "800 lbf", "pressure": "254.648 psi"}, "us", {"tube_diameter": (2.0, 2e-6)}),
    # Raymer, from memory, source not seen: 100/(2 x 32.174 x 0.8 x 3) ft less 0.47/0.8 of 2 in
    (
        "strut/stroke-for-descent",
        {"descent": "10 ft/s", "load_factor": 3, "efficiency": 0.8, "tyre_deflection": "2 in"},
        "us",
        {"stroke": (6.595, 5e-4)},
    ),
]


@pytest.mark.parametrize(("path", "body", "units", "expected"), VALUES, ids=[value[0] for value in VALUES])
def test_a_known_value_comes_out(ask: Any, path: str, body: Any, units: str, expected: Any) -> None:
    answer = ask(path, body, units)
    for place, (value, tolerance) in expected.items():
        assert part(answer, place) == pytest.approx(value, abs=tolerance), place


def test_the_terms_of_a_correction_add_up_and_its_parts_make_the_uncertainty(ask: Any) -> None:
    answer = ask("strut/correction", {**REST_A, "extension": "2.7 in", "temperature": "14 degF", "load": "760 lbf"})
    total = sum(part(answer, f"terms.{name}") for name in answer["terms"])
    assert 2.7 + total == pytest.approx(part(answer, "corrected"), abs=1e-6)
    squares = sum(part(answer, f"uncertainty_parts.{name}") ** 2 for name in answer["uncertainty_parts"])
    assert squares**0.5 == pytest.approx(part(answer, "uncertainty"), rel=1e-6)


def test_told_uncertainties_replace_the_assumed_ones(ask: Any) -> None:
    # Ruler 1/32 in, temperature 2 K, load 20 lbf, friction 2 %: 0.1245 in together, ideal gas, no fluid, sheet exact
    exact = {**STRUT_A, "gas": "ideal", "fluid_volume": "30 in3"}
    body = {
        **REST_A,
        "strut": exact,
        "uncertainty": {
            "extension": {"value": 1 / 32, "unit": "in"},
            "temperature": "2 K",
            "load": "20 lbf",
            "atmosphere": "0 psi",
            "friction_exercised": 0.02,
        },
    }
    parts = ask("strut/correction", body)["uncertainty_parts"]
    told = [part(parts, name) for name in ("extension", "temperature", "load", "friction")]
    assert sum(value**2 for value in told) ** 0.5 == pytest.approx(0.1245, abs=5e-5)


def test_a_reserve_is_an_indication_and_says_so(ask: Any) -> None:
    answer = ask("strut/reserve", {**REST_A, "extension": "2 in"})
    assert part(answer, "stroke_left") == 2.0
    assert answer["energy_margin"] < 0
    assert "not a permission" in answer["indication"]
    assert answer["indication"] in answer["assumptions"]


def test_history_teaches_the_gas_column(ask: Any) -> None:
    conditions = [(t, load) for t in (-10, 5, 15, 25, 35) for load in (650, 800, 950)] * 2
    readings = []
    for day, (celsius, load) in enumerate(conditions):
        body = {"strut": STRUT_A, "charge": "0.149419 mol", "temperature": f"{celsius} degC", "load": f"{load} lbf"}
        extension = ask("strut/extension", body)["extension"]
        readings.append({"day": day, "extension": extension, "temperature": f"{celsius} degC", "load": f"{load} lbf"})
    silent = {name: value for name, value in STRUT_A.items() if name not in ("gas_column", "fluid_volume")}
    answer = ask("strut/history", {"strut": silent, "readings": readings})
    assert {"strut.gas_column", "strut.fluid_volume"} == set(answer["basis"]["estimated"])
    # 1.5 in3 over the tube's area
    assert part(answer, "gas_column") == pytest.approx(0.4775, abs=2 * part(answer, "gas_column_uncertainty"))
    assert answer["readings_used"] == len(readings)
    assert ask("strut/correctable", {"strut": silent, "readings": readings})["correctable"] == [True] * len(readings)


REFUSALS = [
    (
        "strut/correction",
        {
            **REST_A,
            "strut": {**STRUT_A, "tube_diameter": "-2 in", "gas": "oxygen"},
            "extension": "-1 in",
            "load": "0 lbf",
        },
        {
            ("strut.tube_diameter", "not_positive"),
            ("strut.gas", "gas_not_allowed"),
            ("extension", "negative"),
            ("load", "not_positive"),
        },
    ),
    ("strut/correction", {**REST_A, "extension": "9 in"}, {("extension", "extension_beyond_tube")}),
    (
        "strut/charge",
        {**REST_A, "extension": "9 in", "elevation": "200000 ft", "temperature": "300 degC"},
        {
            ("extension", "extension_beyond_tube"),
            ("temperature", "temperature_outside_gas_table"),
            ("elevation", "out_of_range"),
        },
    ),
    (
        "strut/charge",
        {**REST_A, "strut": {**STRUT_A, "maximum_pressure": "200 psi"}},
        {("load", "above_maximum_pressure")},
    ),
    (
        "strut/two-state",
        {
            "strut": {**STRUT_A, "maximum_pressure": "260 psi"},
            "upper": {"extension": "9 in", "pressure": "-20 psi", "temperature": "15 degC"},
            "lower": {"extension": "3.25 in", "pressure": "300 psi", "temperature": "15 degC"},
        },
        {
            ("upper.extension", "extension_beyond_tube"),
            ("upper.pressure", "negative_absolute_pressure"),
            ("lower.pressure", "above_maximum_pressure"),
        },
    ),
    (
        "strut/servicing-table",
        {"strut": {**STRUT_A, "target_extension": "9 in"}, "temperatures": ["15 degC"], "loads": ["800 lbf"]},
        {("strut.target_extension", "extension_beyond_tube")},
    ),
    (
        "strut/servicing-table",
        {"strut": STRUT_A, "temperatures": ["500 degC"], "loads": ["-1 lbf"]},
        {("temperatures.0", "temperature_outside_gas_table"), ("loads.0", "not_positive")},
    ),
    ("strut/friction-band", {**REST_A, "friction": "900 lbf"}, {("friction", "friction_above_load")}),
    (
        "strut/load-stroke",
        {**REST_A, "extension": "9 in", "exponent": 3},
        {("extension", "extension_beyond_tube"), ("exponent", "out_of_range")},
    ),
    ("strut/gas-column", {**REST_A, "slope": "0.1 in/lbf"}, {("slope", "not_negative")}),
    (
        "strut/tube-diameter",
        {"load": "0 lbf", "pressure": "-1 psi"},
        {("load", "not_positive"), ("pressure", "not_positive")},
    ),
    (
        "strut/polytropic-pressure",
        {"pressure": "-5 psia", "volume_ratio": 0, "exponent": 9},
        {("pressure", "not_positive"), ("volume_ratio", "not_positive"), ("exponent", "out_of_range")},
    ),
    (
        "strut/history",
        {
            "strut": STRUT_A,
            "readings": [{"day": 0, "extension": "3 in", "temperature": "60 degF", "load": "800 lbf"}],
        },
        {("readings", "too_few_readings")},
    ),
]


@pytest.mark.parametrize(("path", "body", "faults"), REFUSALS, ids=[refusal[0] for refusal in REFUSALS])
def test_impossible_physics_is_refused_field_by_field(refused: Any, path: str, body: Any, faults: Any) -> None:
    assert refused(path, body) == faults


def test_a_bare_number_an_unknown_field_and_a_figure_that_is_missing_are_400(refused: Any) -> None:
    body = {"strut": {**STRUT_A, "tube_diameter": 2, "colour": "red"}, "extension": "3 in", "load": "800 lbf"}
    assert refused("strut/charge", body, 400) == {
        ("strut.tube_diameter", "unit_missing"),
        ("strut.colour", "unknown_field"),
        ("temperature", "required"),
    }
