"""Estimates where a type sheet is silent. The priors are ASSUMED and have no public source."""

import pytest

from calculations.errors import CalculationError
from calculations.gas import Gas
from calculations.strut import (
    StrutFigures,
    StrutSheet,
    correct_extension,
    diameter_from_pressure,
    estimate_missing,
)

FULL_SHEET = StrutSheet(
    "main",
    tube_diameter_in=2.0,
    gas_column_in=0.477,
    fluid_volume_in3=30.0,
    full_extension_in=8.0,
    reference_load_lbf=800.0,
    reference_temperature_f=59.0,
    fluid_expansion_per_k=8.6e-4,
)


def test_full_sheet_is_taken_as_it_is() -> None:
    found = estimate_missing(FULL_SHEET)
    assert found.estimated == ()
    assert found.figures == StrutFigures(2.0, 0.477, 30.0, 8.0, 800.0, 59.0, 8.6e-4)
    assert found.uncertainty.gas_column_in == 0.0
    assert found.uncertainty.full_extension_in == 0.0


def test_empty_sheet_is_all_estimate() -> None:
    for leg in ("main", "nose", "tail"):
        found = estimate_missing(StrutSheet(leg, gas=Gas.AIR))  # type: ignore[arg-type]  # three literals
        assert found.estimated == (
            "tube_diameter_in",
            "gas_column_in",
            "fluid_volume_in3",
            "full_extension_in",
            "reference_load_lbf",
            "reference_temperature_f",
            "fluid_expansion_per_k",
        )
        assert found.figures.gas is Gas.AIR
        assert found.uncertainty.gas_column_in > 0
        assert found.uncertainty.tube_diameter_in > 0
        correct_extension(3.0, 50.0, 600.0, found.figures, figures_uncertainty=found.uncertainty)


def test_estimates_of_a_main_strut_are_those_assumed() -> None:
    # ASSUMED by the numerical study made for this project: gas column 2 in to a factor of 1.4, fluid 40 in3 to a
    # factor of 1.3; expansion (8.6 -+ 0.6)e-4 per kelvin from memory, source not seen.
    found = estimate_missing(StrutSheet("main", tube_diameter_in=2.375))
    assert found.figures.gas_column_in == 2.0
    assert found.uncertainty.gas_column_in == pytest.approx(2.0 * 0.4)
    assert found.figures.fluid_volume_in3 == pytest.approx(40.0, abs=0.5)
    assert found.uncertainty.fluid_volume_in3 == pytest.approx(0.3 * found.figures.fluid_volume_in3)
    assert (found.figures.fluid_expansion_per_k, found.uncertainty.fluid_expansion_per_k) == (8.6e-4, 0.6e-4)


def test_estimated_strut_is_corrected_less_surely() -> None:
    known = estimate_missing(FULL_SHEET)
    guessed = estimate_missing(
        StrutSheet("main", tube_diameter_in=2.0, reference_load_lbf=800.0, reference_temperature_f=59.0)
    )
    narrow, wide = (
        float(
            correct_extension(3.0, 20.0, 850.0, found.figures, figures_uncertainty=found.uncertainty).uncertainty_in
        )
        for found in (known, guessed)
    )
    assert wide > narrow


def test_tube_comes_from_load_and_pressure() -> None:
    # A = F/p: Reference Strut A, 800 lbf at 254.648 psig is a bore of 2.000 in.
    assert diameter_from_pressure(800.0, 254.648).tube_diameter_in == pytest.approx(2.000, abs=0.5e-3)
    found = estimate_missing(StrutSheet("main", reference_load_lbf=800.0, rest_pressure_psig=254.648))
    assert found.figures.tube_diameter_in == pytest.approx(2.000, abs=0.5e-3)
    assert "tube_diameter_in" in found.estimated


def test_tube_area_from_scales_and_a_good_gauge_is_known_to_two_percent() -> None:
    # The same study: 1 to 2 % of the area; scales, gauge and friction of an exercised strut to 1 % each.
    found = diameter_from_pressure(
        800.0, 180.6, load_uncertainty_lbf=8.0, pressure_uncertainty_psi=1.8, friction_fraction=0.01
    )
    assert 0.01 < 2 * found.uncertainty_in / found.tube_diameter_in < 0.02


def test_tube_from_load_alone_is_much_less_sure() -> None:
    with_gauge = estimate_missing(StrutSheet("main", reference_load_lbf=800.0, rest_pressure_psig=180.0))
    without = estimate_missing(StrutSheet("main", reference_load_lbf=800.0))
    assert without.figures.tube_diameter_in == pytest.approx(with_gauge.figures.tube_diameter_in)
    assert without.uncertainty.tube_diameter_in > 3 * with_gauge.uncertainty.tube_diameter_in


def test_full_extension_follows_the_target() -> None:
    # A light aircraft rests at about 60 % of its stroke: Raymer, from memory, source not seen.
    found = estimate_missing(StrutSheet("nose", target_extension_in=3.0))
    assert found.figures.full_extension_in == pytest.approx(5.0)
    assert found.uncertainty.full_extension_in == pytest.approx(0.75)


def test_figures_no_strut_can_have_are_refused_together() -> None:
    with pytest.raises(CalculationError) as caught:
        estimate_missing(
            StrutSheet(
                "main",
                tube_diameter_in=0.0,
                gas_column_in=-1.0,
                target_extension_in=-1.0,
                reference_temperature_f=float("nan"),
            )
        )
    assert [fault.field for fault in caught.value.faults] == [
        "tube_diameter_in",
        "gas_column_in",
        "reference_temperature_f",
        "target_extension_in",
    ]


def test_gauge_that_shows_nothing_gives_no_tube() -> None:
    with pytest.raises(CalculationError) as caught:
        diameter_from_pressure(0.0, 0.0, load_uncertainty_lbf=-1.0)
    assert [fault.field for fault in caught.value.faults] == [
        "load_lbf",
        "pressure_psig",
        "load_uncertainty_lbf",
    ]
