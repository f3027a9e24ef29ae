"""Gas spring of a strut over its stroke."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculations.errors import CalculationError
from calculations.gas import Gas
from calculations.strut import (
    StrutFigures,
    charge_mol,
    compression_ratios,
    extension_in,
    load_stroke_curve,
    polytropic_pressure,
    reserve,
)

MAIN = StrutFigures(2.375, 2.0, 40.0, 9.0, 800.0)


@pytest.mark.parametrize(
    ("first", "second", "fraction", "extended", "static", "compressed"),
    [  # Algebra of the ratios in Currey, Aircraft Landing Gear Design (1988; from memory, source not seen)
        (4.0, 3.0, 0.81818, 1.09091, 0.27273, 0.09091),
        (3.0, 3.0, 0.75000, 1.12500, 0.37500, 0.12500),
        (3.0, 2.0, 0.80000, 1.20000, 0.40000, 0.20000),
        (2.1, 1.9, 0.69900, 1.33445, 0.63545, 0.33445),
    ],
)
def test_compression_ratios(
    first: float, second: float, fraction: float, extended: float, static: float, compressed: float
) -> None:
    found = compression_ratios(first, second)
    assert float(found.static_stroke_fraction) == pytest.approx(fraction, abs=0.5e-5)
    assert float(found.extended_volume) == pytest.approx(extended, abs=0.5e-5)
    assert float(found.static_volume) == pytest.approx(static, abs=0.5e-5)
    assert float(found.compressed_volume) == pytest.approx(compressed, abs=0.5e-5)


def test_static_pressure_of_a_transport_gives_its_extended_and_compressed_ones() -> None:
    # 4:1 and 3:1 at 1500 psi: 375 and 4500 psi (Currey, from memory, source not seen).
    volumes = compression_ratios(4.0, 3.0)
    assert float(polytropic_pressure(1500.0, volumes.static_volume / volumes.extended_volume, 1.0)) == (
        pytest.approx(375.0)
    )
    assert float(polytropic_pressure(1500.0, volumes.static_volume / volumes.compressed_volume, 1.0)) == (
        pytest.approx(4500.0)
    )


@pytest.mark.parametrize(
    ("exponent", "ratio"), [(1.0, 12.0), (1.1, 15.385), (1.3, 25.289), (1.35, 28.635), (1.4, 32.423)]
)
def test_polytropic_pressure_ratio_of_twelve_to_one(exponent: float, ratio: float) -> None:
    assert float(polytropic_pressure(1.0, 12.0, exponent)) == pytest.approx(ratio, abs=0.5e-3)


@pytest.mark.parametrize(
    ("stroke_ft", "exponent", "force_lb"),
    [  # NACA Report 1154 (Milwitzky & Cook 1953), its strut's figures from memory, source not seen
        (0.0, 1.12, 360.87),
        (0.1, 1.12, 440.16),
        (0.2, 1.12, 560.46),
        (0.3, 1.12, 763.00),
        (0.4, 1.12, 1169.64),
        (0.5, 1.12, 2353.56),
        (0.5, 1.0, 1925.18),
    ],
)
def test_air_spring_of_a_small_trainer(stroke_ft: float, exponent: float, force_lb: float) -> None:
    pressure_psf, volume_ft3, area_ft2 = 6264.0, 0.03545, 0.05761
    ratio = volume_ft3 / (volume_ft3 - area_ft2 * stroke_ft)
    found = float(polytropic_pressure(pressure_psf, ratio, exponent)) * area_ft2
    assert found == pytest.approx(force_lb, abs=0.5e-2)


def test_reserve_of_the_main_strut() -> None:
    # Worked independently for this project; exponents from memory, source not seen.
    found = reserve(4.5, 800.0, MAIN, target_extension_in=4.5, exponent=[1.0, 1.1, 1.35])
    assert float(found.compression_ratio) == pytest.approx(3.25, abs=0.5e-2)
    assert found.bottoming_load_factor.tolist() == pytest.approx([3.4, 3.9, 5.2], abs=0.05)
    assert float(found.energy_in_lbf[1]) / 1000 == pytest.approx(6.7, abs=0.05)
    assert found.energy_margin.tolist() == pytest.approx([0.0, 0.0, 0.0])
    low = reserve(3.0, 800.0, MAIN, target_extension_in=4.5)
    assert float(low.bottoming_load_factor) == pytest.approx(2.9, abs=0.05)
    assert float(low.energy_in_lbf) / 1000 == pytest.approx(4.0, abs=0.05)
    assert float(low.energy_margin) == pytest.approx(-0.41, abs=0.5e-2)
    assert float(low.stroke_left_in) == 3.0


def test_reserve_says_that_it_only_indicates() -> None:
    said = reserve(3.0, 800.0, MAIN, target_extension_in=4.5).indication
    assert "not a permission" in said


def test_isothermal_curve_is_the_resting_strut_under_other_loads() -> None:
    ideal = StrutFigures(2.375, 2.0, 40.0, 9.0, 800.0, gas=Gas.IDEAL)
    curve = load_stroke_curve(4.5, 800.0, ideal, exponent=1.0, points=19)
    charge = charge_mol(4.5, 70.0, 800.0, ideal)
    rest = extension_in(charge, 70.0, curve.load_lbf, ideal)
    assert rest.extension_in.tolist() == pytest.approx(curve.extension_in.tolist(), abs=1e-9)


@given(st.floats(0.5, 8.5), st.floats(200, 1500), st.floats(1.0, 1.67))
def test_energy_is_the_area_under_the_curve(extension: float, load: float, exponent: float) -> None:
    short = StrutFigures(2.375, 2.0, 40.0, extension, 800.0)  # the curve then begins at rest
    curve = load_stroke_curve(extension, load, short, exponent=exponent, points=4001)
    area = float(np.trapezoid(curve.load_lbf, -curve.extension_in))
    found = reserve(extension, load, MAIN, target_extension_in=4.5, exponent=exponent)
    assert float(found.energy_in_lbf) == pytest.approx(area, rel=1e-5)


def test_energy_has_no_step_at_the_isothermal_limit() -> None:
    near, limit = reserve(4.5, 800.0, MAIN, target_extension_in=4.5, exponent=[1.0 + 1e-9, 1.0]).energy_in_lbf
    assert near == pytest.approx(limit, rel=1e-7)


@given(st.floats(0.5, 8.0), st.floats(200, 1500), st.floats(1.0, 1.67))
def test_higher_strut_has_more_in_reserve(extension: float, load: float, exponent: float) -> None:
    low, high = reserve(
        [extension, extension + 0.5], load, MAIN, target_extension_in=4.5, exponent=exponent
    ).energy_margin
    assert high > low


@pytest.mark.parametrize("compute", [lambda: load_stroke_curve(9.5, 800.0, MAIN, exponent=0.9, points=1)])
def test_impossible_curve_is_refused_by_field(compute: object) -> None:
    with pytest.raises(CalculationError) as caught:
        compute()  # type: ignore[operator]  # a function without arguments
    assert {fault.field for fault in caught.value.faults} == {"points", "rest_extension_in", "exponent"}


def test_target_beyond_the_tube_is_refused() -> None:
    with pytest.raises(CalculationError) as caught:
        reserve(3.0, 800.0, MAIN, target_extension_in=9.5)
    assert [fault.field for fault in caught.value.faults] == ["target_extension_in"]


def test_strut_that_the_fluid_alone_stops_is_refused() -> None:
    full = StrutFigures(2.375, 0.0, 40.0, 9.0, 800.0)
    with pytest.raises(CalculationError, match="fluid alone would stop"):
        reserve(3.0, 800.0, full, target_extension_in=4.5)


def test_ratios_not_above_one_are_refused() -> None:
    with pytest.raises(CalculationError) as caught:
        compression_ratios(1.0, 0.5)
    assert {fault.code for fault in caught.value.faults} == {"ratio_not_above_one"}


def test_polytropic_change_with_nonsense_is_refused() -> None:
    with pytest.raises(CalculationError) as caught:
        polytropic_pressure(0.0, 0.0, 2.0)
    assert {fault.field for fault in caught.value.faults} == {"pressure", "volume_ratio", "exponent"}
