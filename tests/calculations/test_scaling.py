"""What the calculations must not depend on, and which way each must move: units, order, datum, monotony."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calculations.balance import balance_from_scales, balance_of_items
from calculations.landing import design_descent_ft_s, drop_height_in, effective_drop_weight_lbf, ground_load_factor
from calculations.loads import leg_reactions
from calculations.stance import GearGeometry, LegHeights, leg_rise_in, stance
from calculations.strut import (
    ReadingUncertainty,
    StrutFigures,
    StrutSheet,
    StrutUncertainty,
    charge_mol,
    correct_extension,
    diameter_from_pressure,
    dissolved_gas,
    estimate_missing,
)
from calculations.tread import landings_left

scales = st.floats(0.1, 10.0)
extensions, temperatures, loads = st.floats(0.5, 8.0), st.floats(-30.0, 110.0), st.floats(300.0, 1500.0)


def scaled_strut(scale: float) -> StrutFigures:
    """Return a strut of one shape: lengths times the scale, volumes with its cube, loads with its square."""
    return StrutFigures(2.375 * scale, 2.0 * scale, 40.0 * scale**3, 9.0 * scale, 800.0 * scale**2)


@given(extensions, temperatures, loads, scales, st.booleans())
def test_a_strut_of_the_same_shape_is_corrected_alike_with_its_uncertainty(
    extension: float, temperature: float, load: float, scale: float, exercised: bool
) -> None:
    def corrected(unit: float):
        return correct_extension(
            extension * unit,
            temperature,
            load * unit**2,
            scaled_strut(unit),
            exercised=exercised,
            figures_uncertainty=StrutUncertainty(0.02 * unit, 0.5 * unit, 6.0 * unit**3, 0.6e-4),
            reading_uncertainty=ReadingUncertainty(0.06 * unit, 4.0, 15.0 * unit**2, 0.1, 0.01, 0.03),
        )

    one, other = corrected(1.0), corrected(scale)
    for name in ("corrected_in", "uncertainty_in", "gas_in", "real_gas_in", "fluid_in", "load_in"):
        assert_allclose(getattr(other, name), scale * getattr(one, name), rtol=1e-9, atol=1e-11 * scale, err_msg=name)


@given(extensions, temperatures, loads, st.floats(1.01, 3.0))
def test_worse_inputs_never_make_a_correction_more_certain(
    extension: float, temperature: float, load: float, worse: float
) -> None:
    figures, reading = np.array([0.02, 0.5, 6.0, 0.6e-4]), np.array([0.06, 4.0, 15.0, 0.1, 0.01, 0.03])

    def uncertainty(figures: np.ndarray, reading: np.ndarray) -> float:
        found = correct_extension(
            extension,
            temperature,
            load,
            scaled_strut(1.0),
            figures_uncertainty=StrutUncertainty(*figures),
            reading_uncertainty=ReadingUncertainty(*reading),
        )
        return float(found.uncertainty_in)

    before = uncertainty(figures, reading)
    for place in range(4):
        assert uncertainty(figures * np.where(np.arange(4) == place, worse, 1.0), reading) >= before
    for place in range(6):
        assert uncertainty(figures, reading * np.where(np.arange(6) == place, worse, 1.0)) >= before
    assert_allclose(uncertainty(figures * worse, reading * worse), worse * before, rtol=1e-9)


@given(extensions, temperatures, loads, st.floats(0.001, 0.2), st.floats(0.1, 5.0))
def test_fluid_takes_up_gas_in_proportion_to_its_solubility(
    extension: float, temperature: float, load: float, solubility: float, scale: float
) -> None:
    strut = scaled_strut(1.0)
    one = dissolved_gas(extension, temperature, load, strut, solubility=solubility)
    more = dissolved_gas(extension, temperature, load, strut, solubility=scale * solubility)
    assert_allclose(more.dissolved_mol, scale * one.dissolved_mol, rtol=1e-12)
    assert_allclose(more.settling_in, scale * one.settling_in, rtol=1e-12)
    assert_allclose(one.charge_share * charge_mol(extension, temperature, load, strut), one.dissolved_mol, rtol=1e-12)


@given(st.floats(0.8, 4.0), st.floats(50.0, 400.0), scales)
def test_a_tube_is_found_again_from_the_pressure_that_its_load_makes(
    diameter: float, psig: float, scale: float
) -> None:
    load = psig * np.pi / 4 * diameter**2
    found = diameter_from_pressure(load, psig)
    assert_allclose(found.tube_diameter_in, diameter, rtol=1e-12)
    wider = diameter_from_pressure(load * scale, psig, load_uncertainty_lbf=20.0 * scale)
    assert_allclose(wider.tube_diameter_in, diameter * scale**0.5, rtol=1e-12)
    assert_allclose(wider.uncertainty_in, found.uncertainty_in * scale**0.5, rtol=1e-12)


SHEET_FIGURES = {
    "tube_diameter_in": 2.25,
    "gas_column_in": 1.7,
    "fluid_volume_in3": 33.0,
    "full_extension_in": 8.5,
    "reference_load_lbf": 760.0,
    "reference_temperature_f": 59.0,
    "fluid_expansion_per_k": 8.2e-4,
}


@given(st.sets(st.sampled_from(sorted(SHEET_FIGURES))), st.sampled_from(["main", "nose", "tail"]))
def test_what_a_sheet_says_is_kept_and_what_it_does_not_say_is_marked(said: set[str], leg: str) -> None:
    found = estimate_missing(StrutSheet(leg, **{name: SHEET_FIGURES[name] for name in said}))
    assert set(found.estimated) == set(SHEET_FIGURES) - said
    for name in said:
        assert getattr(found.figures, name) == SHEET_FIGURES[name]
    for name in {"gas_column_in", "fluid_volume_in3", "full_extension_in"}:
        assert (getattr(found.uncertainty, name) > 0) == (name not in said)
    everything = estimate_missing(StrutSheet(leg, **SHEET_FIGURES))
    measured, known = (
        each.uncertainty.tube_diameter_in / each.figures.tube_diameter_in for each in (everything, found)
    )
    assert known == measured if "tube_diameter_in" in said else known > measured


items = st.lists(
    st.tuples(st.floats(1.0, 2000.0), st.floats(-50.0, 200.0), st.floats(-40.0, 40.0)), min_size=1, max_size=8
)


@given(items, st.randoms(use_true_random=False), scales, scales, st.floats(-100.0, 100.0))
def test_balance_does_not_depend_on_order_units_or_datum(loaded, random, weight, length, shift) -> None:
    weights, arms, lateral = (np.array(column) for column in zip(*loaded, strict=True))
    found = balance_of_items(weights, arms, lateral)
    random.shuffle(loaded)
    mixed_weights, mixed_arms, mixed_lateral = (np.array(column) for column in zip(*loaded, strict=True))
    other = balance_of_items(weight * mixed_weights, length * (mixed_arms + shift), length * mixed_lateral)
    assert_allclose(other.weight_lbf, weight * found.weight_lbf, rtol=1e-9)
    centre = length * (found.centre_of_gravity_in + shift)
    assert_allclose(other.centre_of_gravity_in, centre, rtol=1e-9, atol=1e-9 * length * 300)
    assert_allclose(
        other.lateral_moment_lbf_in,
        weight * length * found.lateral_moment_lbf_in,
        rtol=1e-9,
        atol=1e-9 * weight * 1e6,
    )
    assert arms.min() - 1e-9 <= found.centre_of_gravity_in <= arms.max() + 1e-9


@given(st.floats(500.0, 5000.0), st.floats(0.05, 0.95), scales, scales)
def test_reactions_follow_the_units_and_weigh_back_to_where_they_came_from(mass, place, weight, length) -> None:
    arms = {"third_leg_arm_in": 20.0, "main_arm_in": 110.0}
    centre = 20.0 + 90.0 * place
    found = leg_reactions(mass, centre, **arms)
    other = leg_reactions(weight * mass, length * centre, **{name: length * arm for name, arm in arms.items()})
    for name in ("third_leg_lbf", "left_main_lbf", "right_main_lbf"):
        assert_allclose(getattr(other, name), weight * getattr(found, name), rtol=1e-9)
    back = balance_from_scales(found.third_leg_lbf, found.left_main_lbf, found.right_main_lbf, track_in=100.0, **arms)
    assert_allclose([back.weight_lbf, back.centre_of_gravity_in], [mass, centre], rtol=1e-9)


heights = st.floats(-5.0, 5.0)


@given(heights, heights, heights, scales)
def test_stance_has_the_same_angles_in_any_unit_of_length(third, left, right, length) -> None:
    found = stance(LegHeights(third, left, right), GearGeometry(80.0, 100.0, 90.0, 12.0))
    other = stance(
        LegHeights(length * third, length * left, length * right),
        GearGeometry(length * 80.0, length * 100.0, length * 90.0, length * 12.0),
    )
    assert_allclose([other.pitch_deg, other.roll_deg], [found.pitch_deg, found.roll_deg], rtol=1e-9, atol=1e-12)
    assert_allclose(other.clearance_change_in, length * found.clearance_change_in, rtol=1e-9, atol=1e-12)


@given(extensions, extensions, st.floats(0.0, 3.0), st.floats(0.0, 3.0), st.floats(-60.0, 60.0))
def test_a_leg_that_goes_and_comes_back_has_risen_by_nothing(here, there, soft, hard, rake) -> None:
    up = leg_rise_in(
        extension_in=there, reference_extension_in=here, tyre_deflection_in=hard, reference_tyre_deflection_in=soft,
        rake_deg=rake,
    )  # fmt: skip
    down = leg_rise_in(
        extension_in=here, reference_extension_in=there, tyre_deflection_in=soft, reference_tyre_deflection_in=hard,
        rake_deg=rake,
    )  # fmt: skip
    assert_allclose(up + down, 0.0, atol=1e-12)


@given(st.floats(0.5, 100.0), st.floats(0.0, 50.0))
def test_a_heavier_wing_loading_never_lowers_the_descent_or_drop_to_stand(loading, more) -> None:
    assert design_descent_ft_s(loading + more) >= design_descent_ft_s(loading)
    assert drop_height_in(loading + more) >= drop_height_in(loading)


@given(st.floats(100.0, 3000.0), st.floats(1.0, 30.0), st.floats(0.0, 20.0), st.floats(0.0, 2 / 3), scales)
def test_the_effective_drop_weight_lies_between_all_lift_and_none(mass, drop, compression, lift, scale) -> None:
    found = effective_drop_weight_lbf(mass, drop, compression, lift)
    assert (1 - lift) * mass * (1 - 1e-12) <= found <= mass * (1 + 1e-12)
    assert_allclose(effective_drop_weight_lbf(scale * mass, drop, compression, lift), scale * found, rtol=1e-12)
    assert_allclose(effective_drop_weight_lbf(mass, scale * drop, scale * compression, lift), found, rtol=1e-12)


@given(st.floats(2.67, 6.0), st.floats(0.0, 2 / 3), st.floats(0.0, 3.0))
def test_more_wing_lift_asks_less_of_the_gear_and_more_acceleration_more(factor, lift, more) -> None:
    found = ground_load_factor(factor, lift)
    assert ground_load_factor(factor + more, lift) >= found >= ground_load_factor(factor, 2 / 3)


@given(st.integers(0, 10_000), st.floats(0.0, 0.03), st.floats(0.001, 0.1))
def test_a_deeper_tread_or_a_lower_limit_never_lasts_shorter(seed, deeper, lower) -> None:
    rng = np.random.default_rng(seed)
    landings = np.sort(rng.integers(0, 250, 5)).astype(float)
    depth = np.maximum(0.27 - 5e-4 * landings + rng.normal(0.0, 0.01, 5), 0.02)

    def left(depth, limit):
        return float(landings_left(landings, depth, limit_in=limit, new_depth_in=0.27).landings_left)

    # A last reading that is deeper means less wear and more tread.
    later = depth + np.where(landings == landings.max(), deeper, 0.0)
    if landings.max() > landings.min():
        assert left(later, 0.11) >= left(depth, 0.11) - 1e-9
    assert left(depth, 0.11 - lower) >= left(depth, 0.11) - 1e-9
